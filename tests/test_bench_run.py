"""A run covers what it says, and never shows a sentence of the evaluation."""

from __future__ import annotations

import gzip
import json
import subprocess
import sys
import time
from collections import Counter
from pathlib import Path

import numpy as np
import pytest
import soundfile

from dictate.audio.source import Samples
from dictate.bench import human, latency, matcher_speed
from dictate.bench.arpabet import arpabet, pronunciations
from dictate.bench.clips import LEAD_S, TAIL_S, Clip, assigned, pace_of
from dictate.bench.hearing import Chain, Reader, spelt_out
from dictate.bench.options import Options
from dictate.bench.pocketsphinx import PocketSphinx
from dictate.bench.problems import BenchError
from dictate.bench.run import run
from dictate.bench.sentences import load_sentences
from dictate.bench.slots import Places
from dictate.bench.synthesis import respelt, synthesise, trimmed
from dictate.bench.voices import load_voices
from dictate.bench.work import tasks
from dictate.speech.heard import Utterance, typed
from dictate.vocabulary.loader import load
from dictate.vocabulary.schema import Slot

ROOT = Path(__file__).resolve().parents[1] / "recordings_synthetic"
VOICES = load_voices(ROOT / "voices.toml")


def typed_run(**more: object) -> Options:
    return Options(engines=("typed",), timing=False, **more)  # type: ignore[arg-type]


def test_text_without_a_hearing_error_is_nearly_all_understood() -> None:
    figures = run(typed_run()).engines[0].conditions["typed"]
    assert figures["word_error_rate"] == 0.0
    assert figures["slots"]["all"]["f1"] > 0.9
    assert figures["clips"] == len(load_sentences(ROOT / "dev_sentences.toml"))


def test_the_report_of_the_evaluation_holds_figures_only(tmp_path: Path) -> None:
    path = tmp_path / "figures.json"
    run(typed_run(split="eval", json_path=path))
    written = path.read_text(encoding="utf-8").lower()
    for sentence in load_sentences(ROOT / "eval_sentences.toml"):
        if len(sentence.say) > 12:
            assert sentence.say.lower().rstrip(".?!") not in written
        assert sentence.id not in written
    assert json.loads(written)["engines"]["typed"]["conditions"]["typed"]["clips"] > 320


def test_errors_of_the_evaluation_are_not_shown() -> None:
    with pytest.raises(BenchError, match="nothing is tuned"):
        run(typed_run(split="eval", show_errors=True))


def test_a_voice_of_the_other_split_is_refused() -> None:
    with pytest.raises(BenchError, match="kept for eval"):
        tasks(Options(split="dev", voices=("festival-kal",)))
    with pytest.raises(BenchError, match="no voice is called"):
        tasks(Options(voices=("nobody",)))


def test_every_sentence_is_spoken_by_a_neural_and_by_another_voice() -> None:
    sentences = load_sentences(ROOT / "eval_sentences.toml")
    pairs = assigned(sentences, VOICES.of("eval"))
    kinds = Counter((s.id, v.character == "neural") for s, v in pairs)
    assert set(kinds.values()) == {1}
    assert len(kinds) == 2 * len(sentences)
    spoken = Counter(voice.id for _, voice in pairs)
    assert set(spoken) == {voice.id for voice in VOICES.of("eval")}
    neural = [(s, v) for s, v in pairs if v.character == "neural"]
    assert all(sentence.accent == voice.accent for sentence, voice in neural)


def test_noise_is_heard_with_the_share_of_clips_asked_for() -> None:
    everything = tasks(Options())
    part = tasks(Options(noisy_share=0.25))
    clean = [task for task in part if task.condition.sound == "clean"]
    assert len(clean) == sum(task.condition.sound == "clean" for task in everything)
    share = (len(part) - len(clean)) / (len(everything) - len(clean))
    assert 0.15 < share < 0.35
    assert part == tasks(Options(noisy_share=0.25))


def test_a_quick_run_is_a_few_clips_by_every_kind_of_voice() -> None:
    quick = tasks(Options(split="eval", quick=True))
    assert len(quick) <= len(tasks(Options(split="eval"))) / 35
    assert {task.voice.accent for task in quick} == {"us", "gb"}
    assert {task.voice.character for task in quick} == {"neural", "natural", "robotic"}
    assert len({task.voice.id for task in quick}) >= 8


def test_a_run_from_the_command_line_prints_a_table_and_writes_figures(tmp_path: Path) -> None:
    path = tmp_path / "out.json"
    command = [sys.executable, "-m", "dictate.bench", "--engines", "typed", "--no-timing"]
    done = subprocess.run([*command, "--json", str(path)], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    assert "silent critical errors" in done.stdout
    assert json.loads(path.read_text(encoding="utf-8"))["split"] == "dev"


@pytest.mark.parametrize(
    "arguments",
    [
        ["--engines", "ears"],
        ["--conditions", "thunder"],
        ["--voices", "nobody"],
        ["--recordings", "/nowhere"],
        ["--split", "eval", "--show-errors"],
        ["--noise"],
    ],
)
def test_a_wrong_option_is_one_line_and_exit_code_two(arguments: list[str]) -> None:
    command = [sys.executable, "-m", "dictate.bench", *arguments]
    done = subprocess.run(command, capture_output=True, text=True)
    assert done.returncode == 2
    assert "Traceback" not in done.stderr
    assert done.stderr.strip()


class SlowEcho:
    """A recogniser that takes a known time to read what it heard."""

    name = "echo"
    cost_s = 0.1

    def begin(self, start_s: float) -> None: ...

    def hear(self, samples: Samples) -> None: ...

    def partial(self) -> str:
        return ""

    def finish(self) -> Utterance | None:
        time.sleep(self.cost_s)
        return typed("undo")

    def close(self) -> None: ...


class SlowChain(Chain):
    """The matcher behind that recogniser."""

    def __init__(self) -> None:
        Reader.__init__(self, load())
        self.recogniser = SlowEcho()
        self._spells_itself_out = True


def a_shipped_clip() -> Clip:
    """A real dictation of the dev split, as the bench would synthesise it."""
    sentence = next(s for s in load_sentences(ROOT / "dev_sentences.toml") if s.id == "dev-001")
    samples, rate = soundfile.read(str(ROOT / "dev" / "dev-01.flac"), dtype="float32")
    bare = trimmed(samples.astype(np.float32), threshold=0.02)
    lead, tail = np.zeros(int(LEAD_S * rate), "f4"), np.zeros(int(TAIL_S * rate), "f4")
    return Clip(sentence, VOICES.named("joe"), np.concatenate([lead, bare, tail]))


def test_latency_counts_the_work_and_not_the_waiting() -> None:
    """The endpoint comes a while after the last word; the echo then takes a tenth of a second."""
    figures = latency.measure(SlowChain(), [a_shipped_clip()])
    after_endpoint = figures["after_endpoint_s"]["median"]
    assert after_endpoint >= SlowEcho.cost_s
    assert figures["after_speech_s"]["median"] > after_endpoint + 0.2
    assert figures["after_endpoint_cpu_s"]["median"] < after_endpoint, "sleeping takes no CPU"
    assert figures["clips_unheard"] == 0


def test_prompts_are_those_with_words_and_a_recording(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    transcripts, sounds = tmp_path / "text.gz", tmp_path / "sounds"
    (sounds / "digits").mkdir(parents=True)
    for name in ("hello", "beep", "digits/14"):
        soundfile.write(str(sounds / f"{name}.wav"), np.zeros(800), 8000)
    lines = "; a comment\n\nhello: Hello there.\nbeep: [a tone]\ndigits/14: fourteen\ngone: Gone.\n"
    transcripts.write_bytes(gzip.compress(lines.encode()))
    monkeypatch.setattr(human, "TRANSCRIPTS", transcripts)
    monkeypatch.setattr(human, "PROMPTS", sounds)
    assert [(each.name, each.text) for each in human.prompts()] == [
        ("hello", "Hello there."),
        ("digits/14", "fourteen"),
    ]
    monkeypatch.setattr(human, "TRANSCRIPTS", tmp_path / "none")
    assert human.prompts() == []


def test_a_larger_vocabulary_keeps_the_trade_s_own_phrases() -> None:
    lexicon = load()
    larger = matcher_speed.grown(lexicon, len(lexicon.phrases) + 500)
    assert len(larger.phrases) == len(lexicon.phrases) + 500
    assert larger.phrases[: len(lexicon.phrases)] == lexicon.phrases
    assert all(each.slot is Slot.KIND for each in larger.phrases[len(lexicon.phrases) :])
    assert len({each.words for each in larger.phrases}) >= len(lexicon.phrases)


def test_a_raw_model_s_digits_reach_the_matcher_as_words() -> None:
    heard = spelt_out(typed("Ulcer, 14mm."), load().spelling)
    assert heard.text == "ulcer fourteen millimetres"


def test_pronunciations_agree_with_a_published_dictionary() -> None:
    """Against the CMU dictionary's American English, as PocketSphinx ships it."""
    from pocketsphinx import get_model_path

    words = "left right border white plaque ten eight millimeters soft firm node tongue lip patch"
    published = {}
    path = Path(get_model_path()) / "en-us" / "cmudict-en-us.dict"
    for line in path.read_text(encoding="utf-8").splitlines():
        word, sounds = line.split(" ", 1)
        published.setdefault(word, sounds.split())
    wrong = total = 0
    for word, sounds in pronunciations(words.split()).items():
        expected = published[word]
        wrong += _distance(sounds.split(), expected)
        total += len(expected)
    assert wrong / total < 0.2


def _distance(a: list[str], b: list[str]) -> int:
    row = list(range(len(b) + 1))
    for i, x in enumerate(a, 1):
        before, row[0] = row[0], i
        for j, y in enumerate(b, 1):
            before, row[j] = row[j], min(row[j] + 1, row[j - 1] + 1, before + (x != y))
    return row[-1]


def test_stress_falls_away_from_pronunciations() -> None:
    assert arpabet("bˈʌkəl") == "B AH K AH L"


def test_pocketsphinx_hears_a_shipped_dictation() -> None:
    recogniser = PocketSphinx(
        load(),
        [
            ["white", "plaque", "on", "the", "left", "lateral", "border", "of", "the", "tongue"],
            ["ten", "by", "six", "millimeters", "does", "not", "wipe", "off", "three", "weeks"],
            ["ulcer", "on", "the", "right", "floor", "of", "mouth"],
        ],
    )
    samples, _ = soundfile.read(str(ROOT / "dev" / "dev-01.flac"), dtype="int16")
    recogniser.hear(samples)
    utterance = recogniser.finish()
    assert utterance is not None
    assert "left lateral border of the tongue" in utterance.text
    recogniser.hear(np.zeros(16_000, np.int16))
    recogniser.finish()
    assert recogniser.finish() is None


def test_the_same_voice_says_the_same_thing_the_same_way() -> None:
    voice = VOICES.named("espeak-us-m")
    first, second = (synthesise("left tongue", voice, 1.0, {}) for _ in range(2))
    assert np.array_equal(first, second)
    assert pace_of("dev-001", "joe") == pace_of("dev-001", "joe")
    slow = synthesise("left tongue", voice, 1.4, {})
    assert len(slow) > 1.2 * len(first)


def test_respelling_touches_whole_words_only() -> None:
    assert respelt("Gingiva, gingivae", {"gingiva": "jinjyva"}) == "jinjyva, gingivae"


def test_single_parts_are_known_from_the_vocabulary() -> None:
    from dictate.exam.finding import FindingFields

    places = Places(load())
    uvula = FindingFields(region="soft palate", subsite="uvula", side="midline")
    assert places.values(uvula, "side") == frozenset()
    assert places.values(FindingFields(region="tongue", side="midline"), "side")


def test_start_up_and_memory_are_those_of_another_process() -> None:
    from dictate.bench.probe import probe

    seen = probe("packaged", [ROOT / "dev" / "dev-01.flac"])
    assert 0.2 < seen["startup_cpu_s"] < 60
    assert 0 < seen["startup_s"] < 120
    assert 60 < seen["peak_memory_mb"] < 2000
    with pytest.raises(BenchError, match="could not be timed"):
        probe("packaged:/nowhere", [])
