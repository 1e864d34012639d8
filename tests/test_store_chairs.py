"""Several chairs and a front desk on one PostgreSQL server, each with a home of its own."""

from __future__ import annotations

import os
import random
import shutil
import signal
import socket
import tempfile
import time
import traceback
from collections.abc import Callable, Iterator
from pathlib import Path

import psycopg
import pytest
from sqlalchemy import create_engine, text

from dictate.errors import StoreError
from dictate.exam.commands import AddFinding, Amend, ChangeField
from dictate.exam.session import Session
from dictate.store import connection, engine, guards, keys
from dictate.store.columns import unlock
from dictate.store.failures import ConflictError
from dictate.store.key_file import KEY_FILE
from dictate.store.migrations import migrate
from dictate.store.reading import Reading
from dictate.store.store import Store
from dictate.store.tables import SCHEMA
from tests.exam_samples import PLAQUE, PROTOCOL, START, Chair
from tests.old_stores import OPEN, STATES, VERSIONS, old_events, old_home
from tests.postgres import Cluster
from tests.store_script import expected, go_on, in_child, journal_of, run
from tests.test_store_database import TAMPERING
from tests.test_store_migrations import copy_rows, shape

CHAIRS, KILLS = 20, 20


def amendment(side: str) -> Amend:
    change = ChangeField(target="f1", field="side", value=side)
    return Amend(examiner="C. Dahl", why="mistaken", changes=(change,))


def with_key(home: Path) -> Path:
    """The home of a chair, with the key that all chairs of a clinic share."""
    shared = home.parent / "shared"
    if keys.state(shared) == "none":
        keys.create(shared)
    if keys.state(home) == "none":
        home.mkdir(mode=0o700)
        shutil.copy(shared / KEY_FILE, home / KEY_FILE)
    return home


class Clinic:
    """Chairs by name, all on one server."""

    def __init__(self, folder: Path, url: str) -> None:
        self._folder = folder
        self.url = url

    def chair(self, name: str) -> Store:
        return Store(with_key(self._folder / name), self.url)


@pytest.fixture
def clinic(tmp_path: Path, url: str) -> Clinic:
    return Clinic(tmp_path, url)


@pytest.fixture
def always_retry(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(connection, "RETRY_S", 0.0)


def at_once(acts: list[Callable[[], None]]) -> list[str]:
    """Run each in a process of its own, all begun together: what each said, "" for done."""
    go_out, go_in = os.pipe()
    children: list[tuple[int, int]] = []
    for act in acts:
        out, into = os.pipe()
        child = os.fork()
        if child == 0:  # pragma: no cover
            os.close(go_in)
            os.read(go_out, 1)
            try:
                act()
            except StoreError as error:
                os.write(into, f"{type(error).__name__}: {error}".encode())
            except BaseException:
                os.write(into, traceback.format_exc().encode())
            os._exit(0)
        os.close(into)
        children.append((child, out))
    os.close(go_out)
    os.close(go_in)
    said = []
    for child, out in children:
        with open(out, "rb") as pipe:
            said.append(pipe.read().decode())
        os.waitpid(child, 0)
    return said


@pytest.mark.parametrize("statement", [*TAMPERING, "TRUNCATE events", "TRUNCATE sessions CASCADE"])
def test_the_server_refuses_to_change_a_final_record(
    clinic: Clinic, cluster: Cluster, statement: str
) -> None:
    with clinic.chair("one") as chair:
        run(chair)
        amended = chair.amend("s1", amendment("right"), actor="C. Dahl", at=START)
        with cluster.connect(clinic.url) as server, pytest.raises(psycopg.IntegrityError):
            server.execute(statement)  # type: ignore[call-overload]
        assert chair.load("s1").events == amended.events


def test_what_one_chair_dictates_the_other_and_the_desk_see(clinic: Clinic) -> None:
    with clinic.chair("one") as one, clinic.chair("two") as two, clinic.chair("desk") as desk:
        first = Chair(Session.start("s1", PROTOCOL, START, patient="P-1"))
        second = Chair(Session.start("s2", PROTOCOL, START, patient="P-2"))
        one.create(first.session)
        two.create(second.session)
        for _ in range(3):
            one.append("s1", first.plaque().events)
            two.append("s2", second.plaque(side="right").events)
        assert {(each.id, each.state) for each in desk.list()} == {("s1", "draft"), ("s2", "draft")}
        assert desk.load("s2").state == second.session.state
        first.signed()
        one.append("s1", first.session.events)
        assert [each.state for each in desk.list() if each.id == "s1"] == ["final"]


def test_twenty_sessions_at_once_lose_nothing(clinic: Clinic) -> None:
    def dictate(number: int) -> None:
        with clinic.chair(f"chair{number}") as chair:
            person = Chair(Session.start(f"t{number}", PROTOCOL, START, patient=f"P-{number % 5}"))
            chair.create(person.session)
            for _ in range(4):
                chair.append(f"t{number}", person.plaque().events)
            person.signed()
            chair.append(f"t{number}", person.session.events)
            assert chair.behind is None

    said = at_once([lambda n=n: dictate(n) for n in range(CHAIRS)])  # type: ignore[misc]
    assert said == [""] * CHAIRS
    with clinic.chair("desk") as desk:
        assert {each.id: each.state for each in desk.list()} == dict.fromkeys(
            (f"t{n}" for n in range(CHAIRS)), "final"
        )
        assert all(len(desk.load(f"t{n}").findings) == 4 for n in range(CHAIRS))
    print(f"concurrent sessions: {CHAIRS}, updates lost: 0")


def test_two_amend_one_record_at_once_and_one_is_told(
    clinic: Clinic, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The second has read the record before the first amends it."""
    with clinic.chair("one") as one, clinic.chair("two") as two:
        run(one)
        read_before = two.untouched().records("s1")
        one.amend("s1", amendment("right"), actor="C. Dahl", at=START)
        with monkeypatch.context() as patch:
            patch.setattr(Reading, "final", lambda *_: read_before)
            with pytest.raises(ConflictError, match="changed by another program meanwhile"):
                two.amend("s1", amendment("midline"), actor="C. Dahl", at=START)
        assert two.load("s1").version == 2
        two.amend("s1", amendment("bilateral"), actor="C. Dahl", at=START)
        assert one.load("s1").version == 3


def test_many_processes_amend_one_record_and_none_is_lost(clinic: Clinic) -> None:
    with clinic.chair("desk") as desk:
        run(desk)

    def amend(number: int) -> None:
        with clinic.chair(f"chair{number}") as chair:
            chair.amend(
                "s1",
                Amend(
                    examiner="C. Dahl",
                    why=f"reason {number}",
                    changes=(AddFinding(fields=PLAQUE),),
                ),
                actor="C. Dahl",
                at=START,
            )

    said = at_once([lambda n=n: amend(n) for n in range(8)])  # type: ignore[misc]
    with clinic.chair("desk") as desk:
        session = desk.load("s1")
    kept = [each.body.why for each in session.events if each.body.type == "amended"]
    done = [f"reason {number}" for number, line in enumerate(said) if not line]
    assert sorted(kept) == sorted(done)
    assert len(done) >= 1
    for line in filter(None, said):
        assert line.startswith("ConflictError: ")


def test_two_chairs_go_on_with_one_draft_and_both_are_kept(clinic: Clinic) -> None:
    with clinic.chair("one") as one, clinic.chair("two") as two:
        first = Chair()
        one.create(first.session)
        one.append("s1", first.plaque().events)
        second = Chair(two.resume("s1"))
        one.append("s1", first.plaque(side="right").events)
        with pytest.raises(ConflictError, match="changed on another chair"):
            two.append("s1", second.plaque(kind="ulcer").events)
        with pytest.raises(ConflictError):
            two.append("s1", second.plaque(kind="nodule").events)
        assert two.pending("s1") == ()
    with clinic.chair("two") as two:
        assert {each.id for each in two.list()} == {"s1", "s1-b"}
        assert "kept whole as s1-b" in two.notes[0]
        assert two.load("s1").events == first.session.events
        other = two.load("s1-b")
        assert [each.kind for each in other.findings] == ["plaque", "ulcer", "nodule"]
        assert other.events[1:] == second.session.events[1:]
        assert not journal_of(two.home).exists()
        assert two.resume("s1-b").findings == other.findings


def test_a_draft_signed_on_two_chairs_is_kept_from_both(clinic: Clinic) -> None:
    with clinic.chair("one") as one, clinic.chair("two") as two:
        first = Chair()
        one.create(first.session)
        second = Chair(two.resume("s1"))
        first.plaque()
        second.plaque(side="right")
        for chair, person in ((one, first), (two, second)):
            person.signed()
            if chair is one:
                chair.append("s1", person.session.events)
            else:
                with pytest.raises(ConflictError):
                    chair.append("s1", person.session.events)
    with clinic.chair("two") as two:
        assert {each.id: each.state for each in two.list()} == {"s1": "final", "s1-b": "final"}
        assert two.load("s1-b").findings == second.session.findings


def test_a_draft_moves_from_chair_to_chair_and_back(clinic: Clinic) -> None:
    with clinic.chair("one") as one, clinic.chair("two") as two:
        person = Chair()
        one.create(person.session)
        one.append("s1", person.plaque().events)
        one.close()
        person = Chair(two.resume("s1"))
        two.append("s1", person.plaque(side="right").events)
        two.close()
        assert one.load("s1").events == person.session.events
        back = Chair(one.resume("s1"))
        assert back.session.events == person.session.events
        one.append("s1", back.plaque().events)


@pytest.mark.parametrize("mode", ["fast", "immediate"])
def test_the_server_goes_and_comes_back_in_the_middle(
    clinic: Clinic, cluster: Cluster, always_retry: None, mode: str
) -> None:
    with clinic.chair("one") as one:
        person = Chair()
        one.create(person.session)
        one.append("s1", person.plaque().events)
        cluster.stop(mode)
        one.append("s1", person.plaque(side="right").events)  # work goes on
        one.append("s1", person.plaque(kind="ulcer").events)
        assert one.behind
        assert "server does not answer" in one.behind
        assert one.load("s1").events == person.session.events
        cluster.start()
        one.append("s1", person.plaque(kind="nodule").events)
        assert one.behind is None
        with clinic.chair("desk") as desk:
            assert [each.id for each in desk.list()] == ["s1"]
            assert desk.load("s1").events == person.session.events


def test_begun_while_the_server_is_away_it_is_there_after(clinic: Clinic, cluster: Cluster) -> None:
    with clinic.chair("one") as one:
        run(one)
    cluster.stop()
    with clinic.chair("two") as two:
        person = Chair(Session.start("s2", PROTOCOL, START))
        two.create(person.session)
        two.append("s2", person.plaque().events)
        assert [each.id for each in two.list()] == ["s2"]
        assert any("server does not answer" in line for line in two.notes)
        with pytest.raises(StoreError, match="server does not answer"):
            two.load("s1")
    cluster.start()
    with clinic.chair("two") as two:
        assert {each.id for each in two.list()} == {"s1", "s2"}
    with clinic.chair("desk") as desk:
        assert desk.load("s2").events == person.session.events


def test_signed_while_the_server_is_away_it_is_final_after(
    clinic: Clinic, cluster: Cluster, always_retry: None
) -> None:
    with clinic.chair("one") as one:
        person = Chair()
        one.create(person.session)
        cluster.stop("immediate")
        person.signed()
        with pytest.raises(StoreError, match="server does not answer"):
            one.append("s1", person.session.events)
        assert one.pending("s1") == ()
    cluster.start()
    with clinic.chair("desk") as desk:
        assert [each.state for each in desk.list()] == ["draft"]
    with clinic.chair("one") as one:
        assert [each.state for each in one.list()] == ["final"]
        assert not journal_of(one.home).exists()
    with clinic.chair("desk") as desk:
        assert desk.load("s1").events == person.session.events


@pytest.fixture
def silent_server() -> Iterator[str]:
    """Takes connections and never answers, as a server behind a broken line."""
    with (
        tempfile.TemporaryDirectory(prefix="dictate-", dir="/tmp") as folder,
        socket.socket(socket.AF_UNIX) as listener,
    ):
        listener.bind(f"{folder}/.s.PGSQL.5432")
        listener.listen(8)
        yield f"postgresql+psycopg://nobody@/none?host={folder}"


def test_a_server_that_never_answers_is_not_waited_for_again(
    tmp_path: Path, silent_server: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(engine, "CONNECT_S", 2)  # libpq allows no less
    asked: list[object] = []
    real = connection.Database.open
    monkeypatch.setattr(
        connection.Database, "open", lambda *args: (asked.append(args), real(*args))[1]
    )
    with Store(with_key(tmp_path / "home"), silent_server) as chair:
        person = Chair()
        chair.create(person.session)
        for _ in range(5):
            chair.append("s1", person.plaque().events)
        assert len(asked) == 1
        assert chair.load("s1").events == person.session.events


def test_a_chair_killed_at_any_moment_leaves_whole_acts(clinic: Clinic, tmp_path: Path) -> None:
    """kill -9 at random moments; the desk sees whole acts, and the chair goes on."""
    with clinic.chair("desk") as desk:
        desk.list()
    begun = time.monotonic()
    in_child(lambda: run(clinic.chair("timed")) and None)
    whole_s, chance = time.monotonic() - begun, random.Random(4)
    with clinic.chair("timed") as chair:
        chair.list()
    final = 0
    for turn in range(KILLS):
        one = clinic.chair(f"chair{turn}")
        child = os.fork()
        if child == 0:  # pragma: no cover
            run_as(one, f"k{turn}")
            os._exit(0)
        time.sleep(chance.uniform(0.0, whole_s))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        with clinic.chair("desk") as desk:
            there = [each for each in desk.list() if each.id == f"k{turn}"]
            for each in there:
                seen = desk.load(each.id)
                assert seen.is_final == (each.state == "final")
                assert not seen.events[-1].more
        with clinic.chair(f"chair{turn}") as chair:
            there = [each for each in chair.list() if each.id == f"k{turn}"]
            if not there:
                continue
            final += there[0].state == "final"
            if there[0].state == "draft":
                session = go_on(Chair(chair.resume(f"k{turn}")), chair)
                assert session.is_final
            assert chair.load(f"k{turn}").events[1:] == expected()[1:]
    print(f"chairs killed: {KILLS}, after the signature {final}, acts lost 0")


def run_as(chair: Store, session_id: str) -> None:
    person = Chair(Session.start(session_id, PROTOCOL, START))
    chair.create(person.session)
    go_on(person, chair)


@pytest.mark.parametrize("version", VERSIONS)
def test_a_server_of_an_earlier_version_is_brought_up(
    clinic: Clinic, tmp_path: Path, version: int
) -> None:
    made = create_engine(clinic.url)
    if version not in OPEN:
        key = Path(shutil.copytree(old_home(tmp_path / "old", version), tmp_path / "shared"))
        unlock(made, keys.bare(key))
    with made.begin() as connection:
        migrate(connection, 0, to=str(version))
        copy_rows(version, connection)
    with clinic.chair("one") as chair:
        assert {each.id: each.state for each in chair.list()} == STATES
        for name, events in old_events(version).items():
            assert len(chair.load(name).events) == len(events)
    with made.connect() as connection:
        assert guards.missing(connection) == ()
        assert connection.scalar(text("SELECT max(version) FROM schema_version")) == SCHEMA
    made.dispose()


def test_a_server_made_new_is_as_one_brought_up(cluster: Cluster, tmp_path: Path) -> None:
    urls = cluster.database(), cluster.database()
    engines = [create_engine(each) for each in urls]
    with engines[0].begin() as connection:
        migrate(connection, 0, to="1")
    for number, each in enumerate(urls):
        with Store(with_key(tmp_path / str(number)), each) as chair:
            chair.list()
    brought_up, new = map(shape, engines)
    assert brought_up == new
    for made in engines:
        made.dispose()


def test_a_wrong_user_or_database_is_told_without_the_password(
    tmp_path: Path, cluster: Cluster
) -> None:
    for wrong in (
        f"postgresql://nobody:secretive@/postgres?host={cluster.folder}",
        f"postgresql://dictate:secretive@/nowhere?host={cluster.folder}",
    ):
        with (
            Store(with_key(tmp_path / "home"), wrong) as chair,
            pytest.raises(StoreError) as caught,
        ):
            chair.list()
        assert "no such database or user" in str(caught.value)
        assert "secretive" not in str(caught.value)
