"""The passphrase at the command line: typed unseen, or from a closed file; never anywhere else."""

from __future__ import annotations

import json
import os
import shutil
from pathlib import Path

import pytest

from dictate.cli import passphrases
from dictate.cli.passphrases import NEW, OPENS
from dictate.store import keys
from tests.cli_inside import inside
from tests.cli_runner import assert_refused
from tests.locked_store import CHEAP, lock, signed
from tests.locked_store import OTHER as SECOND
from tests.locked_store import PASSPHRASE as FIRST
from tests.terminal import on_terminal


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A store with a signed session, and no passphrase."""
    return signed(tmp_path / "home")


@pytest.fixture
def locked(home: Path) -> Path:
    return lock(home)


def in_file(path: Path, passphrase: str) -> str:
    path.write_text(f"{passphrase}\n", encoding="utf-8")
    path.chmod(0o600)
    return str(path)


def contents(home: Path) -> dict[str, bytes]:
    return {str(path): path.read_bytes() for path in home.rglob("*") if path.is_file()}


def test_it_is_typed_twice_unseen_and_visible_to_no_other_program(home: Path) -> None:
    seen: list[bytes] = []

    def look(child: int) -> None:
        for name in ("cmdline", "environ"):
            seen.append(Path(f"/proc/{child}/{name}").read_bytes())

    shown = on_terminal("passphrase", "set", typed=(FIRST, FIRST), home=home, look=look)
    assert shown.code == 0
    assert "lost passphrase means lost records" in shown.text
    assert "lantern" not in shown.text
    assert len(seen) == 2
    assert all(b"lantern" not in each for each in seen)
    assert keys.verify(home, FIRST)
    file = json.loads((home / "store.key").read_text().rpartition(" ")[0])
    # The cost that OWASP's "Password Storage Cheat Sheet" asks of scrypt: N=2^17, r=8, p=1.
    assert (file["wrapped"]["n"], file["wrapped"]["r"], file["wrapped"]["p"]) == (1 << 17, 8, 1)


def test_without_a_terminal_a_closed_file_gives_it(
    locked: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = contents(locked)
    for command in (("list",), ("export", "latest"), ("exam", "--no-mic"), ("review",)):
        assert_refused(inside(*command, home=locked), OPENS)
    monkeypatch.setenv(OPENS, in_file(tmp_path / "wrong", SECOND))
    assert_refused(inside("list", home=locked), "not the passphrase; nothing was changed")
    monkeypatch.setenv(OPENS, str(tmp_path / "none"))
    assert_refused(inside("list", home=locked), "Cannot read", OPENS)
    named = tmp_path / "right"
    monkeypatch.setenv(OPENS, in_file(named, FIRST))
    named.chmod(0o604)
    assert_refused(inside("list", home=locked), "Others can read")
    assert contents(locked) == before
    named.chmod(0o600)
    ran = inside("list", home=locked)
    assert ran.code == 0
    assert "s1" in ran.out
    assert "lie beside" not in ran.err


def test_what_keeps_no_record_asks_for_nothing(locked: Path) -> None:
    ran = inside("parse", "ulcer on the left lateral tongue", "--json", home=locked)
    assert ran.code == 0
    assert ran.json["findings"]


@pytest.mark.parametrize(
    ("typed", "code"), [((FIRST,), 0), ((SECOND, SECOND, FIRST), 0), ((SECOND,) * 4, 2)]
)
def test_three_tries(
    locked: Path, monkeypatch: pytest.MonkeyPatch, typed: tuple[str, ...], code: int
) -> None:
    answers = iter(typed)
    monkeypatch.setattr(passphrases, "has_terminal", lambda: True)
    monkeypatch.setattr("click.prompt", lambda *_, **__: next(answers))
    ran = inside("list", home=locked)
    assert ran.code == code
    assert ran.err.count("not the passphrase") == min(3, typed.count(SECOND))
    assert ("s1" in ran.out) == (code == 0)
    assert len(list(answers)) == (1 if code else 0)


def test_changing_and_removing_without_a_terminal(
    locked: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(keys, "Cost", lambda: CHEAP)
    monkeypatch.setenv(OPENS, in_file(tmp_path / "old", FIRST))
    assert_refused(inside("passphrase", "set", home=locked), "is set already")
    assert_refused(inside("passphrase", "change", home=locked), "nobody can be asked", NEW)
    monkeypatch.setenv(NEW, in_file(tmp_path / "new", "short"))
    assert "shorter than 12" in inside("passphrase", "change", home=locked).err
    assert keys.verify(locked, FIRST)
    monkeypatch.setenv(NEW, in_file(tmp_path / "new", SECOND))
    assert inside("passphrase", "change", home=locked).code == 0
    assert keys.verify(locked, SECOND)
    assert_refused(inside("passphrase", "remove", home=locked), "not the passphrase")
    monkeypatch.setenv(OPENS, in_file(tmp_path / "old", SECOND))
    ran = inside("passphrase", "remove", home=locked)
    assert ran.code == 0
    assert "key lies beside" in ran.err
    assert keys.state(locked) == "bare"


def test_two_that_differ_set_nothing(home: Path) -> None:
    shown = on_terminal("passphrase", "set", typed=(FIRST, SECOND, "\x03"), home=home)
    assert shown.code != 0
    assert keys.state(home) == "bare"


def test_without_a_passphrase_it_is_said_and_nothing_is_asked(home: Path) -> None:
    ran = inside("list", home=home)
    assert ran.code == 0
    anyone, line = ran.err.splitlines()
    assert "anyone can sign" in anyone
    assert "their key lies beside them" in line
    assert "No passphrase is set" in inside("passphrase", "status", home=home).out
    keys.wrap(home, keys.bare(home), FIRST, CHEAP)
    assert inside("passphrase", "status", home=home).out.startswith("A passphrase is set")


def test_backing_up_and_restoring(
    locked: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(OPENS, in_file(tmp_path / "passphrase", FIRST))
    assert inside("backup", tmp_path / "b", home=locked).code == 0
    shutil.rmtree(locked)
    assert inside("restore", tmp_path / "b", home=locked).out.startswith("Restored 1 sessions")
    assert "s1" in inside("list", home=locked).out
    assert_refused(inside("restore", tmp_path / "b", home=locked), "is not empty", "--into")
    monkeypatch.setenv(OPENS, in_file(tmp_path / "passphrase", SECOND))
    again = ("restore", tmp_path / "b", "--into", tmp_path / "again")
    assert_refused(inside(*again, home=locked), "not the passphrase")
    assert not (tmp_path / "again").exists()
    assert sorted(os.listdir(tmp_path)) == ["b", "home", "passphrase"]
