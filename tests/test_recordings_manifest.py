"""The shipped recordings match their manifest, and nothing crosses the dev/eval wall."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest
import soundfile

from dictate.bench.recordings import Manifest, load_manifest, load_recordings
from dictate.bench.sentences import Sentence, load_sentences
from dictate.bench.voices import VoiceFile, load_voices

ROOT = Path(__file__).resolve().parents[1] / "recordings_synthetic"
MEGABYTE = 1_000_000


@pytest.fixture(scope="module")
def manifest() -> Manifest:
    return load_manifest(ROOT / "manifest.json")


@pytest.fixture(scope="module")
def voices() -> VoiceFile:
    return load_voices(ROOT / "voices.toml")


def sentences(name: str) -> tuple[Sentence, ...]:
    return load_sentences(ROOT / f"{name}_sentences.toml")


def plain(text: str) -> str:
    return re.sub(r"[^a-z]+", " ", text.lower()).strip()


def test_at_least_forty_recordings_by_four_voices_in_fifteen_megabytes(manifest: Manifest) -> None:
    assert len(manifest.recordings) >= 40
    assert len({entry.voice for entry in manifest.recordings}) >= 4
    assert sum(path.stat().st_size for path in ROOT.rglob("*.flac")) < 15 * MEGABYTE


def test_every_file_is_16_khz_mono_of_the_stated_length(manifest: Manifest) -> None:
    for entry in manifest.recordings:
        info = soundfile.info(str(ROOT / entry.file))
        assert (info.format, info.samplerate, info.channels) == ("FLAC", 16_000, 1), entry.file
        assert info.frames / info.samplerate == pytest.approx(entry.duration_s, abs=0.01)


def test_no_file_is_missing_from_the_manifest(manifest: Manifest) -> None:
    listed = {entry.file for entry in manifest.recordings}
    assert listed == {path.relative_to(ROOT).as_posix() for path in ROOT.rglob("*.flac")}
    assert len(listed) == len(manifest.recordings)


def test_speech_lies_where_the_manifest_says(manifest: Manifest) -> None:
    """Loud inside each utterance, at the room's noise between two."""
    for entry in manifest.recordings[:12]:
        samples, rate = soundfile.read(str(ROOT / entry.file))
        for this, following in zip(entry.utterances, entry.utterances[1:], strict=False):
            inside = samples[int(this.start_s * rate) : int(this.end_s * rate)]
            between = samples[int((this.end_s + 0.05) * rate) : int(following.start_s * rate) - 99]
            assert abs(inside).max() > 0.2
            assert abs(between).max() < 0.01


def test_the_manifest_says_what_its_sentences_say(manifest: Manifest) -> None:
    known = {s.id: s for name in ("dev", "eval", "demo") for s in sentences(name)}
    wanted = {each.name: each for each in load_recordings(ROOT / "recordings.toml")}
    for entry in manifest.recordings:
        said = [known[each.sentence] for each in entry.utterances]
        assert [each.text for each in entry.utterances] == [s.say for s in said]
        override = wanted[Path(entry.file).stem].findings
        meant = tuple(f for s in said for f in s.findings) if override is None else override
        assert entry.findings == meant
        assert entry.normal == tuple(m for s in said for m in s.normal)


def test_a_voice_speaks_only_sentences_of_its_own_split(manifest: Manifest) -> None:
    for entry in manifest.recordings:
        prefixes = {each.sentence.split("-")[0] for each in entry.utterances}
        assert prefixes <= ({"eval"} if entry.split == "eval" else {"dev", "demo"})


def test_synthesiser_families_stand_on_one_side_of_the_wall(voices: VoiceFile) -> None:
    dev = {voice.family for voice in voices.of("dev")}
    judged = {voice.family for voice in voices.of("eval")}
    assert dev
    assert judged
    assert not dev & judged


def test_no_speaker_of_the_evaluation_recorded_a_training_voice(voices: VoiceFile) -> None:
    """Festival's kal and slt are the people behind flite's kal, kal16 and slt."""
    flite = {
        name for voice in voices.of("dev") if voice.family == "flite" for name in voice.speaker
    }
    assert flite <= {"rms", "awb"}


def test_no_sentence_is_in_two_splits_or_twice_in_one() -> None:
    dev = [plain(s.say) for name in ("dev", "demo") for s in sentences(name)]
    judged = [plain(s.say) for s in sentences("eval")]
    assert len(set(judged)) == len(judged)
    assert not set(dev) & set(judged)


def test_the_evaluation_is_large_and_of_every_kind() -> None:
    judged = sentences("eval")
    counts = {kind: sum(s.kind == kind for s in judged) for kind in {s.kind for s in judged}}
    assert sum(counts.values()) - counts["offtalk"] >= 320
    assert counts["finding"] >= 200
    assert counts["normal"] >= 30
    assert counts["command"] >= 50
    assert counts["detail"] >= 20
    assert counts["offtalk"] >= 60


def test_making_the_recordings_can_be_checked_from_the_command_line() -> None:
    done = subprocess.run(
        [sys.executable, str(ROOT / "make.py"), "--check"], capture_output=True, text=True
    )
    assert done.returncode == 0, done.stderr
