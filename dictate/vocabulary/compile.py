"""Entries compiled into phrases: the only thing matching works on."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import Any

from dictate.vocabulary.normalise import normalise
from dictate.vocabulary.schema import (
    EXACT_SLOTS,
    CommandTerm,
    Phrase,
    Region,
    Slot,
    Spelling,
    Subsite,
    Term,
)

Split = Callable[[str], tuple[str, ...]]


def compile_phrases(
    regions: Iterable[Region],
    terms: dict[Slot, tuple[Term, ...]],
    commands: Iterable[CommandTerm],
    spelling: Spelling,
) -> tuple[Phrase, ...]:
    """Every spoken form as a phrase, each once, in the order of the files."""

    def split(form: str) -> tuple[str, ...]:
        return normalise(form, spelling)

    regions = tuple(regions)
    found: list[Phrase] = []
    for region in regions:
        found.extend(_of_region(region, split))
    found.extend(_bound_subsites(regions, split))
    for slot, entries in terms.items():
        for term in entries:
            found.extend(_of_term(slot, term, split))
    for command in commands:
        found.extend(_of_command(command, split))
    return tuple(dict.fromkeys(found))


def _of_region(region: Region, split: Split) -> Iterator[Phrase]:
    for form in region.say:
        yield Phrase(words=split(form), slot=Slot.REGION, value=region.value)
    for form in region.vague:
        yield Phrase(words=split(form), slot=Slot.REGION, value=region.value, vague=True)
    for form in region.hear:
        yield Phrase(words=split(form), slot=Slot.REGION, value=region.value, misheard=True)
    for part in region.subsites:
        fills = ((Slot.REGION, region.value), *part.implies.items())
        for form in part.alone:
            yield _subsite(part, split(form), fills=fills)
        for form in part.vague:
            yield _subsite(part, split(form), fills=fills, vague=True)


def _subsite(part: Subsite, words: tuple[str, ...], **more: Any) -> Phrase:
    return Phrase(words=words, slot=Slot.SUBSITE, value=part.value, exact=part.exact, **more)


def _bound_subsites(regions: tuple[Region, ...], split: Split) -> Iterator[Phrase]:
    """Forms that need their region: one phrase a form and value, with all its regions."""
    owners: dict[tuple[tuple[str, ...], str, bool], list[Region]] = {}
    parts: dict[tuple[tuple[str, ...], str, bool], Subsite] = {}
    for region in regions:
        for part in region.subsites:
            alone = {split(form) for form in part.alone}
            forms = [(form, False) for form in part.say] + [(form, True) for form in part.hear]
            for form, misheard in forms:
                key = (split(form), part.value, misheard)
                if key[0] in alone:
                    continue
                owners.setdefault(key, []).append(region)
                parts.setdefault(key, part)
    for key, having in owners.items():
        names = tuple(dict.fromkeys(region.value for region in having))
        yield _subsite(parts[key], key[0], misheard=key[2], regions=names)


def _of_term(slot: Slot, term: Term, split: Split) -> Iterator[Phrase]:
    fills = tuple(term.implies.items())
    exact = term.exact or slot in EXACT_SLOTS

    def phrase(form: str, **more: Any) -> Phrase:
        plural = more.pop("plural", term.plural)
        return Phrase(
            words=split(form),
            slot=slot,
            value=term.value,
            fills=fills,
            exact=exact,
            opposite=term.opposite,
            plural=plural,
            **more,
        )

    yield from (phrase(form) for form in term.say)
    yield from (phrase(form, plural=True) for form in term.plurals)
    yield from (phrase(form, negated=True) for form in term.absent)
    yield from (phrase(form, vague=True) for form in term.vague)
    yield from (phrase(form, misheard=True) for form in term.hear)


def _of_command(command: CommandTerm, split: Split) -> Iterator[Phrase]:
    def phrase(form: str, **more: bool) -> Phrase:
        return Phrase(words=split(form), slot=Slot.COMMAND, value=command.value, **more)

    yield from (phrase(form) for form in command.say)
    yield from (phrase(form, review_only=True) for form in command.review_only)
    yield from (phrase(form, misheard=True) for form in command.hear)
