"""Re-check dates as iCalendar, read back by another library (vobject)."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Any

import pytest
import vobject

from dictate.errors import ExportError
from dictate.export.calendar import Recheck, calendar_file, calendar_of, rechecks
from dictate.export.extras import DecisionLine, Extras, PatientDetails, RecheckLine
from tests.export_samples import EXTRAS, dictated, signed

STAMP = datetime(2031, 3, 4, 12, 0, tzinfo=UTC)


def entries(content: bytes) -> list[Any]:
    calendar = vobject.readOne(content.decode())
    assert calendar.version.value == "2.0"
    return list(calendar.contents.get("vevent", []))


def test_a_date_is_a_private_entry_of_one_day() -> None:
    (entry,) = entries(calendar_of(signed().session, EXTRAS))
    assert entry.dtstart.value == date(2031, 3, 18)
    assert entry.dtend.value == date(2031, 3, 19)  # RFC 5545: the end is not included
    assert entry.contents["class"][0].value == "PRIVATE"
    assert entry.summary.value == "Mouth and neck re-check, session s-2031"


def test_nobody_is_named_unless_asked_for() -> None:
    content = calendar_of(signed().session, EXTRAS)
    assert b"Nystr" not in content
    assert b"K-1042" not in content
    assert b"look again" not in content
    dates = rechecks(signed().session, EXTRAS)
    (entry,) = entries(calendar_file(dates, with_patient=True, stamp=STAMP))
    assert "Alva Nyström-O'Brien" in entry.summary.value
    assert entry.description.value == "look again"


def test_what_was_done_is_not_in_it_and_the_rest_is_in_order() -> None:
    lines = (
        RecheckLine(date(2031, 5, 1)),
        RecheckLine(date(2031, 4, 1), done=date(2031, 4, 1)),
        RecheckLine(date(2031, 3, 18)),
    )
    found = entries(calendar_of(signed().session, Extras(rechecks=lines)))
    assert [each.dtstart.value for each in found] == [date(2031, 3, 18), date(2031, 5, 1)]


def test_the_same_recheck_keeps_its_entry() -> None:
    again = Recheck("s1", date(2031, 3, 18), finding="f1")
    one, two = (entries(calendar_file([again], stamp=STAMP))[0] for _ in range(2))
    (other,) = entries(calendar_file([Recheck("s1", date(2031, 3, 19), finding="f1")], stamp=STAMP))
    assert one.uid.value == two.uid.value != other.uid.value


@pytest.mark.parametrize("name", ["A, B; C\\D", "a\nEND:VEVENT\nb", "קרן", "x" * 300, "\x1b[31m"])
def test_no_name_breaks_the_calendar(name: str) -> None:
    extras = Extras(
        patient=PatientDetails(None, name), rechecks=(RecheckLine(date(2031, 3, 18), name),)
    )
    content = calendar_file(rechecks(signed().session, extras), with_patient=True, stamp=STAMP)
    (entry,) = entries(content)
    assert "\x1b" not in entry.summary.value
    if name.isprintable():
        assert name in entry.summary.value
    # RFC 5545, 3.1: lines of at most 75 octets, ended by CRLF.
    assert all(len(line) <= 75 for line in content.split(b"\r\n"))


def test_an_answer_to_ask_after_is_an_entry_that_says_so() -> None:
    asked = DecisionLine("refer", finding="f1", kind="refer", due=date(2031, 3, 18))
    answered = replace(asked, finding="f2", answered=date(2031, 3, 10))
    (entry,) = entries(calendar_of(signed().session, Extras(decisions=(asked, answered))))
    assert entry.dtstart.value == date(2031, 3, 18)
    assert entry.summary.value == "Mouth and neck: ask after an answer, session s-2031"


def test_without_a_date_no_calendar_is_written() -> None:
    """RFC 5545, 3.6: a calendar "MUST include at least one calendar component"."""
    with pytest.raises(ExportError, match="no calendar is written"):
        calendar_of(signed().session)


def test_a_draft_makes_no_calendar() -> None:
    with pytest.raises(ExportError, match="needs a signed session"):
        calendar_of(dictated().session, EXTRAS)
