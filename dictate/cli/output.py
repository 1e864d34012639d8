"""Printing for people and for programs."""

from __future__ import annotations

import json
from typing import Any

import click

from dictate.exam.session import Session
from dictate.export.formats import WRITERS
from dictate.store.store import Store

LEAVES = "outside the program's own store, unsealed: keep it as you keep records"


def print_json(document: dict[str, Any]) -> None:
    """One JSON document on one line of stdout."""
    click.echo(json.dumps(document, ensure_ascii=False))


def print_summary(session: Session) -> None:
    """The session in words on stdout."""
    click.echo(WRITERS["text"](session), nl=False)


def note(message: str) -> None:
    """Progress and warnings: on stderr, so that stdout stays clean."""
    click.echo(f"dictate: {message}", err=True)


def tell_notes(store: Store) -> None:
    """What was found wrong with the store and what was done about it, and what it lacks."""
    for line in filter(None, (*store.notes, store.behind)):
        note(line)
