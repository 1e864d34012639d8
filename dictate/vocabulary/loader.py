"""The lexicon, loaded from the vocabulary files and checked."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path
from typing import Any

from dictate.errors import VocabularyError
from dictate.uncollected import uncollected
from dictate.vocabulary import validate
from dictate.vocabulary.compile import compile_phrases
from dictate.vocabulary.files import Raw, read_all
from dictate.vocabulary.followup_check import check_followup
from dictate.vocabulary.history import RiskFactor, VisitTerm
from dictate.vocabulary.schema import CommandTerm, Confusion, Lexicon, Region, Slot, Term
from dictate.vocabulary.tables import TERM_TABLES

_PACKAGE = Path(__file__).resolve().parents[1]


def default_folder() -> Path:
    """The vocabulary that came with the program: in the wheel, else in the source tree."""
    for folder in (_PACKAGE / "_vocab", _PACKAGE.parent / "vocab"):
        if folder.is_dir():
            return folder
    raise VocabularyError("the vocabulary folder is missing; reinstall dictate")


def load(extra: Sequence[Path] = (), folder: Path | None = None) -> Lexicon:
    """The default vocabulary (or that in `folder`) with the files in `extra` laid over it.

    Raises VocabularyError, one line that names the file, the entry and the cause.
    """
    if not extra and folder is None:
        return _default()
    return _load(folder or default_folder(), extra)


@lru_cache(maxsize=1)
def _default() -> Lexicon:
    return _load(default_folder(), ())


@uncollected(stays=True)
def _load(folder: Path, extra: Sequence[Path]) -> Lexicon:
    raw = read_all(folder, extra)
    spelling = validate.check_spelling(raw)
    regions = {each.name: validate.checked(each, Region) for each in raw.entries.get("regions", [])}
    terms = _terms(raw)
    values = _cross_check(raw, regions, terms)
    order = validate.check_protocol(raw, regions)
    commands = tuple(
        validate.checked(entry, CommandTerm) for entry in raw.entries.get("commands", [])
    )
    ordered = (*(regions[value] for value in order), *_others(regions, order))
    return Lexicon(
        regions=ordered,
        protocol=order,
        terms=terms,
        commands=commands,
        confusions=tuple(
            validate.checked(entry, Confusion) for entry in raw.entries.get("confusions", [])
        ),
        phrases=compile_phrases(ordered, terms, commands, spelling),
        spelling=spelling,
        followup=check_followup(raw, regions, values),
        risks=tuple(validate.checked(each, RiskFactor) for each in raw.entries.get("risks", [])),
        bystanders=validate.check_bystanders(raw, spelling),
        visits=tuple(validate.checked(each, VisitTerm) for each in raw.entries.get("visits", [])),
    )


def _others(regions: dict[str, Region], order: tuple[str, ...]) -> tuple[Region, ...]:
    return tuple(region for value, region in regions.items() if value not in order)


def _terms(raw: Raw) -> dict[Slot, tuple[Term, ...]]:
    return {
        slot: tuple(validate.checked(entry, Term) for entry in raw.entries.get(table, []))
        for table, slot in TERM_TABLES.items()
    }


def _cross_check(
    raw: Raw, regions: dict[str, Region], terms: dict[Slot, tuple[Term, ...]]
) -> dict[Slot, set[Any]]:
    """The values of each slot, once everything that names one names one that exists."""
    values: dict[Slot, set[Any]] = {
        slot: {term.value for term in entries} for slot, entries in terms.items()
    }
    for entry in raw.entries.get("regions", []):
        region = regions[entry.name]
        validate.check_region(entry, region, regions)
        for part in region.subsites:
            validate.check_implied(entry, part, regions, values)
    for table, slot in TERM_TABLES.items():
        for entry, term in zip(raw.entries.get(table, []), terms[slot], strict=True):
            validate.check_implied(entry, term, regions, values)
            if term.opposite is not None and term.opposite not in values[slot]:
                raise validate.fail(entry, f"opposite {term.opposite!r} does not exist")
    return values
