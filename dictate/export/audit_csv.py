"""Tables over many sessions, for a clinic's audit: nobody is named in them."""

from __future__ import annotations

import csv
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from io import StringIO
from typing import Literal

from dictate.exam.decisions import AWAITED
from dictate.exam.finding import Finding
from dictate.exam.record import Record
from dictate.export.chart import Chart
from dictate.export.extras import NOTHING, Extras, RecheckLine
from dictate.export.plain import visible
from dictate.export.site_codes import HEADING, site_code_suggestion

Period = Literal["day", "week", "month", "quarter", "year"]
Cell = str | int | float | None
_ACTING = ("=", "+", "-", "@", "\t", "\r", "＝", "＋", "－", "＠")
"""What makes a spreadsheet read a cell as a formula (OWASP, CSV injection)."""
FINDING_COLUMNS = (
    "session", "examined", "state", "version", "finding", "region", "subsite", "side", "kind",
    "normal_variant", "count", "length_mm", "width_mm", "height_mm", "duration_days",
    "site_of_higher_risk", "to_confirm",
)  # fmt: skip
COUNT_COLUMNS = (
    "period", "sessions", "signed", "amended", "sessions_complete", "findings", "abnormal",
    "normal_variants", "rechecks_due", "rechecks_in_time", "rechecks_late", "rechecks_open",
    "answers_due", "answers_in_time", "answers_late", "answers_open",
)  # fmt: skip
SITE_COLUMNS = ("period", "region", "subsite", "side", "findings", "abnormal", "largest_mm")
FOLLOWUP_COLUMNS = (
    "session", "examined", "finding", "due", "done", "outcome", "days_late", "what",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Audited:
    """One session and what is known beyond it."""

    session: Record
    extras: Extras = NOTHING


def findings_csv(sessions: Iterable[Audited], *, site_codes: bool = False) -> str:
    """One row a finding; with `site_codes` a last column of topography codes.

    The codes are suggestions of a place under a heading that says so, never of a diagnosis.
    """
    columns = (*FINDING_COLUMNS, HEADING) if site_codes else FINDING_COLUMNS
    return _table(columns, _finding_rows(sessions, site_codes))


def counts_csv(sessions: Iterable[Audited], *, period: Period = "month", today: date) -> str:
    """One row a period: sessions, findings, re-checks and answers in time, late or still open."""
    counts: dict[str, Counter[str]] = {}
    for each in sessions:
        row = counts.setdefault(name_of(each.session.examined_on, period), Counter())
        row.update(_counted(each, today))
    return _table(
        COUNT_COLUMNS,
        ([name, *(row[key] for key in COUNT_COLUMNS[1:])] for name, row in sorted(counts.items())),
    )


def sites_csv(sessions: Iterable[Audited], *, period: Period = "month") -> str:
    """One row a period and site: how many findings, how many abnormal, the largest size."""
    found: dict[tuple[str, ...], list[Finding]] = {}
    for each in sessions:
        when = name_of(each.session.examined_on, period)
        for finding in each.session.findings:
            site = (finding.region or "", finding.subsite or "", finding.side or "")
            found.setdefault((when, *site), []).append(finding)
    return _table(SITE_COLUMNS, ([*key, *_sizes(those)] for key, those in sorted(found.items())))


def followup_csv(sessions: Iterable[Audited], *, today: date) -> str:
    """One row a re-check or answer: due, done or come, and whether that was in time."""
    rows = (
        [
            each.session.id, str(each.session.examined_on), line.finding, str(line.due),
            str(line.done) if line.done else None, outcome(line, today), _days_late(line, today),
            what,
        ]
        for each in sessions
        for what, line in sorted(_followed(each.extras), key=lambda told: told[1].due)
    )  # fmt: skip
    return _table(FOLLOWUP_COLUMNS, rows)


def _followed(extras: Extras) -> Iterator[tuple[str, RecheckLine]]:
    """Each day that was set, with what it was set for."""
    yield from (("re-check", line) for line in extras.rechecks)
    for each in extras.decisions:
        if each.kind in AWAITED and each.due:
            yield "answer", RecheckLine(each.due, finding=each.finding, done=each.answered)


def outcome(line: RecheckLine, today: date) -> str:
    """ "in time" (on the day or before), "late", "overdue" (not done yet) or "not yet due"."""
    if line.done:
        return "in time" if line.done <= line.due else "late"
    return "overdue" if line.due < today else "not yet due"


def name_of(day: date, period: Period) -> str:
    """The period that holds the day: "2031-03-04", "2031-W10" (ISO 8601), "2031-03", "2031-Q1"."""
    names: dict[Period, Callable[[], str]] = {
        "day": day.isoformat,
        "week": lambda: "{}-W{:02}".format(*day.isocalendar()[:2]),
        "month": lambda: f"{day:%Y-%m}",
        "quarter": lambda: f"{day.year}-Q{(day.month + 2) // 3}",
        "year": lambda: str(day.year),
    }
    return names[period]()


def safe_cell(value: Cell) -> Cell:
    """Text that a spreadsheet shows and never runs; numbers stay numbers.

    Text is marked when it, or what is left of it without leading space, begins like a formula.
    """
    if not isinstance(value, str):
        return value
    acts = value.startswith(_ACTING) or value.lstrip().startswith(_ACTING)
    return f"'{visible(value)}" if acts else visible(value)


def _table(columns: Sequence[str], rows: Iterable[Sequence[Cell]]) -> str:
    out = StringIO()
    writer = csv.writer(out, lineterminator="\r\n")  # RFC 4180
    writer.writerow(columns)
    writer.writerows([safe_cell(cell) for cell in row] for row in rows)
    return out.getvalue()


def _finding_rows(sessions: Iterable[Audited], site_codes: bool) -> Iterator[list[Cell]]:
    for each in sessions:
        session = each.session
        head: list[Cell] = [session.id, str(session.examined_on), _state(session), session.version]
        for entry in Chart(session, each.extras).entries:
            finding = entry.finding
            sizes = [*finding.size_mm, None, None, None][:3]
            row: list[Cell] = [
                *head, finding.id, finding.region, finding.subsite, finding.side, finding.kind,
                finding.normal_variant, finding.count, *sizes, finding.duration_days,
                "yes" if entry.high_risk else "no", "; ".join(entry.doubts) or None,
            ]  # fmt: skip
            yield [*row, site_code_suggestion(finding)] if site_codes else row


def _counted(each: Audited, today: date) -> Counter[str]:
    session = each.session
    abnormal = sum(1 for finding in session.findings if not finding.normal_variant)
    outcomes = Counter((what, outcome(line, today)) for what, line in _followed(each.extras))
    counted: Counter[str] = Counter(
        sessions=1,
        signed=int(session.is_final),
        amended=int(session.version > 1),
        sessions_complete=int(all(region.examined for region in session.coverage)),
        findings=len(session.findings),
        abnormal=abnormal,
        normal_variants=len(session.findings) - abnormal,
    )
    counted.update(_outcomes("rechecks", "re-check", outcomes))
    counted.update(_outcomes("answers", "answer", outcomes))
    return counted


def _outcomes(name: str, what: str, outcomes: Counter[tuple[str, str]]) -> dict[str, int]:
    """Those whose day has come, and what became of them."""
    met = {
        f"{name}_in_time": outcomes[what, "in time"],
        f"{name}_late": outcomes[what, "late"],
        f"{name}_open": outcomes[what, "overdue"],
    }
    return {**met, f"{name}_due": sum(met.values())}


def _sizes(findings: Sequence[Finding]) -> list[Cell]:
    abnormal = sum(1 for each in findings if not each.normal_variant)
    largest = max((mm for each in findings for mm in each.size_mm), default=None)
    return [len(findings), abnormal, largest]


def _days_late(line: RecheckLine, today: date) -> int:
    return max(0, ((line.done or today) - line.due).days)


def _state(session: Record) -> str:
    return "final" if session.is_final else "draft"
