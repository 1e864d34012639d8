"""Faults of a microphone, each in a real listening process with a stand-in sound library."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from dictate.audio import resilient
from dictate.audio.hearing import Status
from dictate.audio.microphone import list_microphones, open_microphone
from dictate.errors import AudioError
from tests.microphone_helpers import Recorder, States

FAKES = Path(__file__).parent / "fakes"


@pytest.fixture
def fault(monkeypatch: pytest.MonkeyPatch):
    """Sets what the sound library in the listening process does wrong."""
    monkeypatch.setenv("PYTHONPATH", str(FAKES))

    def choose(name: str) -> None:
        monkeypatch.setenv("FAKE_SOUND", name)

    choose("")
    return choose


def jumps(samples: np.ndarray) -> int:
    """How often the counting microphone's samples do not follow on from each other."""
    steps = np.diff(samples.astype(np.int64))
    return int(np.count_nonzero((steps != 1) & (steps != -29999)))


def test_samples_arrive_whole_and_in_order(fault) -> None:
    states = States()
    recorder = Recorder(open_microphone(on_change=states))
    recorder.wait_for(20)
    heard = recorder.stop()
    assert states.seen[0].device == "Chairside USB"
    assert heard[0] == 1
    assert jumps(heard) == 0


def test_what_the_library_prints_harms_nothing(fault, capfd: pytest.CaptureFixture[str]) -> None:
    fault("prints")
    recorder = Recorder(open_microphone())
    recorder.wait_for(20)
    assert jumps(recorder.stop()) == 0
    assert capfd.readouterr() == ("", "")


@pytest.mark.parametrize(
    ("name", "message"),
    [
        ("no portaudio", "PortAudio library is missing; install libportaudio2"),
        ("no microphone", "no microphone; plug one in"),
        ("refuses", "'Chairside USB' cannot be opened"),
    ],
)
def test_what_cannot_work_is_said_at_once(fault, name: str, message: str) -> None:
    fault(name)
    with pytest.raises(AudioError, match=message) as caught:
        open_microphone()
    assert "\n" not in str(caught.value)


def test_an_unknown_microphone_is_said_at_once(fault) -> None:
    with pytest.raises(AudioError, match="called 'headset'; there is: 'Chairside USB'"):
        open_microphone("headset")


def test_a_library_that_hangs_on_opening_is_ended(fault, monkeypatch: pytest.MonkeyPatch) -> None:
    fault("hangs on opening")
    monkeypatch.setattr(resilient, "OPEN_S", 1.0)
    with pytest.raises(AudioError, match="does not answer"):
        open_microphone()


@pytest.mark.parametrize("name", ["unplugged", "crashes", "falls silent", "hangs on closing"])
def test_hearing_is_lost_and_comes_back(fault, name: str) -> None:
    fault(name)
    states = States()
    recorder = Recorder(open_microphone(on_change=states))
    assert states.wait_for(Status.DEAF).why
    fault("")
    states.wait_for(Status.LISTENING)
    before = len(recorder.frames)
    recorder.wait_for(before + 10)
    recorder.stop()
    assert sum(frame.lost for frame in recorder.frames) > 0
    starts = [frame.start_s for frame in recorder.frames]
    assert starts == sorted(starts)


def test_a_refused_rate_is_converted(fault) -> None:
    """The stand-in counts at 48 kHz: three of its samples make one at 16 kHz."""
    fault("refuses 16 kHz")
    recorder = Recorder(open_microphone())
    recorder.wait_for(15)
    heard = recorder.stop()
    steps = np.diff(heard[1000:5000].astype(int))
    assert np.median(steps) == 3


def test_overflow_is_told(fault) -> None:
    fault("overflows")
    recorder = Recorder(open_microphone())
    recorder.wait_for(20)
    recorder.stop()
    lost = [frame for frame in recorder.frames if frame.lost]
    assert [frame.lost for frame in lost] == [512]
    assert lost[0].start_s == pytest.approx(6 * 0.032)


def test_without_a_microphone_it_can_wait_for_one(fault) -> None:
    fault("no microphone")
    states = States()
    recorder = Recorder(open_microphone(on_change=states, wait_for_it=True))
    assert "plug one in" in states.wait_for(Status.DEAF).why
    fault("")
    states.wait_for(Status.LISTENING)
    recorder.wait_for(1)
    assert len(recorder.stop())


def test_lists_what_is_plugged_in(fault) -> None:
    assert [device.name for device in list_microphones()] == ["Chairside USB", "Built-in"]
    fault("no microphone")
    assert list_microphones() == ()
    fault("no portaudio")
    with pytest.raises(AudioError, match="libportaudio2"):
        list_microphones()


def test_the_listening_process_ends_with_its_parent(fault) -> None:
    """Killed without a chance to tidy up, the session must not leave a live microphone."""
    fault("hangs on closing")
    script = """
import os, pathlib, time
from dictate.audio.microphone import open_microphone
microphone = open_microphone()
tasks = pathlib.Path(f"/proc/{os.getpid()}/task").iterdir()
print(*[(task / "children").read_text() for task in tasks], flush=True)
time.sleep(60)
"""
    parent = subprocess.Popen([sys.executable, "-c", script], stdout=subprocess.PIPE, text=True)
    assert parent.stdout is not None
    child = int(parent.stdout.readline())
    parent.send_signal(signal.SIGKILL)
    parent.wait()
    parent.stdout.close()
    for _ in range(1000):
        if not _alive(child):
            return
        _wait_a_little()
    os.kill(child, signal.SIGKILL)
    pytest.fail("the listening process outlived its parent")


def _alive(pid: int) -> bool:
    try:
        state = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0]
    except FileNotFoundError:
        return False
    return state != "Z"


def _wait_a_little() -> None:
    subprocess.run(["sleep", "0.02"], check=True)
