"""Measure model directories side by side, unbiased and greedy, by onnxruntime.

python -m adapt.evaluate choose DIR [DIR ...]           real prompts that settings are chosen on
python -m adapt.evaluate guard DIR [DIR ...]            real prompts that are only reported
python -m adapt.evaluate clips SHARDS DIR [DIR ...]     held-out clips, clean and in noise
python -m adapt.evaluate readings DIR [DIR ...]         the readings in the wheel
python -m adapt.evaluate speed DIR [DIR ...]            real-time factor, memory and size
"""

from __future__ import annotations

import resource
import sys
import time
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from adapt.listen import RATE, Floats, Listener, read_clip
from adapt.prompts import Spoken, chooser, guard
from adapt.rebuild import PACKAGED
from adapt.scoring import word_error_rate
from adapt.speech import read_shard
from dictate.audio.wav import open_recording
from dictate.speech.heard import Utterance
from dictate.speech.listener import listen
from dictate.speech.packaged.engine import PackagedRecogniser
from dictate.vocabulary.loader import load as load_lexicon

NOISES: tuple[float | None, ...] = (None, 10.0, 5.0)
READINGS = {
    "beckett.wav": "Ever tried. Ever failed. No matter. Try again. Fail again. Fail better.",
}
"""Words of the short reading in the wheel; the longer ones ship no transcript."""


def add_noise(samples: Floats, decibels: float, rng: np.random.Generator) -> Floats:
    """White and pink noise of equal power, so many decibels under the active speech."""
    white = rng.standard_normal(len(samples))
    spectrum = np.fft.rfft(rng.standard_normal(len(samples)))
    hertz = np.fft.rfftfreq(len(samples), 1 / RATE)
    pink = np.fft.irfft(spectrum / np.sqrt(np.maximum(hertz, 20)), len(samples))
    noise = white / white.std() + pink / pink.std()
    active = samples[np.abs(samples) > 0.02 * np.abs(samples).max()]
    level = np.sqrt(np.mean(active**2)) * 10 ** (-decibels / 20)
    return np.asarray(samples + noise / noise.std() * level, np.float32)


def of_recordings(directory: Path, spoken: Sequence[Spoken]) -> float:
    """Word error rate on recordings, cut into utterances as the program cuts what it hears."""
    recogniser = PackagedRecogniser(load_lexicon(), directory, bias=False)
    heard = [_as_the_program(recogniser, each.path) for each in spoken]
    return word_error_rate([each.text for each in spoken], heard)


def _as_the_program(recogniser: PackagedRecogniser, path: Path) -> str:
    source = open_recording(path)
    try:
        events = listen(source.frames(), recogniser, partial_every_s=None, levels=False)
        return " ".join(each.text for each in events if isinstance(each, Utterance))
    finally:
        source.close()


def of_clips(directory: Path, shards: Path) -> dict[str, float]:
    """Word error rate on held-out clips by kind of text and noise."""
    listener, errors = Listener(directory), {}
    clips = [pair for path in sorted(shards.glob("*.npz")) for pair in read_shard(path)]
    for kind in ("trade", "general"):
        chosen = [
            (row["text"], a.astype(np.float32) / 32_768) for row, a in clips if row["kind"] == kind
        ]
        for noise in NOISES:
            rng = np.random.default_rng(7)
            sounds = [a if noise is None else add_noise(a, noise, rng) for _, a in chosen]
            heard = [listener.hear(np.pad(a, 4_000)) for a in sounds]
            errors[f"{kind} {noise or 'clean'}"] = word_error_rate([t for t, _ in chosen], heard)
    return errors


def of_readings(directory: Path) -> str:
    """The text of each reading in the wheel, and the error where the words are known."""
    listener, lines = Listener(directory), []
    for path in sorted(PACKAGED.parent.glob("*.wav")):
        samples = read_clip(path)
        parts = range(0, len(samples), 12 * RATE)
        lines.append(
            f"{path.name}: " + " ".join(listener.hear(samples[at : at + 12 * RATE]) for at in parts)
        )
    return "\n".join(lines)


def speed(directory: Path) -> str:
    """Real-time factor on one thread over the chooser's prompts, peak memory, size of the files."""
    listener, spoken = Listener(directory), chooser()[:60]
    clips = [read_clip(each.path) for each in spoken]
    began = time.process_time()
    for samples in clips:
        listener.hear(samples)
    taken = (time.process_time() - began) / (sum(map(len, clips)) / RATE)
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    size = sum(each.stat().st_size for each in directory.iterdir()) / 1e6
    return f"real-time factor {taken:.4f}, process {memory:.0f} MB, files {size:.1f} MB"


def main() -> None:
    what, *rest = sys.argv[1:]
    shards = Path(rest.pop(0)) if what == "clips" else Path()
    for directory in map(Path, rest):
        if what == "clips":
            errors = of_clips(directory, shards)
            result = ", ".join(f"{name} {error:.3f}" for name, error in errors.items())
        elif what == "readings":
            result = of_readings(directory)
        elif what == "speed":
            result = speed(directory)
        else:
            result = f"{of_recordings(directory, chooser() if what == 'choose' else guard()):.4f}"
        print(f"{what} {directory}: {result}", flush=True)


if __name__ == "__main__":
    main()
