"""The help in noise: its spectrum, when it acts, and a model with, without and with broken files.

The short-time spectrum is checked against SciPy's, a general library.
"""

from __future__ import annotations

import shutil
from pathlib import Path

import numpy as np
import pytest
from scipy.signal import stft

from dictate.audio.source import RATE
from dictate.errors import EngineError
from dictate.speech.packaged.front import HOP, WINDOW, Floats, Help, sound_of, spectrum
from dictate.speech.packaged.model_files import find_model
from dictate.speech.packaged.network import Network
from dictate.speech.packaged.tokens import START

ADAPTED = Path(__file__).resolve().parents[1] / "models" / "adapted-en"
HELP = ("front.onnx", "mend.onnx")
LARGEST_BYTES = 1_500_000


def copy_of_model(folder: Path, without: tuple[str, ...] = ()) -> Path:
    return shutil.copytree(ADAPTED, folder, ignore=shutil.ignore_patterns(*without))


def noise(seconds: float, size: float) -> Floats:
    drawn = np.random.default_rng(3).standard_normal(int(RATE * seconds))
    return (drawn * size).astype(np.float32)


def tone_bursts() -> Floats:
    """Loud tones with pauses of digital silence between them: sound without any noise."""
    at = np.arange(2 * RATE) / RATE
    return (0.3 * np.sin(2 * np.pi * 220 * at) * (np.sin(2 * np.pi * 2 * at) > 0)).astype(
        np.float32
    )


class Constant:
    """A network that gives one factor for everything, and states times two."""

    def __init__(self, factor: float) -> None:
        self._factor = factor

    def run(self, outputs: None, feed: dict[str, Floats]) -> list[Floats]:
        if "states" in feed:
            return [2 * feed["states"]]
        return [np.full_like(feed["levels"], self._factor)]


@pytest.mark.parametrize("count", [4000, 4096, 16001])
def test_the_spectrum_is_the_usual_one_and_gives_the_sound_back(count: int) -> None:
    sound = noise(2, 0.1)[:count]
    shape = np.sqrt(np.hanning(WINDOW + 1)[:-1])
    _, _, theirs = stft(
        sound, window=shape, nperseg=WINDOW, noverlap=WINDOW - HOP, return_onesided=True
    )
    ours = spectrum(sound)
    both = min(ours.shape[1], theirs.shape[1])
    assert np.allclose(ours[:, :both], theirs[:, :both] * shape.sum(), atol=1e-4)
    assert np.allclose(sound_of(ours, count), sound, atol=1e-6)


def test_what_the_factors_leave_is_what_is_heard() -> None:
    sound = noise(1, 0.1)
    cleaned = Help(Constant(0.5), Constant(1)).cleaned(sound)
    assert cleaned is not None
    assert np.allclose(cleaned, sound / 2, atol=1e-6)


def test_sound_with_little_noise_is_not_touched() -> None:
    assert Help(Constant(0.9), Constant(1)).cleaned(noise(1, 0.1)) is None


def test_the_shipped_help_takes_noise_away_and_leaves_quiet_sound_alone() -> None:
    network = Network(find_model(ADAPTED))
    help_ = network._help
    assert help_ is not None
    loud = noise(2, 0.05)
    cleaned = help_.cleaned(loud)
    assert cleaned is not None
    assert np.square(cleaned).mean() < 0.5 * np.square(loud).mean()
    assert help_.cleaned(tone_bursts()) is None


def test_the_shipped_help_is_small() -> None:
    assert sum((ADAPTED / name).stat().st_size for name in HELP) <= LARGEST_BYTES


def test_without_its_help_a_model_hears_quiet_sound_the_same_and_noise_otherwise(
    tmp_path: Path,
) -> None:
    plain = Network(find_model(copy_of_model(tmp_path / "plain", HELP)))
    helped = Network(find_model(ADAPTED))
    for sound, same in ((tone_bursts(), True), (noise(2, 0.05), False)):
        samples = (sound * 32767).astype(np.int16)
        logits = [each.listen(samples).begin([START])[0] for each in (plain, helped)]
        assert np.array_equal(*logits) == same


@pytest.mark.parametrize("name", HELP)
def test_half_of_the_help_is_a_half_copied_model(tmp_path: Path, name: str) -> None:
    folder = copy_of_model(tmp_path / "model", (name,))
    with pytest.raises(EngineError, match=f"{Path(name).stem}.*is missing; copy the whole model"):
        find_model(folder)


@pytest.mark.parametrize("name", HELP)
@pytest.mark.parametrize("content", [b"", b"\x00" * 100, b"not a model"])
def test_a_broken_file_is_told_in_one_line(tmp_path: Path, name: str, content: bytes) -> None:
    folder = copy_of_model(tmp_path / "model")
    (folder / name).write_bytes(content)
    with pytest.raises(EngineError, match=f"{name}: does not load") as error:
        Network(find_model(folder))
    assert "\n" not in str(error.value)
