"""The doubts that the examination itself raises, whoever made the finding."""

from __future__ import annotations

from collections.abc import Iterable

from dictate.exam.finding import Doubt, FindingFields
from dictate.exam.protocol import Protocol


def gaps(fields: FindingFields, protocol: Protocol) -> tuple[Doubt, ...]:
    """What keeps a finding from being placed: no region, no side, or parts that do not fit."""
    station = protocol.station(fields.region)
    if fields.region is None:
        return (Doubt(field="region", why="no region was said"),)
    if station is None:
        return (Doubt(field="region", why=f"{fields.region} is not in the protocol"),)
    found = []
    if fields.subsite and fields.subsite not in station.subsites:
        why = f"{fields.subsite} is not a part of the {fields.region}"
        found.append(Doubt(field="subsite", why=why))
    sided = not {fields.normal_variant, fields.kind} & set(protocol.sideless)
    if fields.side is None and sided and station.needs_side(fields.subsite):
        found.append(Doubt(field="side", why="no side was said"))
    return tuple(found)


def merged(doubts: Iterable[Doubt], more: Iterable[Doubt]) -> tuple[Doubt, ...]:
    """Both, one doubt a field, the first reason kept."""
    by_field: dict[str, Doubt] = {}
    for doubt in (*doubts, *more):
        by_field.setdefault(doubt.field, doubt)
    return tuple(by_field.values())


def after_change(
    before: FindingFields,
    after: FindingFields,
    kept: Iterable[Doubt],
    protocol: Protocol,
) -> tuple[Doubt, ...]:
    """The doubts of a changed finding: those kept, and gaps that the change has opened.

    A gap that was there before is not raised again: somebody may have settled it.
    """
    old = {(doubt.field, doubt.why) for doubt in gaps(before, protocol)}
    opened = (d for d in gaps(after, protocol) if (d.field, d.why) not in old)
    return merged(kept, opened)
