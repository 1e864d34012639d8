"""The microphone against a real sound system: PulseAudio, ALSA and PortAudio, no fakes."""

from __future__ import annotations

import subprocess
from pathlib import Path

import numpy as np
import pytest
import soundfile
import soxr

from dictate.audio.hearing import Status
from dictate.audio.microphone import list_microphones, open_microphone
from dictate.audio.source import FRAME, RATE
from tests.microphone_helpers import Recorder, States
from tests.pulse import NullSink, pulse_null_sink  # noqa: F401


@pytest.fixture
def spoken(tmp_path: Path) -> Path:
    path = tmp_path / "spoken.wav"
    text = "left lateral border of tongue, white plaque, ten by six millimetres"
    subprocess.run(["espeak-ng", "-w", str(path), text], check=True)
    return path


def likeness(heard: np.ndarray, played: np.ndarray) -> float:
    """Peak of the normalised cross-correlation, 0 to 1, at the best alignment.

    The definition of the correlation coefficient, by numpy's FFT; no code of the project.
    """
    size = len(heard) + len(played)
    a, b = heard.astype(float), played.astype(float)
    product = np.fft.irfft(np.fft.rfft(a, size) * np.conj(np.fft.rfft(b, size)), size)
    at = int(np.argmax(product[: len(heard)]))
    part = a[at : at + len(played)]
    return float(product[at] / (np.linalg.norm(part) * np.linalg.norm(b)))


def test_hears_what_is_played(pulse_null_sink: NullSink, spoken: Path) -> None:  # noqa: F811
    recorder = Recorder(open_microphone())
    pulse_null_sink.play(spoken)
    heard = recorder.stop()

    samples, rate = soundfile.read(spoken, dtype="float64")
    assert likeness(heard, soxr.resample(samples, rate, RATE)) > 0.95
    assert not any(frame.lost for frame in recorder.frames)
    starts = [frame.start_s for frame in recorder.frames]
    assert np.allclose(np.diff(starts), FRAME / RATE)


def test_unplugged_and_back(pulse_null_sink: NullSink, spoken: Path) -> None:  # noqa: F811
    states = States()
    microphone = open_microphone(on_change=states)
    recorder = Recorder(microphone)
    pulse_null_sink.unplug()
    deaf = states.wait_for(Status.DEAF)
    assert deaf.why
    pulse_null_sink.plug_in()
    states.wait_for(Status.LISTENING)
    before = len(recorder.frames)
    pulse_null_sink.play(spoken)
    recorder.stop()

    after = np.concatenate([frame.samples for frame in recorder.frames[before:]])
    samples, rate = soundfile.read(spoken, dtype="float64")
    assert likeness(after, soxr.resample(samples, rate, RATE)) > 0.95
    assert any(frame.lost for frame in recorder.frames)


def test_lists_the_microphones(pulse_null_sink: NullSink) -> None:  # noqa: F811
    found = list_microphones()
    assert [device.name for device in found if device.default] == ["default"]
    assert all(device.channels > 0 for device in found)
