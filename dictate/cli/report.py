"""`dictate report`: tables over a clinic's signed sessions, for its audit."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date, datetime
from functools import partial
from pathlib import Path

import click

from dictate.cli import progress
from dictate.cli.files import STDOUT, put
from dictate.cli.opening import open_store
from dictate.cli.options import home_option
from dictate.cli.output import note
from dictate.exam.lesions import Lesion
from dictate.exam.patients import Patient
from dictate.exam.visits import Visit
from dictate.export.audit_csv import (
    Audited,
    Period,
    counts_csv,
    findings_csv,
    followup_csv,
    sites_csv,
)
from dictate.export.gather import extras_of
from dictate.store.patients import PatientBook
from dictate.store.store import Store
from dictate.store.worklist import Worklist

KINDS = ("counts", "findings", "sites", "followup")
PERIODS: tuple[Period, ...] = ("day", "week", "month", "quarter", "year")
_DAY = click.DateTime(["%Y-%m-%d"])


@click.command()
@click.option(
    "--kind",
    type=click.Choice(KINDS),
    default="counts",
    show_default=True,
    help="counts per period; every finding; sites with sizes; re-checks and answers, whether in "
    "time.",
)
@click.option("--from", "first", type=_DAY, help="Only visits on or after this day.")
@click.option("--to", "last", type=_DAY, help="Only visits on or before this day.")
@click.option(
    "--per",
    type=click.Choice(PERIODS),
    default="month",
    show_default=True,
    help="The period of counts and sites.",
)
@click.option("--codes", is_flag=True, help="With findings: a column of suggested site codes.")
@click.option("--today", type=_DAY, help="The day to look from [default: today].")
@click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    default=STDOUT,
    help="CSV file to write, which must not exist yet [default: stdout].",
)
@home_option
def report(
    kind: str,
    first: datetime | None,
    last: datetime | None,
    per: Period,
    codes: bool,
    today: datetime | None,
    out: Path,
    home: Path | None,
) -> None:
    """Write a table of all signed sessions as CSV. It names no patient."""
    if codes and kind != "findings":
        raise click.UsageError("--codes goes with --kind findings.")
    since, until = _day(first) or date.min, _day(last) or date.max
    if since > until:
        raise click.UsageError("--from lies after --to.")
    day = _day(today) or date.today()
    tables: dict[str, Callable[[Iterable[Audited]], str]] = {
        "counts": partial(counts_csv, period=per, today=day),
        "findings": partial(findings_csv, site_codes=codes),
        "sites": partial(sites_csv, period=per),
        "followup": partial(followup_csv, today=day),
    }
    with open_store(home) as store:
        worklist = Worklist(store)
        visits = [each for each in worklist.visits() if since <= each.on <= until]
        for line in (*store.notes, *worklist.problems.values()):
            note(line)
        store.note("exported", detail=f"report of {kind}")
        document = tables[kind](_Audit(store, worklist, visits).sessions())
    put(document.encode(), out)


def _day(at: datetime | None) -> date | None:
    return at.date() if at else None


class _Audit:
    """Reads the sessions of visits one by one, and each patient's lesions once."""

    def __init__(self, store: Store, worklist: Worklist, visits: Sequence[Visit]) -> None:
        self._store, self._worklist, self._visits = store, worklist, visits
        self._patients = {each.id: each for each in PatientBook(store).all()}
        self._lesions: dict[str, tuple[Lesion, ...]] = {}

    def sessions(self) -> Iterator[Audited]:
        for visit in progress.each(self._visits, "reading records"):
            session = self._store.load(visit.session)
            patient, lesions = self._known(session.patient)
            yield Audited(session, extras_of(session, patient, lesions))

    def _known(self, identifier: str | None) -> tuple[Patient | None, tuple[Lesion, ...]]:
        if identifier is None:
            return None, ()
        if identifier not in self._lesions:
            self._lesions[identifier] = self._worklist.lesions(identifier)
        return self._patients.get(identifier), self._lesions[identifier]
