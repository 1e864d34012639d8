"""The Vosk engine on a real model: Korean, spoken by espeak-ng, held to a Korean grammar."""

from __future__ import annotations

import os
import signal
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from dictate.audio.source import FRAME, RATE, Frame, Samples
from dictate.errors import EngineError
from dictate.speech.heard import Partial, Utterance
from dictate.speech.listener import listen
from dictate.speech.port import Recogniser
from dictate.speech.vosk_engine import process
from dictate.speech.vosk_engine.engine import VoskRecogniser
from dictate.vocabulary.loader import load
from dictate.vocabulary.schema import Lexicon, Phrase, Slot
from tests.korean import MODEL, PHRASES, WORDS, say, silence

LEXICON = Lexicon(
    regions=(),
    terms={},
    commands=(),
    confusions=(),
    phrases=tuple(Phrase(words=(word,), slot=Slot.KIND, value=word) for word in WORDS),
)


@pytest.fixture(scope="module")
def engine() -> Iterator[VoskRecogniser]:
    phrases = [phrase.words for phrase in LEXICON.phrases]
    recogniser = VoskRecogniser(LEXICON, MODEL, [*phrases, ("왼쪽", "xylophone"), ("<eps>",)])
    yield recogniser
    recogniser.close()


def hear(engine: Recogniser, samples: Samples, start_s: float = 0.0) -> Utterance | None:
    """As the listener does it: frame by frame."""
    engine.begin(start_s)
    for at in range(0, len(samples), FRAME):
        engine.hear(samples[at : at + FRAME])
    return engine.finish()


def padded(samples: Samples) -> Samples:
    return np.concatenate([silence(0.3), samples, silence(0.3)])


@pytest.mark.parametrize(
    "text", ["전화 아버지 여섯", "안녕하세요 오른쪽 노래", "아버지 음식 오른쪽"]
)
def test_hears_what_is_said(engine: VoskRecogniser, tmp_path: Path, text: str) -> None:
    heard = hear(engine, padded(say(text, tmp_path)))
    assert heard is not None
    assert heard.text == text
    assert all(0.0 <= word.confidence <= 1.0 for word in heard.words)
    assert heard.confidence == min(word.confidence for word in heard.words)


def test_hears_only_words_of_the_grammar(engine: VoskRecogniser, tmp_path: Path) -> None:
    heard = hear(engine, padded(say("저는 지난주에 친구와 함께 바다에 갔어요", tmp_path)))
    assert heard is not None
    assert {word.text for h in heard.hypotheses for word in h.words} <= set(WORDS)


def test_word_times_are_those_of_the_sound(engine: VoskRecogniser, tmp_path: Path) -> None:
    """Where each word lies is known, since the recording is put together from them."""
    first, second = say("아버지", tmp_path), say("라디오", tmp_path)
    sound = np.concatenate([silence(0.5), first, silence(1.5), second, silence(0.5)])
    heard = hear(engine, sound, start_s=100.0)
    assert heard is not None
    assert [word.text for word in heard.words] == ["아버지", "라디오"]
    begins = [100.5, 100.5 + len(first) / RATE + 1.5]
    ends = [begins[0] + len(first) / RATE, begins[1] + len(second) / RATE]
    assert [word.start_s for word in heard.words] == pytest.approx(begins, abs=0.15)
    assert [word.end_s for word in heard.words] == pytest.approx(ends, abs=0.2)
    assert (heard.start_s, heard.end_s) == pytest.approx((100.0, 100.0 + len(sound) / RATE))


def test_a_stream_becomes_utterances(engine: VoskRecogniser, tmp_path: Path) -> None:
    """Behind the endpointer, as in an examination."""
    first, second = say("전화 아버지 여섯", tmp_path), say("아버지 음식 오른쪽", tmp_path)
    sound = np.concatenate([silence(1), first, silence(1.5), second, silence(1.5)])
    whole = len(sound) // FRAME * FRAME
    frames = [Frame(sound[at : at + FRAME], at / RATE) for at in range(0, whole, FRAME)]
    events = list(listen(frames, engine))
    heard = [event for event in events if isinstance(event, Utterance)]
    assert [each.text for each in heard] == ["전화 아버지 여섯", "아버지 음식 오른쪽"]
    assert heard[1].words[0].start_s == pytest.approx(2.5 + len(first) / RATE, abs=0.2)
    assert any(isinstance(event, Partial) for event in events)


def test_a_forgotten_utterance_leaves_no_trace(engine: VoskRecogniser, tmp_path: Path) -> None:
    engine.begin(3.0)
    engine.hear(padded(say("감사합니다", tmp_path)))
    heard = hear(engine, padded(say("아버지", tmp_path)), start_s=50.0)
    assert heard is not None
    assert heard.text == "아버지"
    assert heard.words[0].start_s == pytest.approx(50.3, abs=0.15)


def test_partial_words_come_while_speaking(engine: VoskRecogniser, tmp_path: Path) -> None:
    engine.begin(0.0)
    assert engine.partial() == ""
    sound = padded(say("전화 아버지 여섯", tmp_path))
    partials = []
    for at in range(0, len(sound), 6 * FRAME):
        engine.hear(sound[at : at + 6 * FRAME])
        partials.append(engine.partial())
    assert engine.finish() is not None
    assert "전화" in partials
    assert partials[-1] == "전화 아버지 여섯"
    assert engine.partial() == ""


def test_other_readings_are_ranked_and_differ(engine: VoskRecogniser, tmp_path: Path) -> None:
    heard = hear(engine, padded(say("노래 왼쪽 오른쪽", tmp_path)))
    assert heard is not None
    texts = [hypothesis.text for hypothesis in heard.hypotheses]
    assert len(texts) > 1
    assert len(set(texts)) == len(texts)
    scores = [hypothesis.score for hypothesis in heard.hypotheses[1:]]
    assert scores == sorted(scores, reverse=True)
    assert all(0.0 < w.confidence <= 1.0 for h in heard.hypotheses for w in h.words)


@pytest.mark.parametrize("sound", [silence(0), silence(2.0)], ids=["nothing", "silence"])
def test_silence_is_no_utterance(engine: VoskRecogniser, sound: Samples) -> None:
    assert hear(engine, sound) is None


def test_words_the_model_lacks_are_reported(engine: VoskRecogniser) -> None:
    assert set(engine.missing_words) == {"xylophone", "<eps>"}
    assert "cannot hear 2 of the vocabulary's words (xylophone, <eps>)" in engine.warnings[0]


def test_a_model_that_cannot_reject_says_so(engine: VoskRecogniser) -> None:
    assert engine.held_to_vocabulary
    assert not engine.rejects_other_talk
    assert "hears talk outside the vocabulary as words of it" in engine.warnings[-1]


def test_nothing_of_it_reaches_the_screen(
    capfd: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    recogniser = VoskRecogniser(LEXICON, MODEL, [*PHRASES, ("xylophone",)])
    hear(recogniser, padded(say("아버지", tmp_path)))
    recogniser.close()
    recogniser.close()
    assert capfd.readouterr() == ("", "")


def test_a_crash_costs_nothing(engine: VoskRecogniser, tmp_path: Path) -> None:
    sound = padded(say("전화 아버지 여섯", tmp_path))
    engine.begin(7.0)
    engine.hear(sound[: RATE // 2])
    os.kill(pid_of(engine), signal.SIGSEGV)
    engine.hear(sound[RATE // 2 :])
    os.kill(pid_of(engine), signal.SIGSEGV)
    heard = engine.finish()
    assert heard is not None
    assert heard.text == "전화 아버지 여섯"
    assert heard.words[0].start_s == pytest.approx(7.3, abs=0.15)


def test_a_hang_is_ended(
    engine: VoskRecogniser, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(process, "ANSWER_S", 3.0)
    sound = padded(say("전화 아버지 여섯", tmp_path))
    engine.begin(0.0)
    os.kill(pid_of(engine), signal.SIGSTOP)
    engine.hear(sound)  # more than a pipe holds
    heard = engine.finish()
    assert heard is not None
    assert heard.text == "전화 아버지 여섯"


def test_a_crash_that_comes_again_is_told(
    engine: VoskRecogniser, monkeypatch: pytest.MonkeyPatch
) -> None:
    engine.begin(0.0)
    os.kill(pid_of(engine), signal.SIGSEGV)
    with monkeypatch.context() as patch:
        patch.setattr(engine, "_folder", Path("/nowhere"))
        with pytest.raises(EngineError, match="no such folder"):
            engine.finish()
    assert hear(engine, silence(0.5)) is None


def test_a_model_of_another_language_is_refused() -> None:
    with pytest.raises(EngineError, match=r"knows none of the vocabulary's \d+ words"):
        VoskRecogniser(load(), MODEL)


def test_a_fixed_graph_is_reported(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """The model decoded as such a one would be: with its whole vocabulary, no grammar."""
    layout = process.check_layout(MODEL)
    fixed = process.ModelLayout(layout.path, takes_grammar=False, size_bytes=layout.size_bytes)
    monkeypatch.setattr(process, "check_layout", lambda path: fixed)
    recogniser = VoskRecogniser(LEXICON, MODEL, PHRASES)
    heard = hear(recogniser, padded(say("안녕하세요", tmp_path)))
    recogniser.close()
    assert heard is not None
    assert not recogniser.held_to_vocabulary
    assert "cannot be held to the vocabulary" in recogniser.warnings[-1]


def pid_of(engine: VoskRecogniser) -> int:
    assert engine._process is not None
    return engine._process._child._process.pid
