"""Sound is kept where that was switched on: sealed, with its session, and gone with it."""

from __future__ import annotations

from collections.abc import Iterator
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
import soundfile

from dictate.audio.kept import Kept
from dictate.audio.source import FRAME, RATE, Frame, Samples
from dictate.cli.sound import Sound
from dictate.errors import StoreError
from dictate.exam.session import Session
from dictate.store import audio_chest, keys
from dictate.store.audio_chest import AudioChest, recording
from dictate.store.audio_files import forget, pieces
from dictate.store.erasure import erase
from dictate.store.store import Store
from tests.cli_inside import inside
from tests.cli_runner import assert_refused
from tests.exam_samples import PROTOCOL, START, Chair
from tests.store_script import in_child
from tests.test_store_backup import backed_up, restored
from tests.test_store_failures import limit_files_to

NOISE = np.random.default_rng(7).integers(-9000, 9000, 70 * RATE, dtype=np.int16)
"""Seventy seconds."""


class Played:
    """A source of given samples."""

    name = "played"

    def __init__(self, samples: Samples) -> None:
        self._samples = samples
        self.closed = False

    def frames(self) -> Iterator[Frame]:
        for at in range(0, len(self._samples), FRAME):
            yield Frame(self._samples[at : at + FRAME], at / RATE)

    def close(self) -> None:
        self.closed = True


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A store with a draft."""
    with Store(tmp_path / "home") as store:
        store.create(Session.start("s1", PROTOCOL, START, patient="P-17"))
    return tmp_path / "home"


def heard(home: Path, samples: Samples = NOISE, session: str | None = "s1") -> AudioChest:
    chest = AudioChest(home, keys.bare(home), lambda: session)
    for _ in Kept(Played(samples), chest.add).frames():
        pass
    chest.close()
    return chest


def samples_of(flac: bytes) -> Samples:
    samples, rate = soundfile.read(BytesIO(flac), dtype="int16")
    assert rate == RATE
    return samples  # type: ignore[no-any-return]


def test_what_was_said_comes_back_sample_by_sample(home: Path) -> None:
    heard(home)
    heard(home, NOISE[:RATE])
    kept = samples_of(recording(home, keys.bare(home), "s1"))
    assert np.array_equal(kept, np.concatenate([NOISE, NOISE[:RATE]]))
    assert len(pieces(home)) == 4
    for path in (home / "audio", *pieces(home)):
        assert path.stat().st_mode & 0o077 == 0
        assert path.is_dir() or b"fLaC" not in path.read_bytes()


def test_a_source_is_what_it_was(home: Path) -> None:
    played, said = Played(NOISE[: 10 * FRAME]), list[Samples]()
    source = Kept(played, said.append)
    frames = list(source.frames())
    source.close()
    assert (source.name, played.closed) == ("played", True)
    assert [frame.start_s for frame in frames] == [n * FRAME / RATE for n in range(10)]
    assert np.array_equal(np.concatenate(said), NOISE[: 10 * FRAME])


def test_nothing_is_kept_while_it_is_nobodys(home: Path) -> None:
    heard(home, session=None)
    assert pieces(home) == ()
    whose: list[str | None] = ["s1"]
    chest = AudioChest(home, keys.bare(home), lambda: whose[0])
    chest.add(NOISE[:RATE])
    whose[0] = None  # listening is paused
    chest.add(NOISE[RATE : 2 * RATE])
    whose[0] = "s1"
    chest.add(NOISE[2 * RATE : 3 * RATE])
    chest.close()
    kept = samples_of(recording(home, keys.bare(home), "s1"))
    assert np.array_equal(kept, np.concatenate([NOISE[:RATE], NOISE[2 * RATE : 3 * RATE]]))


def test_what_was_said_of_another_patient_does_not_go_with_the_draft(home: Path) -> None:
    whose = ["s1"]
    chest = AudioChest(home, keys.bare(home), lambda: whose[0])
    chest.add(NOISE[:RATE])
    whose[0] = "s2"
    chest.add(NOISE[RATE : 2 * RATE])
    chest.close()
    assert np.array_equal(
        samples_of(recording(home, keys.bare(home), "s2")), NOISE[RATE : 2 * RATE]
    )
    with pytest.raises(StoreError, match="No sound is kept of s1"):
        recording(home, keys.bare(home), "s1")


def test_an_altered_missing_or_moved_piece_is_told(home: Path) -> None:
    heard(home)
    sealer, (first, second, third) = keys.bare(home), pieces(home)
    data = first.read_bytes()
    first.write_bytes(data[:50] + bytes([data[50] ^ 1]) + data[51:])
    with pytest.raises(StoreError, match="Piece 1 of the sound of s1 has been altered"):
        recording(home, sealer, "s1")
    first.write_bytes(second.read_bytes())
    with pytest.raises(StoreError, match="Piece 1"):
        recording(home, sealer, "s1")
    first.write_bytes(data)
    second.unlink()
    with pytest.raises(StoreError, match="Piece 2"):
        recording(home, sealer, "s1")
    assert third.exists()


def test_it_goes_with_its_session(home: Path, tmp_path: Path) -> None:
    heard(home, NOISE[:RATE])
    heard(home, NOISE[:RATE], session="s1.2")
    restored(backed_up(home, tmp_path / "b"), tmp_path / "new")
    assert [path.name for path in pieces(tmp_path / "new")] == [each.name for each in pieces(home)]
    with Store(home) as store:
        store.discard("s1")
    assert [path.name for path in pieces(home)] == ["s1.2.00001.flac.sealed"]
    forget(home, "s1.2")
    assert list((home / "audio").iterdir()) == []


def test_it_is_handed_over_given_back_and_erased(home: Path, tmp_path: Path) -> None:
    assert_refused(inside("sound", "s1", "--output", tmp_path / "x.flac", home=home), "No sound")
    with Store(home) as store:
        chair = Chair(store.resume("s1"))
        chair.signed()
        store.append("s1", chair.session.events)
    heard(home, NOISE[:RATE])
    assert inside("sound", "latest", "--output", tmp_path / "x.flac", home=home).code == 0
    assert np.array_equal(samples_of((tmp_path / "x.flac").read_bytes()), NOISE[:RATE])
    assert inside("hand-over", "P-17", "--to", tmp_path / "out", home=home).code == 0
    assert (tmp_path / "out" / "s1.flac").read_bytes() == (tmp_path / "x.flac").read_bytes()
    with Store(home) as store:
        erase(store, "P-17", by="A. Berg", at=START)
    assert pieces(home) == ()


def test_a_full_disk_does_not_stop_the_examination(home: Path) -> None:
    def attempt() -> None:
        limit_files_to(20_000)
        chest = heard(home, NOISE)
        assert chest.problem
        assert "disk" in chest.problem or "grow" in chest.problem

    in_child(attempt)
    assert pieces(home) == ()


def test_the_command_keeps_from_its_beginning_to_its_end(
    home: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    with Store(home) as store:
        sound = Sound(store)
        source = sound.of(lambda _: Played(NOISE[:RATE]))(lambda _: None)
        before = list(source.frames())
        sound.begin(lambda: "s1")
        assert len(list(source.frames())) == len(before)
        sound.end()
    assert "what is said is kept, sealed" in capsys.readouterr().err
    assert np.array_equal(samples_of(recording(home, keys.bare(home), "s1")), NOISE[:RATE])
    monkeypatch.setattr(audio_chest, "PIECE_S", 1)
    assert_refused(inside("exam", "--keep-audio", "--no-mic", home=home), "--keep-audio needs")
