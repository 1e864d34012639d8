"""Cutting a stream into utterances: the rules with a scripted voice detector."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dictate.audio.endpointer import (
    FRAME_S,
    Endpointer,
    EndpointSettings,
    Pause,
    Resume,
    Speech,
    SpeechEnd,
    SpeechEvent,
    SpeechStart,
)
from dictate.audio.source import FRAME, Frame, Samples

VOICED, SILENT = 0.9, 0.05


def events_of(
    probabilities: Sequence[float],
    loudness: Sequence[int] | None = None,
    settings: EndpointSettings | None = None,
) -> list[SpeechEvent]:
    """Events of frames that the detector finds so likely to be speech."""
    script = iter(probabilities)

    def voice(_: Samples) -> float:
        return next(script)

    endpointer = Endpointer(voice, settings)
    events: list[SpeechEvent] = []
    for index in range(len(probabilities)):
        level = loudness[index] if loudness else 100
        events += endpointer.push(Frame(np.full(FRAME, level, np.int16), index * FRAME_S))
    return events + list(endpointer.flush())


def spans(events: Sequence[SpeechEvent]) -> list[tuple[int, int]]:
    """First and last frame index of each utterance."""
    found: list[tuple[int, int]] = []
    indices: list[int] = []
    for event in events:
        if isinstance(event, SpeechStart):
            indices = []
        elif isinstance(event, Speech):
            indices.append(round(event.frame.start_s / FRAME_S))
        elif isinstance(event, SpeechEnd):
            found.append((indices[0], indices[-1]))
    return found


def test_silence_is_no_utterance() -> None:
    assert events_of([SILENT] * 200) == []


def test_a_click_is_no_utterance() -> None:
    assert events_of([SILENT] * 20 + [VOICED] + [SILENT] * 40) == []


def test_an_utterance_keeps_what_came_just_before_and_ends_after_silence() -> None:
    events = events_of([SILENT] * 30 + [VOICED] * 20 + [SILENT] * 40)
    assert spans(events) == [(22, 68)]
    assert events[0] == SpeechStart(22 * FRAME_S)
    assert events[-1] == SpeechEnd(50 * FRAME_S)


def test_the_stream_may_start_and_stop_amid_speech() -> None:
    assert spans(events_of([VOICED] * 20)) == [(0, 19)]


def test_a_breath_pauses_but_does_not_cut() -> None:
    events = events_of([VOICED] * 20 + [SILENT] * 15 + [VOICED] * 20 + [SILENT] * 30)
    assert len(spans(events)) == 1
    kinds = [type(event) for event in events if not isinstance(event, Speech)]
    assert kinds == [SpeechStart, Pause, Resume, Pause, SpeechEnd]


def test_a_doubtful_frame_goes_on_but_does_not_start() -> None:
    doubtful = 0.42
    assert events_of([doubtful] * 100) == []
    assert spans(events_of([VOICED] * 5 + [doubtful] * 50)) == [(0, 54)]


def test_a_longer_silence_can_be_asked_for_and_lasts_one_utterance() -> None:
    script = iter([VOICED] * 20 + [SILENT] * 30 + [VOICED] * 20 + [SILENT] * 100)
    endpointer = Endpointer(lambda _: next(script))
    ends = []
    for index in range(170):
        for event in endpointer.push(Frame(np.zeros(FRAME, np.int16), index * FRAME_S)):
            if isinstance(event, Pause):
                endpointer.silence_s = 1.2
            if isinstance(event, SpeechEnd):
                ends.append(event.end_s)
    assert ends == [70 * FRAME_S]
    assert endpointer.silence_s == EndpointSettings().silence_s


def test_a_flood_of_words_is_split_at_its_quietest_point() -> None:
    loudness = [3000] * 1000
    loudness[570:573] = [40] * 3
    events = events_of([VOICED] * 1000, loudness)
    assert spans(events)[:2] == [(0, 571), (572, 999)]
    ends = [event for event in events if isinstance(event, SpeechEnd)]
    assert [end.split for end in ends] == [True, False]


def test_a_long_utterance_needs_less_silence_to_end() -> None:
    breath = [SILENT] * 14
    early = [VOICED] * 60 + breath + [VOICED] * 60 + [SILENT] * 40
    late = [VOICED] * 560 + breath + [VOICED] * 60 + [SILENT] * 40
    assert len(spans(events_of(early))) == 1
    assert len(spans(events_of(late))) == 2


@pytest.mark.parametrize("pauses", [0, 7])
def test_an_hour_of_talk_keeps_a_bounded_number_of_frames(pauses: int) -> None:
    period = [VOICED] * 900 + [SILENT] * pauses
    script = iter(period * 130)
    endpointer = Endpointer(lambda _: next(script))
    sound = np.zeros(FRAME, np.int16)
    for index in range(len(period) * 120):
        list(endpointer.push(Frame(sound, index * FRAME_S)))
        assert len(endpointer._held) + len(endpointer._before) < 120


@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.tuples(st.sampled_from([VOICED, 0.42, SILENT]), st.integers(1, 400)),
        max_size=12,
    ),
    st.integers(0, 5),
)
def test_no_voiced_frame_is_lost_or_heard_twice(runs: list[tuple[float, int]], seed: int) -> None:
    """Whatever the pattern: every frame at most once, in order; no run of speech left out."""
    probabilities = [probability for probability, count in runs for _ in range(count)]
    rng = np.random.default_rng(seed)
    loudness = [int(level) for level in rng.integers(1, 3000, len(probabilities))]
    events = events_of(probabilities, loudness)
    heard = [round(event.frame.start_s / FRAME_S) for event in events if isinstance(event, Speech)]
    assert heard == sorted(set(heard))
    for index in range(1, len(probabilities)):
        if probabilities[index] == probabilities[index - 1] == VOICED:
            assert {index - 1, index} <= set(heard)
    starts = sum(isinstance(event, SpeechStart) for event in events)
    assert starts == sum(isinstance(event, SpeechEnd) for event in events)
