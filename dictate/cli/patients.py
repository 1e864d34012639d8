"""`dictate patients`, `dictate patient ID` and `dictate answer`: who was examined, and what for."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date, datetime
from pathlib import Path

import click
from rich.console import Console
from rich.table import Table
from rich.text import Text

from dictate.cli.asked import EITHER, IDENTIFIER, NAME
from dictate.cli.opening import acting, open_store
from dictate.cli.options import acting_home_option, home_option, json_option
from dictate.cli.output import note, print_json
from dictate.exam.decisions import decision_words
from dictate.exam.lesions import Lesion, Plan
from dictate.exam.patients import Patient, who
from dictate.exam.readback import finding_words, place_words
from dictate.exam.risks import risk_words
from dictate.exam.trend import plot
from dictate.exam.visits import Visit
from dictate.export.plain import visible
from dictate.pipeline.answers import record_answer
from dictate.pipeline.registering import register
from dictate.store.patients import PatientBook
from dictate.store.worklist import PatientEntry, Worklist

_DAY = click.DateTime(["%Y-%m-%d"])


@click.command()
@click.argument("text", default="", type=EITHER)
@click.option("--since", type=_DAY, help="Only patients seen on or after this day.")
@click.option("--until", type=_DAY, help="Only patients seen on or before this day.")
@click.option(
    "--register", "identifier", type=IDENTIFIER, help="Keep a patient's name and year of birth."
)
@click.option("--name", type=NAME, help="With --register; either may be -, to be asked.")
@click.option("--born", type=int, help="Year of birth, with --register.")
@json_option
@home_option
def patients(
    text: str,
    since: datetime | None,
    until: datetime | None,
    identifier: str | None,
    name: str | None,
    born: int | None,
    as_json: bool,
    home: Path | None,
) -> None:
    """List the patients whose identifier or name holds TEXT, or register one."""
    if identifier is None and (name or born):
        raise click.UsageError("--name and --born go with --register.")
    with open_store(home) as store:
        if identifier is not None:
            click.echo(f"Kept: {who(register(store, identifier, name, born))}")
            return
        worklist = Worklist(store)
        entries = worklist.patients(
            text,
            since=since.date() if since else None,
            until=until.date() if until else None,
        )
        store.note("listed", detail="patients")
        for line in (*store.notes, *worklist.problems.values()):
            note(line)
    if as_json:
        print_json({"patients": [_entry_document(each) for each in entries]})
    elif entries:
        Console().print(_entries(entries))
    else:
        click.echo("There is no such patient.")


@click.command()
@click.argument("identifier", type=IDENTIFIER)
@json_option
@home_option
def patient(identifier: str, as_json: bool, home: Path | None) -> None:
    """Show a patient by IDENTIFIER: visits, lesions with their sizes over time, decisions."""
    with open_store(home) as store:
        known = PatientBook(store).known(identifier)
        worklist = Worklist(store)
        visits, lesions = worklist.visits(known.id), worklist.lesions(known.id)
        store.note("viewed", patient=known.id)
    if as_json:
        print_json(
            {
                "patient": known.model_dump(mode="json"),
                "visits": [each.model_dump(mode="json") for each in visits],
                "lesions": [each.model_dump(mode="json") for each in lesions],
            }
        )
        return
    for line in _told(known, visits, lesions):
        click.echo(visible(line))


@click.command()
@click.argument("identifier", type=IDENTIFIER)
@click.argument("lesion")
@click.argument("answer")
@click.option("--on", type=_DAY, help="The day it came [default: today].")
@click.option("--recheck", type=_DAY, help="The day the lesion is looked at again.")
@acting_home_option
def answer(
    identifier: str,
    lesion: str,
    answer: str,
    on: datetime | None,
    recheck: datetime | None,
    home: Path | None,
) -> None:
    """Record the ANSWER to a referral or biopsy of a patient's LESION ("L2")."""
    with open_store(home) as store:
        session = record_answer(
            store,
            identifier,
            lesion,
            answer,
            by=acting(store),
            on=on.date() if on else date.today(),
            recheck=recheck.date() if recheck else None,
        )
    click.echo(f"Kept with session {session.id}, version {session.version}.")


def _entries(entries: Iterable[PatientEntry]) -> Table:
    table = Table(
        "patient", "name", "born", "visits", "last", "open", "next", box=None, pad_edge=False
    )
    for each in entries:
        row = each.next
        coming = f"{row.status} {row.due or ''}" if row else ""
        cells = (
            each.patient.id,
            each.patient.name or "",
            str(each.patient.birth_year or ""),
            str(each.visits),
            str(each.last_visit or ""),
            str(each.open_lesions),
            coming,
        )
        table.add_row(*(Text(visible(cell)) for cell in cells))
    return table


def _entry_document(each: PatientEntry) -> dict[str, object]:
    return {
        **each.patient.model_dump(mode="json"),
        "visits": each.visits,
        "last_visit": str(each.last_visit) if each.last_visit else None,
        "open_lesions": each.open_lesions,
        "next_due": str(each.next.due) if each.next and each.next.due else None,
    }


def _told(known: Patient, visits: Iterable[Visit], lesions: Iterable[Lesion]) -> Iterator[str]:
    yield who(known)
    for visit in visits:
        yield f"  {visit.on}  session {visit.session}, signed by {visit.examiner}"
    risks = {risk.factor: (risk, visit.on) for visit in visits for risk in visit.risks}
    for risk, on in risks.values():
        yield f"  {risk_words(risk)} ({on})"
    for lesion in lesions:
        yield ""
        yield from _lesion(lesion)


def _lesion(lesion: Lesion) -> Iterator[str]:
    yield f"{lesion.label}  {place_words(lesion.fields)}  {lesion.state}, first seen " + (
        str(lesion.first_seen)
    )
    yield f"    {finding_words(lesion.fields)}"
    if lesion.clash is not None:
        yield f"    TO CONFIRM: {lesion.clash[1]}"
    for line in plot(lesion.sizes()):
        yield f"    {line}"
    for sighting in lesion.sightings:
        if sighting.fields is None:
            yield f"    {sighting.on}  {sighting.what}"
    for plan in lesion.plans:
        yield f"    {plan.on}  {_plan(plan)}"


def _plan(plan: Plan) -> str:
    words = f"{decision_words(plan.decision)} ({plan.by})"
    if plan.answer is not None:
        words += f"; answer of {plan.answered_on}: {plan.answer}"
    return words
