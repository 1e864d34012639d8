"""The key file: with and without a passphrase, altered, lost, and killed while it is changed."""

from __future__ import annotations

import base64
import json
import os
import stat
import unicodedata
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dictate.errors import StoreError
from dictate.exam.session import Session
from dictate.store import keys, replacing
from dictate.store.conversion import opened_or_made
from dictate.store.key_file import KeyFile, summed, unsummed
from dictate.store.keys import LockedError, WrongPassphraseError, unwrapped
from dictate.store.sealing import Sealer
from dictate.store.store import Store
from tests.exam_samples import PROTOCOL, START, Chair
from tests.killing import KILLED, killed_at
from tests.locked_store import CHEAP, lock, signed
from tests.locked_store import OTHER as NEW
from tests.locked_store import PASSPHRASE as OLD
from tests.store_script import run

WRAPPED = keys.wrapped_file(Sealer(bytes(range(32))), OLD, cost=CHEAP)


def in_base64(data: bytes) -> str:
    return base64.b64encode(data).decode()


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A store with a signed session and no passphrase."""
    return signed(tmp_path / "home")


@pytest.fixture
def locked(home: Path) -> Path:
    """The same with a passphrase."""
    return lock(home)


def test_a_passphrase_locks_the_records(locked: Path) -> None:
    assert keys.state(locked) == "wrapped"
    for act in (Store.list, Store.recover, Store.resume):
        with Store(locked) as store, pytest.raises(LockedError, match="DICTATE_PASSPHRASE_FILE"):
            act(store)
    with Store(locked, sealer=keys.unlock(locked, OLD)) as store:
        assert store.load("s1").is_final
    assert keys.verify(locked, OLD)
    assert not keys.verify(locked, NEW)


def test_a_locked_store_does_not_stop_work_in_memory(locked: Path) -> None:
    chair, keeper = Chair(), Store(locked)
    with pytest.raises(LockedError):
        keeper.create(chair.session)
    assert keeper.pending("s1") == chair.session.events


def test_the_passphrase_is_nowhere_in_the_home(locked: Path) -> None:
    data = b"".join(path.read_bytes() for path in locked.rglob("*") if path.is_file())
    assert OLD.encode() not in data
    key = keys.unlock(locked, OLD).data_key
    assert key not in data
    assert key.hex().encode() not in data


def test_changing_and_taking_away(locked: Path) -> None:
    sealer = keys.unlock(locked, OLD)
    keys.wrap(locked, sealer, NEW, CHEAP)
    assert (keys.verify(locked, OLD), keys.verify(locked, NEW)) == (False, True)
    keys.unwrap(locked, sealer)
    assert keys.state(locked) == "bare"
    assert keys.bare(locked).id == sealer.id
    with pytest.raises(StoreError, match="No passphrase is set"):
        keys.verify(locked, NEW)
    with Store(locked) as store:
        assert store.load("s1").is_final


def test_a_wrong_passphrase_says_so_and_changes_nothing(locked: Path) -> None:
    before = {path: path.read_bytes() for path in locked.rglob("*") if path.is_file()}
    for wrong in ("", OLD.upper(), f"{OLD} ", NEW):
        with pytest.raises(WrongPassphraseError, match="not the passphrase; nothing was changed"):
            keys.unlock(locked, wrong)
    assert {path: path.read_bytes() for path in locked.rglob("*") if path.is_file()} == before


def test_a_short_one_is_refused(home: Path) -> None:
    with pytest.raises(StoreError, match="shorter than 12 characters"):
        keys.wrap(home, keys.bare(home), "quay lantern"[:11])
    assert keys.state(home) == "bare"


def test_an_accent_is_the_same_however_it_is_typed(home: Path) -> None:
    # RFC 8265, 4.2 (OpaqueString): NFC before comparison.
    composed = "Straßenbahn café"
    keys.wrap(home, keys.bare(home), unicodedata.normalize("NFD", composed), CHEAP)
    assert keys.verify(home, composed)


@pytest.mark.parametrize("passphrase", [None, OLD])
def test_every_altered_byte_is_found(home: Path, passphrase: str | None) -> None:
    if passphrase:
        keys.wrap(home, keys.bare(home), passphrase, CHEAP)
    file = home / "store.key"
    whole = file.read_bytes()
    for index in range(len(whole)):
        for altered in (
            whole[:index] + bytes([whole[index] ^ 1]) + whole[index + 1 :],
            whole[:index],
            whole[:index] + b" " + whole[index:],
        ):
            file.write_bytes(altered)
            with pytest.raises(StoreError, match=r"store\.key has been altered or damaged"):
                keys.unlock(home, passphrase) if passphrase else keys.bare(home)
            assert file.read_bytes() == altered
    with Store(home) as store, pytest.raises(StoreError, match=r"store\.key"):
        store.list()
    file.write_bytes(whole)
    assert keys.unlock(home, passphrase) if passphrase else keys.bare(home)


@given(
    field=st.sampled_from(["bare", "key_id", "mark", "format", "converting", "wrapped", "more"]),
    value=st.one_of(
        st.none(), st.integers(), st.text(max_size=20), st.binary(max_size=40).map(in_base64)
    ),
)
@settings(max_examples=100, deadline=None)
def test_a_key_file_that_somebody_made_up_is_refused(field: str, value: object) -> None:
    """Its checksum being right. Nothing but our own error comes of it."""
    sealer = Sealer(bytes(range(32)))
    whole = KeyFile.of_bare(sealer)
    told = json.loads(unsummed(whole.data))
    if told.get(field, ...) == value:
        return
    made_up = summed(json.dumps(told | {field: value}, separators=(",", ":")))
    with pytest.raises(StoreError, match="altered"):
        key_in(made_up)


def key_in(data: bytes) -> Sealer:
    file = KeyFile.read(data)
    return file.checked(Sealer(file.bare_key()))


@given(
    field=st.sampled_from(["n", "r", "p", "salt", "sealed", "kdf"]),
    value=st.one_of(st.integers(), st.text(max_size=20), st.binary(max_size=40).map(in_base64)),
)
@settings(max_examples=100, deadline=None)
def test_a_wrapped_key_that_somebody_made_up_is_refused(field: str, value: object) -> None:
    told = json.loads(unsummed(WRAPPED.data))
    if told["wrapped"][field] == value or (field == "n" and value == 1 << 20):
        return
    told["wrapped"][field] = value
    with pytest.raises(StoreError, match=r"altered|not the passphrase"):
        unwrapped(KeyFile.read(summed(json.dumps(told, separators=(",", ":")))), OLD)


def test_another_key_is_told_and_nothing_is_cut_off(home: Path, tmp_path: Path) -> None:
    other = tmp_path / "other"
    with Store(other) as store:
        chair = Chair()
        store.create(chair.session)
        store.append("s1", chair.plaque().events)
    journal = other / "drafts" / "s1.jsonl"
    before = journal.read_bytes()
    (other / "store.key").write_bytes((home / "store.key").read_bytes())
    with Store(other) as store, pytest.raises(StoreError, match="altered"):
        store.load("s1")
    with Store(other) as store, pytest.raises(StoreError, match="sealed with another key"):
        store.database()
    assert journal.read_bytes() == before
    assert list(journal.parent.iterdir()) == [journal]


@pytest.mark.parametrize("left", ["records.db", "drafts"])
def test_a_lost_key_is_told_and_no_new_one_made(home: Path, left: str) -> None:
    for path in home.glob("records.db*"):
        if left != "records.db":
            path.unlink()
    if left == "drafts":
        with Store(home) as store:
            store.create(Chair().session)
        for path in home.glob("records.db*"):
            path.unlink()
    (home / "store.key").unlink()
    with Store(home) as store, pytest.raises(StoreError, match=r"store\.key is missing"):
        store.list()
    assert not (home / "store.key").exists()


def test_a_second_chair_gets_the_key_of_the_shared_database(tmp_path: Path) -> None:
    one, two, url = tmp_path / "one", tmp_path / "two", f"sqlite:///{tmp_path / 'shared.db'}"
    with Store(one, url) as store:
        run(store)
    with Store(two, url) as store:
        chair = Chair(Session.start("s2", PROTOCOL, START))
        with pytest.raises(StoreError, match=r"copy store\.key from the home folder of another"):
            store.create(chair.session)
        assert not (two / "store.key").exists()
        assert store.pending("s2") == chair.session.events
        two.mkdir(exist_ok=True)
        (two / "store.key").write_bytes((one / "store.key").read_bytes())
        store.append("s2", chair.plaque().events)
        assert store.pending("s2") == ()
        assert {each.id for each in store.list()} == {"s1", "s2"}
        assert store.load("s1").is_final


def test_it_is_for_its_owner_alone(locked: Path) -> None:
    assert stat.S_IMODE((locked / "store.key").stat().st_mode) == 0o600


def test_killed_while_the_passphrase_is_changed_the_old_or_the_new_opens(home: Path) -> None:
    sealer = keys.bare(home)
    seen: list[str] = []
    for before, after in ((None, OLD), (OLD, NEW), (NEW, None)):
        for point in range(1, 100):
            _set(home, before)
            status = killed_at(point, lambda after=after: _set(home, after))  # type: ignore[misc]
            assert status in (0, KILLED)
            opens = [each for each in (before, after) if _opens(home, each, sealer.id)]
            assert len(opens) == 1
            seen.append("new" if opens[0] == after else "old")
            assert sorted(path.name for path in home.glob("store.key*")) == ["store.key"]
            with Store(home, sealer=sealer) as store:
                assert store.load("s1").is_final
            if status == 0:
                assert opens == [after]
                break
        else:
            pytest.fail("it never got done")
    print(f"passphrase changes killed: {len(seen)}, old {seen.count('old')}, lost 0")
    assert {"old", "new"} == set(seen)


def _set(home: Path, passphrase: str | None) -> None:
    sealer = keys.bare(home) if keys.state(home) == "bare" else _any(home)
    if passphrase is None:
        keys.unwrap(home, sealer)
    else:
        keys.wrap(home, sealer, passphrase, CHEAP)


def _any(home: Path) -> Sealer:
    return keys.unlock(home, OLD if keys.verify(home, OLD) else NEW)


def _opens(home: Path, passphrase: str | None, key_id: str) -> bool:
    if passphrase is None:
        return keys.state(home) == "bare" and keys.bare(home).id == key_id
    return keys.state(home) == "wrapped" and keys.verify(home, passphrase)


def test_a_bare_key_is_not_left_on_the_disk(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What the old file held is overwritten where it lay."""
    written: list[tuple[int, bytes]] = []
    pwrite = os.pwrite

    def noted(handle: int, data: bytes, at: int) -> int:
        written.append((os.fstat(handle).st_ino, data))
        return pwrite(handle, data, at)

    old = (home / "store.key").stat()
    monkeypatch.setattr(replacing.os, "pwrite", noted)
    keys.wrap(home, keys.bare(home), OLD, CHEAP)
    assert written == [(old.st_ino, bytes(old.st_size))]


def test_of_two_who_change_it_at_once_one_is_told(
    home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    sealer, wrapped_file = keys.bare(home), keys.wrapped_file

    def meanwhile(*given: object) -> KeyFile:
        monkeypatch.undo()
        keys.wrap(home, sealer, OLD, CHEAP)
        return wrapped_file(*given)  # type: ignore[arg-type]

    monkeypatch.setattr(keys, "wrapped_file", meanwhile)
    with pytest.raises(StoreError, match="at the same moment"):
        keys.wrap(home, sealer, NEW, CHEAP)
    assert keys.verify(home, OLD)
    assert [path.name for path in home.glob("store.key*")] == ["store.key"]


def test_a_key_file_with_a_second_name_is_not_overwritten(home: Path) -> None:
    """A backup by hard links keeps what it has."""
    kept = home.with_name("kept.key")
    os.link(home / "store.key", kept)
    before = kept.read_bytes()
    keys.wrap(home, keys.bare(home), OLD, CHEAP)
    assert kept.read_bytes() == before


def test_many_who_begin_a_store_at_once_have_one_key(tmp_path: Path) -> None:
    home = tmp_path / "home"
    out, into = os.pipe()
    for _ in range(8):
        if os.fork() == 0:  # pragma: no cover
            try:
                os.write(into, opened_or_made(home).id.encode() + b"\n")
            finally:
                os._exit(0)
    os.close(into)
    with open(out, "rb") as pipe:
        said = pipe.read().split()
    for _ in range(8):
        os.wait()
    assert len(said) == 8
    assert set(said) == {keys.bare(home).id.encode()}
    assert [path.name for path in home.iterdir()] == ["store.key"]
