"""Nothing that identifies a patient, nothing that was found, no passphrase, is readable anywhere.

Everything that the program writes in a scripted day is searched byte by byte: the home folder, the
temporary folder, the user's own folders, a backup, and what it said on stderr.
"""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from dictate.cli.passphrases import OPENS
from dictate.store import keys
from dictate.store.primitives import Cost
from tests.cli_runner import START, Ran
from tests.seal_samples import SEALER

NAME, WORDS, PASSPHRASE = "Quillfeather", "quokkaberry", "seven quay lanterns"
MARKS = (NAME, WORDS, PASSPHRASE, "Q-4711", "lateral border", "leukoplakia-like")
DAY = f"""
import os, signal, sys
from pathlib import Path
from dictate.exam.commands import Sign, StartReview
from dictate.pipeline.opening import new_examination
from dictate.speech.heard import typed
from dictate.exam.events import KEYBOARD
from dictate.cli.opening import open_store
from dictate.vocabulary.loader import load

lexicon = load()
with open_store(None) as store:
    for ends in ("kept", "killed"):
        examination = new_examination(store, lexicon, patient="Q-4711")
        for words in ("white plaque left lateral border of tongue ten millimetres",
                      "the weather in {WORDS} is fine, {NAME}"):
            examination.hear(typed(words), KEYBOARD)
        assert examination.problem is None, examination.problem
    os.kill(os.getpid(), signal.SIGKILL)
"""


class Clinic:
    """One machine: every folder that a program may write to lies under `root`."""

    def __init__(self, root: Path) -> None:
        self.root = root / "machine"
        self.said = b""
        self.env = dict(os.environ)
        for name, folder in (
            ("HOME", "user"),
            ("TMPDIR", "tmp"),
            ("XDG_DATA_HOME", "user/data"),
            ("XDG_CACHE_HOME", "user/cache"),
            ("XDG_STATE_HOME", "user/state"),
            ("XDG_CONFIG_HOME", "user/config"),
            ("DICTATE_HOME", "records"),
        ):
            (self.root / folder).mkdir(parents=True, exist_ok=True)
            self.env[name] = str(self.root / folder)
        passphrase = root / "passphrase"
        passphrase.write_text(f"{PASSPHRASE}\n")
        passphrase.chmod(0o600)
        self.env[OPENS] = str(passphrase)
        self.home = self.root / "records"

    def run(self, *arguments: str, code: str = START) -> Ran:
        done = subprocess.run(
            [sys.executable, "-c", code, *arguments],
            cwd=self.root / "user",
            env=self.env,
            stdin=subprocess.DEVNULL,
            capture_output=True,
            timeout=120,
            check=False,
        )
        self.said += done.stderr
        return Ran(done.returncode, done.stdout.decode(), done.stderr.decode())

    def readable(self) -> set[tuple[str, str]]:
        """Where a mark stands, as text in one of the usual encodings."""
        found = {("stderr", mark) for mark in MARKS if mark.encode() in self.said}
        for path in self.root.rglob("*"):
            if path.is_file():
                data = path.read_bytes()
                for mark in MARKS:
                    if mark.encode() in data or mark.encode("utf-16-le") in data:
                        found.add((path.name, mark))
        return found


@pytest.fixture(scope="module")
def clinic(tmp_path_factory: pytest.TempPathFactory) -> Clinic:
    """After a day: a patient registered, two drafts, the second cut short by a kill."""
    made = Clinic(tmp_path_factory.mktemp("clinic"))
    assert made.run("passphrase", "set").code == 0
    keys.wrap(made.home, keys.unlock(made.home, PASSPHRASE), PASSPHRASE, Cost(n=1 << 4))  # faster
    name = ("--register", "Q-4711", "--name", NAME, "--born", "1961")
    assert made.run("patients", *name).code == 0
    assert made.run(code=DAY).code == -signal.SIGKILL
    return made


def test_the_search_finds_what_is_there(clinic: Clinic) -> None:
    """Otherwise it would prove nothing."""
    assert NAME in clinic.run("patients").out
    shown = clinic.run("show", "latest").out
    assert WORDS in shown
    assert "lateral border" in shown
    (clinic.root / "tmp" / "left").write_text(f"notes of {NAME}")
    assert clinic.readable() == {("left", NAME)}
    (clinic.root / "tmp" / "left").unlink()


def test_a_fault_in_the_program_is_told_without_what_it_was_about(clinic: Clinic) -> None:
    fault = (
        "import sys, dictate.cli.sessions as s\n"
        f"def broken(home): raise KeyError('{NAME} has {WORDS}')\n"
        "s.open_store = broken\n"
    )
    ran = clinic.run("list", code=fault + START)
    assert ran.code == 70
    assert "a fault in the program (KeyError)" in ran.err
    assert "sessions.py" in ran.err
    assert "Traceback" not in ran.err
    assert clinic.readable() == set()


def test_no_core_dump_is_written(clinic: Clinic) -> None:
    limit = (
        "import resource, sys; from dictate.cli import main\n"
        "def told(_): print(resource.getrlimit(resource.RLIMIT_CORE)[0])\n"
        "sys.modules['dictate.cli.main']._fail = told\n"
        "main(['nonsense'])"
    )
    assert clinic.run(code=limit).out == "0\n"


def test_a_day_leaves_nothing_to_read(clinic: Clinic) -> None:
    assert clinic.run("list").code == 0
    assert clinic.run("backup", str(clinic.root / "backup")).code == 0
    assert clinic.run("show", "nonsense").code == 2
    with closing(sqlite3.connect(clinic.home / "records.db")) as database:
        database.execute("DROP TRIGGER events_never_change")
        forged = SEALER.seal(f"{NAME} {WORDS}", "events.event")
        database.execute("UPDATE events SET event = ? WHERE seq = 2", (forged,))
        database.commit()
    for journal in (clinic.home / "drafts").glob("*.jsonl"):
        journal.unlink()
    refused = clinic.run("show", "latest")
    assert (refused.code, refused.out) == (2, "")
    assert "altered" in refused.err
    assert clinic.readable() == set()
    for path in clinic.home.rglob("*"):
        assert path.stat().st_mode & 0o077 == 0, path
