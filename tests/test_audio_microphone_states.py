"""When a microphone says that it is deaf or behind, measured on a clock under control."""

from __future__ import annotations

import itertools
import threading
import time
from collections.abc import Iterable, Iterator

import numpy as np
import pytest

from dictate.audio.framing import Converter, Framer
from dictate.audio.hearing import Hearing, Status
from dictate.audio.resilient import ResilientMicrophone
from dictate.audio.source import FRAME, RATE, Frame
from dictate.child_process import Message
from dictate.errors import AudioError
from tests.microphone_helpers import Recorder, States
from tests.scripted_capture import BLOCK_S, Clock, Scripted, block, ready

HANGS = 1e9
PAUSE_FRAMES = 46
"""Whole frames in the 1.5 s of silence that end a sentence when hearing is lost."""


class Rig:
    """A microphone whose listening processes follow the scripts given, one after another."""

    def __init__(
        self, *scripts: Iterable[Message | float], device: str | None = None, slow: bool = False
    ) -> None:
        """With `slow` the script does not wait for the reader."""
        self.clock = Clock()
        self.microphone: ResilientMicrophone | None = None
        self._slow = slow
        self.asked: list[str | None] = []
        self.states = States()
        self.changes: list[tuple[float, Hearing]] = []
        self._scripts = iter(scripts)
        self.microphone = ResilientMicrophone(device, self._on_change, self._start, self.clock)

    def _on_change(self, hearing: Hearing) -> None:
        self.changes.append((self.clock(), hearing))
        self.states(hearing)

    def _start(self, device: str | None) -> Scripted:
        self.asked.append(device)
        script = iter(next(self._scripts, [HANGS]))
        return Scripted(self.clock, script if self._slow else self._paced(script))

    def _paced(self, script: Iterator[Message | float]) -> Iterator[Message | float]:
        """A real microphone gives a block every 32 ms; the reader has long taken the last."""
        for step in script:
            heard = isinstance(step, Message) and step.body
            while heard and (not self.microphone or self.microphone.backlog_s > 20 * BLOCK_S):
                time.sleep(0.0005)
            yield step

    def at(self, status: Status) -> float:
        return next(at for at, hearing in self.changes if hearing.status is status)


def blocks(count: int, value: int = 1) -> Iterator[Message]:
    return (block(value) for _ in range(count))


def test_deaf_within_two_seconds_when_the_sound_stops() -> None:
    rig = Rig([ready(), *blocks(10), HANGS])
    rig.states.wait_for(Status.DEAF)
    rig.microphone.close()
    last_block_at = 10 * BLOCK_S
    assert 0 < rig.at(Status.DEAF) - last_block_at <= 2.0


def test_an_hour_of_silence_is_not_deafness() -> None:
    hour = int(3600 / BLOCK_S)
    silence = itertools.repeat(block(0), hour)
    rig = Rig(itertools.chain([ready()], blocks(100), silence, blocks(100), [HANGS]))
    recorder = Recorder(rig.microphone)
    recorder.wait_for(hour + 200)
    recorder.stop()
    heard = [h for at, h in rig.changes if at <= 3600 and h.status is Status.DEAF]
    assert heard == []


def test_digital_silence_asks_whether_it_is_muted() -> None:
    rig = Rig([ready(), *blocks(10), *blocks(1200, value=0), *blocks(10), HANGS])
    recorder = Recorder(rig.microphone)
    rig.states.wait_for(Status.DEAF)
    recorder.stop()
    listening = [h.why for _, h in rig.changes if h.status is Status.LISTENING]
    assert [bool(why) for why in listening] == [False, True, False]
    assert "muted" in listening[1]


def test_a_reader_that_hangs_is_told_within_two_seconds_and_loses_nothing() -> None:
    rig = Rig([ready(), *blocks(600), HANGS], slow=True)
    frames = rig.microphone.frames()
    got = [next(frames)]
    taken_at = rig.clock()
    behind = rig.states.wait_for(Status.BEHIND)
    assert "does not answer" in behind.why or "not come to it" in behind.why
    assert rig.at(Status.BEHIND) - taken_at <= 2.1
    got += itertools.islice(frames, 599)
    rig.microphone.close()
    assert not any(frame.lost for frame in got)
    assert [round(frame.start_s / BLOCK_S) for frame in got] == list(range(600))


def test_a_reader_that_never_came_back_does_not_hold_the_closing() -> None:
    rig = Rig([ready(), *blocks(5000), HANGS], slow=True)
    next(rig.microphone.frames())
    rig.states.wait_for(Status.BEHIND)
    rig.microphone.close()
    rig.microphone.close()


def test_the_clock_goes_on_through_a_gap() -> None:
    rig = Rig(
        [ready(), *blocks(10), Message({"error": "the microphone stopped"})],
        [7.0],
        [ready(), *blocks(10), HANGS],
    )
    recorder = Recorder(rig.microphone)
    recorder.wait_for(10 + PAUSE_FRAMES + 10)
    recorder.stop()
    heard = [frame for frame in recorder.frames if frame.samples.any()]
    before, after = heard[9], heard[10]
    assert after.lost > 0
    assert after.start_s - before.start_s == pytest.approx(rig_gap(rig), abs=0.2)


def rig_gap(rig: Rig) -> float:
    """Seconds the scripts were deaf: the hang of the second until it was given up."""
    listening = [at for at, hearing in rig.changes if hearing.status is Status.LISTENING]
    return listening[1] - rig.at(Status.DEAF)


def test_silence_ends_the_sentence_that_a_fault_cut_off() -> None:
    """Without it the endpointer would hold the words until the microphone is back."""
    rig = Rig([ready(), *blocks(10), Message({"error": "the microphone stopped"})])
    recorder = Recorder(rig.microphone)
    rig.states.wait_for(Status.DEAF)
    recorder.wait_for(10 + PAUSE_FRAMES)
    recorder.stop()
    silent = recorder.frames[10:]
    assert silent[0].lost >= FRAME
    assert not any(frame.samples.any() for frame in silent)
    assert len(silent) * BLOCK_S > 1.2  # the longest that the listener waits


@pytest.mark.parametrize("reader_takes_s", [0.0, 0.02])
def test_deafness_is_told_after_the_last_frame(reader_takes_s: float) -> None:
    """A screen takes a frame for a sign of life; a slow reader is told a second time."""
    rig = Rig([ready(), *blocks(10), Message({"error": "the microphone stopped"})])
    told: list[str] = []
    rig.microphone._on_change = lambda hearing: told.append(hearing.status)

    def read() -> None:
        for _ in rig.microphone.frames():
            time.sleep(reader_takes_s)
            told.append("frame")

    reader = threading.Thread(target=read)
    reader.start()
    while told.count("frame") < 10 + PAUSE_FRAMES or told[-1] == "frame":
        time.sleep(0.01)
    rig.microphone.close()
    reader.join(10)
    last_frame = len(told) - 1 - told[::-1].index("frame")
    assert Status.DEAF in told[last_frame + 1 :]


def test_a_loose_contact_does_not_run_ahead_of_the_clock() -> None:
    """Each break hands on silence; many breaks at once must not add up."""
    breaks = 4
    rig = Rig(*[[ready(), *blocks(5), Message({"error": "it stopped"})] for _ in range(breaks)])
    recorder = Recorder(rig.microphone)
    for _ in range(breaks):
        rig.states.wait_for(Status.DEAF)
    heard_until = rig.clock()
    recorder.stop()
    assert recorder.frames[-1].start_s < heard_until + 2.0


def test_a_device_asked_for_by_name_is_never_swapped() -> None:
    gone = Message({"error": "there is no microphone called 'usb'"})
    rig = Rig([ready(), *blocks(5), gone], [gone], [gone], [10.0], [gone], device="usb")
    while len(rig.asked) < 5:
        time.sleep(0.01)
    rig.microphone.close()
    assert set(rig.asked) == {"usb"}


def test_another_default_is_taken_only_after_a_while_and_is_told() -> None:
    gone = Message({"error": "there is no microphone called 'Chairside USB'"})
    rig = Rig([ready(), *blocks(5), gone], [gone], [6.5], [ready("Built-in"), *blocks(5), HANGS])
    recorder = Recorder(rig.microphone)
    rig.states.wait_for(Status.LISTENING)
    recorder.wait_for(5 + PAUSE_FRAMES + 5)
    recorder.stop()
    assert rig.asked[:4] == [None, "Chairside USB", "Chairside USB", None]
    told = [h for _, h in rig.changes if h.device == "Built-in" and h.why]
    assert "no longer to 'Chairside USB'" in told[0].why


def test_frames_end_when_another_thread_closes() -> None:
    rig = Rig([ready(), *blocks(3), HANGS])
    ended = threading.Event()

    def read() -> None:
        for _ in rig.microphone.frames():
            pass
        ended.set()

    threading.Thread(target=read, daemon=True).start()
    rig.states.wait_for(Status.LISTENING)
    rig.microphone.close()
    assert ended.wait(10)


def test_a_fault_of_our_own_is_raised_not_hidden() -> None:
    rig = Rig([ready(rate=0), *blocks(3)])
    with pytest.raises(AudioError, match=r"listening has failed.*save, then start again"):
        list(rig.microphone.frames())
    assert rig.microphone.hearing.status is Status.DEAF


def test_stereo_at_48_khz_becomes_16_khz_mono() -> None:
    """A 440 Hz tone stays 440 Hz: the peak of its spectrum (the definition of pitch)."""
    t = np.arange(48_000) / 48_000
    tone = (8000 * np.sin(2 * np.pi * 440 * t)).astype("<i2")
    stereo = np.column_stack([tone, tone]).tobytes()
    converter, framer = Converter(48_000, 2), Framer()
    frames: list[Frame] = []
    for at in range(0, len(stereo), 4096):
        frames += framer.push(converter.convert(stereo[at : at + 4096]))
    heard = np.concatenate([frame.samples for frame in frames])
    spectrum = np.abs(np.fft.rfft(heard[: RATE // 2 * 2 - 2048]))
    pitch = int(spectrum.argmax()) * RATE / len(heard[: RATE // 2 * 2 - 2048])
    assert pitch == pytest.approx(440, abs=2)
    assert len(heard) == pytest.approx(RATE, abs=FRAME + 400)


def test_a_gap_pads_what_waits_and_keeps_the_clock() -> None:
    framer = Framer()
    frames = list(framer.push(np.full(700, 5, np.int16)))
    frames += framer.gap(1000)
    frames += framer.push(np.full(512, 6, np.int16))
    assert [frame.lost for frame in frames] == [0, 0, 1000 - (1024 - 700)]
    assert [frame.start_s * RATE for frame in frames] == [0, 512, 1700]
    assert np.count_nonzero(frames[1].samples) == 700 - 512
