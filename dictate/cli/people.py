"""`dictate people`: who works with the records; only an examiner signs."""

from __future__ import annotations

from pathlib import Path
from typing import cast

import click

from dictate.cli.opening import open_store
from dictate.cli.options import home_option
from dictate.cli.output import note
from dictate.errors import StoreError
from dictate.export.plain import visible
from dictate.store.people import People
from dictate.store.store import Store
from dictate.store.trail import Role

ANYONE = "no examiner is registered, so anyone can sign: `dictate people add NAME --role examiner`"


@click.group()
def people() -> None:
    """Register who works here. Names, no passwords: they tell people apart, and stop nobody."""


@people.command()
@click.argument("name")
@click.option("--role", type=click.Choice(["examiner", "assistant"]), required=True)
@click.option(
    "--login", help="Account of this machine that is theirs alone: no --as is needed then."
)
@home_option
def add(name: str, role: str, login: str | None, home: Path | None) -> None:
    """Register NAME."""
    with open_store(home) as store:
        done = _ruled(store).add(name, cast(Role, role), login=login, by=store.roles.user)
    click.echo(f"{visible(done.name)} is registered as {done.role}.")


@people.command()
@click.argument("name")
@home_option
def retire(name: str, home: Path | None) -> None:
    """NAME works here no more; what they did stays."""
    with open_store(home) as store:
        done = _ruled(store).retire(name, by=store.roles.user)
    click.echo(f"{visible(done.name)} has retired.")


@people.command("list")
@home_option
def list_people(home: Path | None) -> None:
    """List who is registered."""
    with open_store(home) as store:
        for each in People(store.database()).all():
            words = " ".join(filter(None, (each.role, "retired" if each.retired else "")))
            click.echo(f"{visible(each.name)}  {words}" + (f"  {each.login}" if each.login else ""))
        tell_if_anyone_signs(store)


def tell_if_anyone_signs(store: Store) -> None:
    """Say so, until an examiner is registered."""
    try:
        if not People(store.database()).is_ruled:
            note(ANYONE)
    except StoreError:
        return  # what is wrong with the database was told


def _ruled(store: Store) -> People:
    """Once there are examiners, only they say who works here. Raises StoreError."""
    found = People(store.database())
    if found.is_ruled:
        store.roles.act_as(store.roles.user, needed=True)
        store.roles.may_sign(store.roles.user or "")
    return found
