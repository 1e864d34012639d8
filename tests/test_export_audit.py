"""Audit tables: counts that add up, periods by the calendar, cells that no spreadsheet runs."""

from __future__ import annotations

import csv
from dataclasses import replace
from datetime import date, timedelta
from io import StringIO

import pytest
from dateutil import parser, rrule
from hypothesis import given, settings
from hypothesis import strategies as st

from dictate.export.audit_csv import (
    Audited,
    counts_csv,
    findings_csv,
    followup_csv,
    name_of,
    outcome,
    safe_cell,
    sites_csv,
)
from dictate.export.extras import DecisionLine, Extras, RecheckLine
from dictate.export.site_codes import HEADING
from tests.export_samples import EXTRAS, amended, chair, dictated, signed

TODAY = date(2031, 4, 1)


def rows(text: str) -> list[dict[str, str]]:
    """As an independent reader of the standard library sees it."""
    return list(csv.DictReader(StringIO(text, newline="")))


def test_one_row_a_finding_with_its_numbers() -> None:
    session = signed().session
    found = {each["finding"]: each for each in rows(findings_csv([Audited(session)]))}
    assert len(found) == len(session.findings) == 3
    plaque = found["f1"]
    assert (plaque["region"], plaque["subsite"], plaque["side"]) == (
        "tongue",
        "lateral border",
        "left",
    )
    assert (float(plaque["length_mm"]), float(plaque["width_mm"])) == (10.0, 6.0)
    assert plaque["height_mm"] == ""
    assert plaque["site_of_higher_risk"] == "yes"
    assert found["f2"]["normal_variant"] == "torus palatinus"


def test_nobody_is_named_in_it() -> None:
    audited = [Audited(signed().session, EXTRAS)]
    for text in (
        findings_csv(audited),
        counts_csv(audited, today=TODAY),
        sites_csv(audited),
        followup_csv(audited, today=TODAY),
    ):
        assert "Nystr" not in text
        assert "K-1042" not in text
        assert "A. Berg" not in text


def test_what_is_doubted_in_a_draft_is_told() -> None:
    found = rows(findings_csv([Audited(dictated().session)]))
    assert {each["state"] for each in found} == {"draft"}
    assert [each["to_confirm"] for each in found if each["kind"] == "naevus"] == [
        "side (no side was said)"
    ]


def test_site_codes_come_only_when_asked_and_say_what_they_are() -> None:
    audited = [Audited(signed().session)]
    assert "C02" not in findings_csv(audited)
    found = rows(findings_csv(audited, site_codes=True))
    assert "not_a_diagnosis" in HEADING
    assert "topography" in HEADING
    assert {each["finding"]: each[HEADING] for each in found} == {
        "f1": "C02.1",
        "f2": "C05.0",
        "f3": "",
    }


def test_counts_add_up() -> None:
    audited = [Audited(signed().session, EXTRAS), Audited(dictated().session)]
    audited.append(Audited(amended().session))
    (month,) = rows(counts_csv(audited, today=TODAY))
    assert month["period"] == "2031-03"
    assert (month["sessions"], month["signed"], month["amended"]) == ("3", "2", "1")
    assert int(month["findings"]) == 9
    assert int(month["abnormal"]) + int(month["normal_variants"]) == 9
    assert (month["rechecks_due"], month["rechecks_open"]) == ("1", "1")
    assert month["sessions_complete"] == "0"
    assert sum(int(each["findings"]) for each in rows(sites_csv(audited))) == 9


def test_no_session_makes_an_empty_table() -> None:
    assert rows(counts_csv([], today=TODAY)) == []
    assert counts_csv([], today=TODAY).startswith("period,sessions")


@pytest.mark.parametrize(
    ("due", "done", "said"),
    [
        (date(2031, 3, 18), date(2031, 3, 18), "in time"),
        (date(2031, 3, 18), date(2031, 3, 19), "late"),
        (date(2031, 3, 31), None, "overdue"),
        (date(2031, 4, 1), None, "not yet due"),
    ],
)
def test_in_time_is_on_the_day_or_before(due: date, done: date | None, said: str) -> None:
    assert outcome(RecheckLine(due, done=done), TODAY) == said


def test_follow_up_is_told_with_days_late() -> None:
    lines = (
        RecheckLine(date(2031, 3, 18), finding="f1", done=date(2031, 3, 20)),
        RecheckLine(date(2031, 3, 11), finding="f3"),
    )
    found = rows(followup_csv([Audited(signed().session, Extras(rechecks=lines))], today=TODAY))
    assert [(each["finding"], each["outcome"], each["days_late"]) for each in found] == [
        ("f3", "overdue", "21"),
        ("f1", "late", "2"),
    ]


def test_answers_are_followed_up_like_re_checks() -> None:
    asked = DecisionLine("refer", finding="f1", kind="refer", due=date(2031, 3, 18))
    came = replace(asked, finding="f3", kind="biopsy", answered=date(2031, 3, 17))
    audited = [Audited(signed().session, Extras(decisions=(asked, came)))]
    found = rows(followup_csv(audited, today=TODAY))
    assert [(each["finding"], each["outcome"], each["what"]) for each in found] == [
        ("f1", "overdue", "answer"),
        ("f3", "in time", "answer"),
    ]
    (month,) = rows(counts_csv(audited, today=TODAY))
    answers = [month[f"answers_{name}"] for name in ("due", "in_time", "late", "open")]
    assert answers == ["2", "1", "0", "1"]
    assert month["rechecks_due"] == "0"


@given(st.dates(date(1990, 1, 1), date(2090, 1, 1)))
@settings(max_examples=100, deadline=None)
def test_periods_are_the_calendars(day: date) -> None:
    # dateutil reads ISO 8601 weeks; weeks begin on Monday.
    monday = day - timedelta(days=day.weekday())
    assert parser.isoparse(name_of(day, "week")).date() == monday
    assert parser.isoparse(name_of(day, "month")).date() == day.replace(day=1)
    year, quarter = name_of(day, "quarter").split("-Q")
    months = rrule.rrule(
        rrule.MONTHLY, interval=3, dtstart=parser.isoparse(f"{year}-01-01"), count=4
    )
    assert max(each for each in months if each.date() <= day) == list(months)[int(quarter) - 1]


@pytest.mark.parametrize(
    "text", ["=1+1", "+1", "-1", "@x", "\t=1", "\r=1", " =1", "\n=1", "=cmd|'/C calc'!A0"]
)
def test_no_cell_is_a_formula(text: str) -> None:
    # Signs of the OWASP page on CSV injection.
    made = safe_cell(text)
    assert isinstance(made, str)
    assert made.startswith("'")


def test_a_formula_in_a_dictated_word_is_harmless_and_kept() -> None:
    seat = chair()
    seat.plaque(kind='=HYPERLINK("http://x","y")')
    (found,) = rows(findings_csv([Audited(seat.session)]))
    assert found["kind"] == '\'=HYPERLINK("http://x","y")'


@given(st.text(max_size=40))
@settings(max_examples=150, deadline=None)
def test_any_text_stays_in_its_cell(text: str) -> None:
    seat = chair()
    seat.plaque(kind=f"x{text}")
    (found,) = rows(findings_csv([Audited(seat.session)]))
    assert found["kind"].startswith("x")
    assert found["side"] == "left"
    assert not {"\x1b", "\n", "\u202e"} & set(found["kind"])
