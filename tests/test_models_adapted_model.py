"""The adapted speech model that is shipped: its size, its parts, and what it hears.

Word errors are counted by jiwer, a general library; what was said is in the manifest of the
recordings, whose sentences were kept out of the model's training.
"""

from __future__ import annotations

import json
from pathlib import Path

import jiwer
import moonshine_voice
import numpy as np
import soundfile
import soxr

from dictate.audio.source import RATE
from dictate.bench.words import plain
from dictate.speech.packaged.engine import PackagedRecogniser
from dictate.speech.packaged.model_files import find_model
from dictate.vocabulary.loader import load

ROOT = Path(__file__).resolve().parents[1]
ADAPTED = ROOT / "models" / "adapted-en"
ORIGINAL = Path(moonshine_voice.__file__).parent / "assets" / "tiny-en"
RECORDINGS = ROOT / "recordings_synthetic"
LARGEST_MB = 45
CLIPS = 4


def _development_clips(count: int) -> list[tuple[np.ndarray, str]]:
    """Dictated findings of a development recording, cut out, with their words."""
    manifest = json.loads((RECORDINGS / "manifest.json").read_text(encoding="utf-8"))
    recording = next(each for each in manifest["recordings"] if each["split"] == "dev")
    samples, rate = soundfile.read(RECORDINGS / recording["file"], dtype="float32")
    clips = []
    for said in recording["utterances"]:
        if said["kind"] == "finding":
            cut = samples[int(said["start_s"] * rate) : int((said["end_s"] + 0.2) * rate)]
            clips.append((soxr.resample(cut, rate, RATE) * 32_767, said["text"]))
    return [(cut.astype(np.int16), text) for cut, text in clips[:count]]


def _error(folder: Path, clips: list[tuple[np.ndarray, str]]) -> float:
    """Word error rate of the model's own reading, without any bias."""
    lexicon = load()
    recogniser = PackagedRecogniser(lexicon, folder, bias=False)
    heard = []
    for samples, _ in clips:
        recogniser.begin(0.0)
        recogniser.hear(samples)
        utterance = recogniser.finish()
        heard.append(plain(utterance.text, lexicon.spelling) if utterance else "")
    return float(jiwer.wer([plain(text, lexicon.spelling) for _, text in clips], heard))


def test_the_adapted_model_is_whole_and_small_enough_to_ship() -> None:
    files = find_model(ADAPTED)
    parts = (files.encoder, files.decoder, files.tokenizer)
    assert sum(each.stat().st_size for each in parts) <= LARGEST_MB * 1e6


def test_the_adapted_model_is_the_one_that_is_used() -> None:
    assert find_model().folder.name == ADAPTED.name


def test_the_tokeniser_is_the_original_models() -> None:
    ours, theirs = find_model(ADAPTED).tokenizer, find_model(ORIGINAL).tokenizer
    assert ours.read_bytes() == theirs.read_bytes()


def test_the_adapted_model_hears_dictation_far_better_than_the_original() -> None:
    clips = _development_clips(CLIPS)
    assert len(clips) == CLIPS
    assert _error(ADAPTED, clips) <= 0.5 * _error(ORIGINAL, clips)
