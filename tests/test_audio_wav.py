"""Recordings of every usual kind become the same 16 kHz frames.

Outside references: soundfile reads, soxr and `sox` (its own resampler) convert.
"""

from __future__ import annotations

import subprocess
import tracemalloc
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest
import soundfile
import soxr

from dictate.audio.paced import Paced
from dictate.audio.source import FRAME, RATE, Frame
from dictate.audio.wav import Recording, open_recording
from dictate.errors import AudioError

Samples = npt.NDArray[np.int16]


def tones(rate: int, seconds: float = 1.0) -> npt.NDArray[np.float64]:
    """Two tones that fit in telephone speech, with a soft start and end."""
    time = np.arange(int(rate * seconds)) / rate
    sound = 0.3 * np.sin(2 * np.pi * 440 * time) + 0.2 * np.sin(2 * np.pi * 2500 * time)
    return sound * np.hanning(len(sound)) ** 0.2


def write(path: Path, sound: npt.NDArray[np.float64], rate: int, subtype: str) -> Path:
    soundfile.write(path, sound, rate, subtype=subtype)
    return path


def read(path: Path) -> Samples:
    return np.concatenate([frame.samples for frame in open_recording(path).frames()])


def error_db(got: Samples, expected: npt.NDArray[np.float64]) -> float:
    """Difference against what is expected, in dB; the far ends are left out."""
    count = min(len(got), len(expected))
    middle = slice(count // 20, count - count // 20)
    wrong = got[:count][middle] / 32768 - expected[:count][middle]
    power = float(np.sum(expected[:count][middle] ** 2))
    return 10 * float(np.log10(np.sum(wrong**2) / power))


@pytest.mark.parametrize(
    ("suffix", "subtype", "worst_db"),
    [
        ("wav", "PCM_16", -80),
        ("wav", "PCM_24", -80),
        ("wav", "PCM_32", -80),
        ("wav", "FLOAT", -80),
        ("wav", "DOUBLE", -80),
        ("wav", "PCM_U8", -30),
        ("wav", "ULAW", -25),
        ("flac", "PCM_16", -80),
        ("flac", "PCM_24", -80),
        ("ogg", "VORBIS", -20),
    ],
)
def test_formats_and_depths(tmp_path: Path, suffix: str, subtype: str, worst_db: float) -> None:
    sound = tones(RATE)
    path = write(tmp_path / f"a.{suffix}", sound, RATE, subtype)
    assert error_db(read(path), sound) < worst_db


@pytest.mark.parametrize("rate", [8_000, 11_025, 22_050, 44_100, 48_000, 96_000])
def test_rates_agree_with_soxr_in_one_piece(tmp_path: Path, rate: int) -> None:
    sound = tones(rate)
    path = write(tmp_path / "a.wav", sound, rate, "FLOAT")
    assert error_db(read(path), soxr.resample(sound, rate, RATE)) < -60


@pytest.mark.parametrize("rate", [8_000, 44_100])
def test_stereo_at_another_rate_agrees_with_sox(tmp_path: Path, rate: int) -> None:
    left, right = tones(rate), 0.5 * tones(rate)[::-1]
    path = write(tmp_path / "a.wav", np.stack([left, right], axis=1), rate, "PCM_16")
    other = tmp_path / "b.wav"
    subprocess.run(["sox", "-D", path, "-r", "16000", "-c", "1", "-b", "16", other], check=True)
    expected, _ = soundfile.read(other)
    assert error_db(read(path), expected) < -40


def test_six_channels_are_mixed(tmp_path: Path) -> None:
    sound = tones(RATE)
    path = write(tmp_path / "a.wav", np.stack([sound] * 6, axis=1), RATE, "PCM_16")
    assert error_db(read(path), sound) < -70


def test_frames_are_whole_in_order_and_padded_at_the_end(tmp_path: Path) -> None:
    path = write(tmp_path / "a.wav", np.full(1300, 0.5), RATE, "PCM_16")
    frames = list(open_recording(path).frames())
    assert [len(frame.samples) for frame in frames] == [FRAME] * 3
    assert [frame.start_s for frame in frames] == [0.0, FRAME / RATE, 2 * FRAME / RATE]
    assert not frames[-1].samples[1300 - 2 * FRAME :].any()


def test_full_scale_and_broken_float_samples_stay_in_range(tmp_path: Path) -> None:
    sound = np.array([2.0, -2.0, np.nan, np.inf, -np.inf] * 400)
    got = read(write(tmp_path / "a.wav", sound, RATE, "FLOAT"))
    assert got.dtype == np.int16
    assert (got.max(), got.min()) == (32767, -32768)


@pytest.mark.parametrize(
    ("name", "content", "cause"),
    [
        ("none.wav", None, "no such file"),
        ("empty.wav", b"", "empty"),
        ("notes.wav", b"left lateral tongue\n" * 50, "not audio"),
        ("header.wav", b"RIFF\x24\x00\x00\x00WAVEfmt ", "not audio"),
    ],
)
def test_what_is_no_recording_is_refused_in_one_line(
    tmp_path: Path, name: str, content: bytes | None, cause: str
) -> None:
    path = tmp_path / name
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(AudioError, match=cause) as refused:
        open_recording(path)
    assert "\n" not in str(refused.value)
    assert ";" in str(refused.value)


def test_a_folder_is_refused(tmp_path: Path) -> None:
    with pytest.raises(AudioError, match="folder"):
        open_recording(tmp_path)


def test_a_recording_without_samples_is_refused(tmp_path: Path) -> None:
    path = write(tmp_path / "a.wav", np.zeros(0), RATE, "PCM_16")
    with pytest.raises(AudioError, match="no sound"):
        open_recording(path)


def test_a_rate_too_low_for_speech_is_refused(tmp_path: Path) -> None:
    path = write(tmp_path / "a.wav", tones(6_000), 6_000, "PCM_16")
    with pytest.raises(AudioError, match="6000 Hz"):
        open_recording(path)


def test_a_recording_cut_short_gives_what_it_has(tmp_path: Path) -> None:
    whole = write(tmp_path / "a.wav", tones(RATE, 2.0), RATE, "PCM_16").read_bytes()
    (tmp_path / "cut.wav").write_bytes(whole[: len(whole) // 2])
    assert RATE - 100 < len(read(tmp_path / "cut.wav")) < RATE + FRAME


def test_what_damage_made_unreadable_is_told_as_lost(tmp_path: Path) -> None:
    """libmpg123 passes over what it cannot read and says so on stderr alone."""
    path = tmp_path / "a.mp3"
    soundfile.write(path, tones(RATE, 3.0), RATE, format="MP3")
    whole = list(open_recording(path).frames())
    assert sum(each.lost for each in whole) == 0
    data = bytearray(path.read_bytes())
    rng = np.random.default_rng(1)
    places = rng.integers(len(data) // 3, len(data), 200)
    for place, value in zip(places, rng.integers(0, 256, 200), strict=True):
        data[place] = value
    path.write_bytes(data)
    frames = list(open_recording(path).frames())
    assert frames[-1].lost > RATE // 2
    assert len(frames) * FRAME + frames[-1].lost == pytest.approx(len(whole) * FRAME, abs=2 * FRAME)


def test_damage_in_the_middle_is_told(tmp_path: Path) -> None:
    rng = np.random.default_rng(0)
    path = write(tmp_path / "a.flac", rng.uniform(-0.5, 0.5, RATE * 4), RATE, "PCM_16")
    data = bytearray(path.read_bytes())
    data[len(data) // 2 : len(data) // 2 + 40_000] = bytes(40_000)
    path.write_bytes(data)
    try:
        length, told = len(read(path)), ""
    except AudioError as error:
        length, told = 0, str(error)
    # What libsndfile makes of the gap depends on its release: it raises, or it goes on.
    assert 0 < length <= RATE * 4 + FRAME or "damaged" in told


def test_hours_are_read_in_bounded_memory(tmp_path: Path) -> None:
    path = tmp_path / "long.flac"
    minute = (tones(RATE, 60.0) * 32767).astype(np.int16)
    with soundfile.SoundFile(path, "w", RATE, 1, subtype="PCM_16") as file:
        for _ in range(30):
            file.write(minute)
    tracemalloc.start()
    count = sum(1 for _ in open_recording(path).frames())
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert count == 30 * 60 * RATE // FRAME
    assert peak < 2_000_000, "30 minutes of samples take 57 MB"


def test_closing_ends_the_frames(tmp_path: Path) -> None:
    recording = open_recording(write(tmp_path / "a.wav", tones(RATE, 5.0), RATE, "PCM_16"))
    frames = recording.frames()
    next(frames)
    recording.close()
    recording.close()
    assert len(list(frames)) < 20


class Clock:
    """A clock that only waiting moves on."""

    def __init__(self) -> None:
        self.now = 100.0
        self.waits: list[float] = []

    def __call__(self) -> float:
        return self.now

    def wait(self, seconds: float) -> bool:
        self.waits.append(seconds)
        self.now += seconds
        return False


def test_playback_keeps_the_speed_of_speech(tmp_path: Path) -> None:
    path = write(tmp_path / "a.wav", tones(RATE, 0.5), RATE, "PCM_16")
    clock = Clock()
    times = [clock.now - 100.0 for _ in Paced(Recording(path), clock, clock.wait).frames()]
    assert times == pytest.approx([(n + 1) * FRAME / RATE for n in range(len(times))])


def test_playback_catches_up_with_a_slow_reader(tmp_path: Path) -> None:
    path = write(tmp_path / "a.wav", tones(RATE, 1.0), RATE, "PCM_16")
    clock = Clock()
    frames = Paced(Recording(path), clock, clock.wait).frames()
    next(frames)
    clock.now += 0.5
    before = len(clock.waits)
    for _ in range(15):
        next(frames)
    assert len(clock.waits) == before


def test_closing_breaks_off_playback(tmp_path: Path) -> None:
    source = open_recording(
        write(tmp_path / "a.wav", tones(RATE, 5.0), RATE, "PCM_16"), realtime=True
    )
    got: list[Frame] = []
    for frame in source.frames():
        got.append(frame)
        source.close()
    assert len(got) == 1


def test_the_name_and_the_length_are_told(tmp_path: Path) -> None:
    recording = Recording(write(tmp_path / "a.wav", tones(8_000, 2.5), 8_000, "PCM_16"))
    assert (recording.name, recording.duration_s) == ("a.wav", 2.5)


@pytest.fixture(autouse=True)
def quiet() -> Iterator[None]:
    """Overflow in these tests is meant."""
    with np.errstate(all="ignore"):
        yield
