"""Real audio through the packaged engine to findings, to a signed session, to a document."""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import sys
from functools import cache
from pathlib import Path
from typing import Any

import jsonschema
import numpy as np
import pytest
import soundfile
import soxr

from tests.cli_runner import START, assert_refused, dictate
from tests.test_cli_parse import DOCUMENT

ROOT = Path(__file__).resolve().parents[1] / "recordings_synthetic"
DEMO = ROOT / "demo_examination.flac"
CRITICAL = ("region", "subsite", "side", "size_mm")


@cache
def replayed(path: Path) -> dict[str, Any]:
    ran = dictate("replay", path, "--json")
    assert ran.code == 0, ran.err
    document: dict[str, Any] = json.loads(ran.out)
    return document


@cache
def meant(path: Path) -> list[dict[str, Any]]:
    """The hand-written ground truth of a recording."""
    manifest = json.loads((ROOT / "manifest.json").read_text(encoding="utf-8"))
    (entry,) = [each for each in manifest["recordings"] if ROOT / each["file"] == path]
    findings: list[dict[str, Any]] = entry["findings"]
    return findings


def test_the_demonstration_gives_the_findings_that_were_dictated() -> None:
    document = replayed(DEMO)
    jsonschema.validate(document, DOCUMENT)
    regions = [each["region"] for each in document["findings"]]
    assert regions == [each["region"] for each in meant(DEMO)]


def test_no_critical_field_of_the_demonstration_is_silently_wrong() -> None:
    for heard, said in zip(replayed(DEMO)["findings"], meant(DEMO), strict=True):
        doubted = {doubt["field"] for doubt in heard["needs_review"]}
        for name in CRITICAL:
            wanted = said.get(name, [] if name == "size_mm" else None)
            if name in said and name not in doubted:
                assert heard[name] == wanted, (name, heard["said"])


def test_talk_to_the_patient_is_put_aside() -> None:
    kinds = {each["start_s"]: each["kind"] for each in replayed(DEMO)["utterances"]}
    (talk,) = [kind for start, kind in kinds.items() if 6.0 < start < 8.0]
    assert talk == "ignored"


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A home that holds the demonstration as a draft."""
    home = tmp_path_factory.mktemp("kept")
    assert dictate("replay", DEMO, "--save", home=home).code == 0
    return home


@pytest.fixture
def draft_home(kept: Path, tmp_path: Path) -> Path:
    """A copy of it."""
    return shutil.copytree(kept, tmp_path / "home")


def test_a_recording_becomes_a_signed_record_and_a_document(draft_home: Path) -> None:
    draft = dictate("export", "latest", home=draft_home)
    assert "DRAFT" in draft.out

    answers = "y\nrefer because a rule is met\n" * 60  # the second only fits where a rule asks
    reviewed = dictate(
        "review", "latest", "--examiner", "I. Fern", home=draft_home, answers=answers
    )
    assert reviewed.code == 0, reviewed.err
    assert "Decide: refer, biopsy, re-check or no action, and why.\n  - A neck mass" in reviewed.out
    final = dictate("export", "latest", home=draft_home)
    assert final.code == 0
    assert "DRAFT" not in final.out
    assert "I. Fern" in final.out
    for said in meant(DEMO):
        assert str(said["region"]).rstrip("s") in final.out.lower()
    listed = dictate("list", "--json", home=draft_home).json["sessions"]
    assert [each["state"] for each in listed] == ["final"]
    assert_refused(dictate("review", "latest", home=draft_home), "no draft")


def test_a_note_keeps_its_capitals(draft_home: Path) -> None:
    dictate("review", "latest", home=draft_home, answers="NOTE sharp cusp of Dr Ost's crown\nQ\n")
    told = dictate("show", "latest", "--json", home=draft_home)
    assert "sharp cusp of Dr Ost's crown" in [x["note"] for x in json.loads(told.out)["findings"]]


def test_a_session_left_in_review_is_not_signed(draft_home: Path) -> None:
    dictate("review", "latest", "--examiner", "I. Fern", home=draft_home, answers="y\ny\nq\n")
    assert dictate("list", "--json", home=draft_home).json["sessions"][0]["state"] == "draft"


def converted(tmp_path: Path, name: str, rate: int, subtype: str, channels: int) -> Path:
    """A dictation of the development set in another format, by libsndfile and libsoxr."""
    samples, source_rate = soundfile.read(ROOT / "dev" / "dev-01.flac", dtype="float32")
    samples = soxr.resample(samples, source_rate, rate)
    path = tmp_path / name
    soundfile.write(path, np.repeat(samples[:, None], channels, axis=1), rate, subtype)
    return path


@pytest.mark.parametrize(
    ("name", "rate", "subtype", "channels"),
    [
        ("stereo.wav", 44_100, "PCM_16", 2),
        ("eight_bit.wav", 22_050, "PCM_U8", 1),
        ("float.wav", 48_000, "FLOAT", 1),
    ],
)
def test_other_formats_give_the_same_findings(
    tmp_path: Path, name: str, rate: int, subtype: str, channels: int
) -> None:
    plain = replayed(ROOT / "dev" / "dev-01.flac")["findings"]
    other = replayed(converted(tmp_path, name, rate, subtype, channels))["findings"]
    assert plain
    for one, two in zip(plain, other, strict=True):
        assert {key: one[key] for key in CRITICAL} == {key: two[key] for key in CRITICAL}


def test_what_is_no_recording_is_refused(tmp_path: Path) -> None:
    text = tmp_path / "notes.wav"
    text.write_text("not a sound")
    empty = tmp_path / "empty.wav"
    empty.touch()
    assert_refused(dictate("replay", tmp_path / "nothing.wav"), "nothing.wav")
    assert_refused(dictate("replay", text), "notes.wav")
    assert_refused(dictate("replay", empty), "empty.wav")
    assert_refused(dictate("replay", tmp_path))
    assert_refused(dictate("replay", DEMO, "--engine", "nonsense"), "nonsense")
    assert_refused(dictate("replay", DEMO, "--model", tmp_path), str(tmp_path))


def test_silence_is_told(tmp_path: Path) -> None:
    path = tmp_path / "silence.wav"
    soundfile.write(path, np.zeros(16_000 * 5, np.int16), 16_000)
    ran = dictate("replay", path, "--json")
    assert ran.code == 2
    assert ran.out == ""
    assert "No speech" in ran.err


def test_a_killed_program_leaves_all_that_it_showed(tmp_path: Path) -> None:
    child = subprocess.Popen(
        [sys.executable, "-c", START, "replay", str(DEMO), "--save"],
        env=os.environ | {"DICTATE_HOME": str(tmp_path)},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert child.stderr is not None
    assert "an empty store is begun" in child.stderr.readline()
    shown = [child.stderr.readline() for _ in range(4)]
    child.send_signal(signal.SIGKILL)
    child.wait(30)
    child.stderr.close()
    kept = dictate("show", "latest", "--json", home=tmp_path).json["utterances"]
    assert len(kept) >= len(shown)
    for line, utterance in zip(shown, kept, strict=False):
        assert utterance["text"] in line
    resumed = dictate("review", "latest", home=tmp_path, answers="q\n")
    assert resumed.code == 0
    assert "left open" in resumed.err


def test_records_are_closed_to_other_users(kept: Path) -> None:
    paths = [kept, *kept.rglob("*")]
    assert len(paths) > 2
    assert all(each.stat().st_mode & 0o077 == 0 for each in paths)
