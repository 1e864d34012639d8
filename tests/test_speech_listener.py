"""The listener with a scripted voice detector and a recogniser that counts what it is given."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import pytest

from dictate.audio.endpointer import FRAME_S, Endpointer, SpeechStart
from dictate.audio.level import Level
from dictate.audio.source import FRAME, RATE, Frame, Samples
from dictate.speech.heard import Partial, Utterance, typed
from dictate.speech.listener import ListenEvent, Lost, NotUnderstood, listen
from dictate.speech.unfinished import unfinished

VOICED, SILENT = 0.9, 0.05


class Plain:
    """Hears "n" for n frames; no word in fewer than `least`."""

    name = "plain"

    def __init__(self, least: int = 0) -> None:
        self.least = least
        self.samples: list[Samples] = []
        self.asked = 0
        self.closed = False

    def begin(self, start_s: float) -> None:
        self.start_s = start_s
        self.samples = []

    def hear(self, samples: Samples) -> None:
        self.samples.append(samples)

    def partial(self) -> str:
        self.asked += 1
        return str(len(self.samples))

    def finish(self) -> Utterance | None:
        if len(self.samples) < self.least:
            return None
        return typed(str(len(self.samples)), self.start_s)

    def close(self) -> None:
        self.closed = True


class Ahead(Plain):
    """One that reads ahead, and always the same words."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.text = text
        self.prepared: list[int] = []

    def prepare(self) -> str:
        self.prepared.append(len(self.samples))
        return self.text

    def finish(self) -> Utterance | None:
        return typed(f"{self.text} {len(self.samples)}", self.start_s)


def frames(count: int, lost_at: int | None = None) -> Iterator[Frame]:
    for index in range(count):
        lost = 800 if index == lost_at else 0
        yield Frame(np.full(FRAME, index % 1000, np.int16), index * FRAME_S, lost)


def hear(
    probabilities: Sequence[float],
    recogniser: Plain,
    partial_every_s: float | None = 0.384,
    lost_at: int | None = None,
) -> list[ListenEvent]:
    script = iter(probabilities)
    endpointer = Endpointer(lambda _: next(script))
    stream = frames(len(probabilities), lost_at)
    return list(listen(stream, recogniser, endpointer, partial_every_s))


def of(kind: type, events: Sequence[ListenEvent]) -> list[ListenEvent]:
    return [event for event in events if isinstance(event, kind)]


def test_silence_gives_levels_alone() -> None:
    events = hear([SILENT] * 50, Plain())
    assert len(events) == len(of(Level, events)) == 50


def test_an_utterance_starts_grows_and_ends() -> None:
    events = hear([SILENT] * 20 + [VOICED] * 60 + [SILENT] * 40, Plain())
    kinds = [type(event) for event in events if not isinstance(event, Level)]
    assert kinds[0] is SpeechStart
    assert kinds[-1] is Utterance
    assert set(kinds[1:-1]) == {Partial}
    (start,) = of(SpeechStart, events)
    (heard,) = of(Utterance, events)
    assert isinstance(start, SpeechStart)
    assert isinstance(heard, Utterance)
    assert heard.start_s == start.start_s


def test_partials_come_every_400_ms_while_someone_speaks() -> None:
    script = iter([VOICED] * 200)
    endpointer = Endpointer(lambda _: next(script))
    times = [0.0]
    now = 0.0
    for event in listen(frames(200), Plain(), endpointer):
        if isinstance(event, Level):
            now = event.at_s
        if isinstance(event, Partial):
            times.append(now)
    gaps = np.diff(times)
    assert len(gaps) >= 14
    assert gaps.max() <= 0.4 + FRAME_S


def test_no_partials_when_not_wanted() -> None:
    recogniser = Plain()
    events = hear([VOICED] * 60 + [SILENT] * 40, recogniser, None)
    assert not of(Partial, events)
    assert recogniser.asked == 0


def test_speech_without_words_is_told_not_dropped() -> None:
    events = hear([SILENT] * 20 + [VOICED] * 10 + [SILENT] * 40, Plain(least=1000))
    (nothing,) = of(NotUnderstood, events)
    assert isinstance(nothing, NotUnderstood)
    assert nothing.end_s == pytest.approx(30 * FRAME_S)


def test_speech_cut_off_by_the_end_of_the_stream_is_heard() -> None:
    assert len(of(Utterance, hear([VOICED] * 30, Plain()))) == 1


def test_lost_sound_is_told() -> None:
    events = hear([SILENT] * 20, Plain(), lost_at=7)
    assert of(Lost, events) == [Lost(7 * FRAME_S, 800 / RATE)]


def test_a_reading_made_in_the_pause_is_not_spoilt_by_the_silence_after_it() -> None:
    recogniser = Ahead("white plaque")
    hear([VOICED] * 30 + [SILENT] * 40, recogniser)
    assert recogniser.prepared == [len(recogniser.samples)]


def test_speech_after_a_pause_is_heard_with_the_pause_whole() -> None:
    recogniser = Ahead("white plaque")
    events = hear([VOICED] * 30 + [SILENT] * 12 + [VOICED] * 30 + [SILENT] * 40, recogniser)
    assert len(of(Utterance, events)) == 1
    given = np.concatenate(recogniser.samples)
    expected = np.concatenate([frame.samples for frame in frames(72)])
    assert np.array_equal(given[: len(expected)], expected)


@pytest.mark.parametrize(("text", "utterances"), [("ten by six", 1), ("ten millimetres", 2)])
def test_words_that_call_for_more_are_waited_for(text: str, utterances: int) -> None:
    events = hear([VOICED] * 30 + [SILENT] * 28 + [VOICED] * 30 + [SILENT] * 60, Ahead(text))
    assert len(of(Utterance, events)) == utterances


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("", False),
        ("white plaque on the", True),
        ("white plaque on the left.", False),
        ("ten by", True),
        ("ten by six", True),
        ("one point", True),
        ("no tenderness", False),
        ("next region", False),
    ],
)
def test_unfinished(text: str, expected: bool) -> None:
    assert unfinished(text) is expected


def test_a_long_stream_is_not_kept() -> None:
    pattern = ([VOICED] * 100 + [SILENT] * 30) * 100
    script = iter(pattern)
    recogniser = Plain()
    endpointer = Endpointer(lambda _: next(script))
    most = 0
    for _ in listen(frames(len(pattern)), recogniser, endpointer):
        most = max(most, len(recogniser.samples))
    assert most < 140
