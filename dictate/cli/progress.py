"""Progress of long work: on stderr, and only where somebody sees it."""

from __future__ import annotations

import sys
from collections.abc import Collection, Iterator
from contextlib import contextmanager
from typing import TypeVar

import click

Item = TypeVar("Item")


def each(items: Collection[Item], label: str) -> Iterator[Item]:
    """The items, with a bar that grows as they are taken."""
    if not sys.stderr.isatty():
        yield from items
        return
    with click.progressbar(items, label=label, file=sys.stderr) as shown:
        yield from shown


@contextmanager
def working(label: str) -> Iterator[None]:
    """A bar that fills when the work within is done."""
    if not sys.stderr.isatty():
        yield
        return
    with click.progressbar(length=1, label=label, file=sys.stderr) as shown:
        shown.render_progress()
        yield
        shown.update(1)
