"""A clock set back by hours or days: order stays that of what was done, and it is told."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from dictate.errors import StoreError
from dictate.exam.commands import Decide, FollowLesion, LeaveLesion, ResolveLesion
from dictate.exam.finding import FindingFields
from dictate.exam.session import Session
from dictate.pipeline import opening
from dictate.pipeline.opening import find, new_examination, resumed_examination
from dictate.store.store import Store
from dictate.store.verifying import verify
from dictate.store.worklist import Worklist
from dictate.tui.desk import Desk
from dictate.vocabulary.loader import load
from tests.cli_inside import inside
from tests.exam_samples import PROTOCOL, START, Chair
from tests.test_store_worklist import later, visit
from tests.visit_samples import FIRST, RULES, at, chair, days

LEXICON = load()
UNSURE = r"The clock was set back.* s2, .* or s1, by the clock"
BACK = (timedelta(hours=3), timedelta(days=30))


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store(tmp_path / "home") as opened:
        yield opened


@pytest.mark.parametrize("back", BACK)
def test_amid_a_session_the_order_stays_and_the_audit_tells_it(
    store: Store, back: timedelta
) -> None:
    seat = Chair()
    store.create(seat.session)
    store.append("s1", seat.plaque().events)
    seat.now -= back
    store.append("s1", seat.plaque(side="right").events)
    events = seat.session.events
    store.close()
    with Store(store.home) as again:
        resumed = Chair(again.resume("s1"))
        assert resumed.session.events == events
        assert [each.side for each in resumed.session.findings] == ["left", "right"]
        resumed.now = seat.now
        resumed.signed()
        again.append("s1", resumed.session.events)
        assert again.load("s1").events == resumed.session.events
        assert verify(again.untouched(), again.folder).faults == []
    told = inside("audit", "--session", "s1", home=store.home).out
    assert f"(clock: {START - back + timedelta(seconds=2):%Y-%m-%d %H:%M:%S} UTC)" in told
    lines = [line.split("  ")[2] for line in told.splitlines() if "dictated" in line]
    assert len(lines) == 2
    assert "(clock" not in lines[0]
    assert "(clock" in lines[1]


@pytest.mark.parametrize("back", BACK)
def test_a_visit_dated_before_the_one_it_follows(store: Store, back: timedelta) -> None:
    """What the later visit says of a lesion counts, whatever day it bears; no number changes."""
    made = chair(followup=RULES)
    made.plaque(colours=())
    made.plaque(colours=(), side="right")
    made.plaque(colours=(), region="buccal mucosa", subsite=None)
    for name in ("f1", "f2", "f3"):
        made.key(Decide(target=name, decision="recheck"))
    made.signed()
    store.create(made.session)
    one, two, three = Worklist(store).lesions("P-17")
    second = chair(
        FIRST - timedelta(days=back.days), open_=(one, two, three), followup=RULES, session="s-2"
    )
    second.now = at(FIRST) - back
    second.key(ResolveLesion(lesion=one.id))
    second.key(LeaveLesion(lesion=two.id, reason="a swelling hides it"))
    second.key(
        FollowLesion(lesion=three.id, what="changed", fields=FindingFields(size_mm=(12.0, 6.0)))
    )
    second.plaque(colours=(), subsite="ventral surface")
    for each in (two.id, *(x.id for x in second.session.findings)):
        second.key(Decide(target=each, decision="refer", reason="it has grown"))
    second.signed()
    store.create(second.session)

    found = {each.label: each for each in Worklist(store).lesions("P-17")}
    assert [found[x].id for x in ("L1", "L2", "L3")] == [one.id, two.id, three.id]
    assert found["L4"].id.startswith("s-2/")
    assert found["L1"].state == "resolved"
    assert found["L2"].sightings[-1].what == "not looked at"
    assert found["L3"].fields.size_mm == (12.0, 6.0)
    for label in ("L2", "L3", "L4"):
        assert found[label].plan
        assert found[label].plan.decision.decision == "refer"
    rows = Worklist(store).due(FIRST + days(14))
    assert {(row.lesion, row.status) for row in rows} == {
        ("L2", "awaiting"),
        ("L3", "awaiting"),
        ("L4", "awaiting"),
    }
    assert all(row.late_days >= 0 for row in rows)


def test_right_clocks_change_nothing(store: Store) -> None:
    visit(store)
    later(store, FIRST + days(14), ResolveLesion(lesion="s-2031-03-04/f1"))
    (lesion,) = Worklist(store).lesions("P-17")
    assert [each.on for each in lesion.sightings] == [FIRST, FIRST + days(14)]


def begun(store: Store, name: str, at: datetime) -> None:
    store.create(Session.start(name, PROTOCOL, at))


@pytest.mark.parametrize("back", BACK)
def test_which_session_is_the_latest_is_asked(store: Store, back: timedelta) -> None:
    begun(store, "s1", START)
    assert store.set_back is None
    begun(store, "s2", START - back)
    assert store.set_back
    assert "The clock was set back" in store.set_back
    assert store.set_back in store.notes
    with pytest.raises(StoreError, match=UNSURE):
        find(store, "latest")
    store.close()
    with Store(store.home) as again:
        with pytest.raises(
            StoreError, match=r"The clock was set back.* s2, .* or s1, by the clock"
        ):
            resumed_examination(again, LEXICON)
        assert resumed_examination(again, LEXICON, "s2").session.id == "s2"


def test_a_clock_put_right_by_minutes_is_not_told(store: Store) -> None:
    begun(store, "s1", START)
    begun(store, "s2", START - timedelta(minutes=4))
    assert store.set_back is None
    assert find(store, "latest") == "s1"


def test_a_draft_given_to_another_patient_is_no_clock_set_back(store: Store) -> None:
    """It keeps the time at which it began."""
    first = Session.start("s1", PROTOCOL, START)
    store.create(first)
    begun(store, "s2", START + timedelta(minutes=20))
    body = first.started.model_copy(update={"id": "s3"})
    copy = Chair(Session.from_events([first.events[0].model_copy(update={"body": body})]))
    copy.now += timedelta(minutes=30)
    copy.plaque()
    store.create(copy.session)
    assert store.set_back is None
    assert find(store, "latest") == "s2"


def test_the_screen_tells_it_before_the_examination(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    begun(store, "s1", START)
    monkeypatch.setattr(opening, "now", lambda: START - timedelta(days=2))
    examination = new_examination(store, LEXICON)
    notice = Desk(examination, LEXICON).notice
    assert notice.warning
    assert notice.text.startswith("The clock was set back")
    assert "2031-03-04" in notice.text
