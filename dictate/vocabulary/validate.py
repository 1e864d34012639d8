"""Raw entries checked against the shapes and against each other."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from dictate.errors import VocabularyError
from dictate.vocabulary.files import Entry, Raw
from dictate.vocabulary.schema import (
    Bystander,
    ProtocolFile,
    Region,
    Slot,
    Spelling,
    Subsite,
    Term,
)

Shape = TypeVar("Shape", bound=BaseModel)
_SPOKEN = (
    *("say", "plurals", "absent", "hear", "vague", "alone", "review_only", "words"),
    *("yes", "former", "no", "unknown"),
)
_SIDES = ("left", "right", "midline", "bilateral")


def fail(entry: Entry, cause: str) -> VocabularyError:
    """An error that names file, entry and cause on one line."""
    where = entry.table if entry.table == entry.name else f"{entry.table} {entry.name!r}"
    return VocabularyError(f"{entry.file}: {where}: {cause}")


def checked(entry: Entry, shape: type[Shape]) -> Shape:
    """The entry in its shape; VocabularyError when it has another."""
    try:
        made = shape.model_validate(entry.data)
    except ValidationError as error:
        raise fail(entry, _cause(error)) from None
    _check_text(entry, entry.data)
    _check_forms(entry, made)
    return made


def _cause(error: ValidationError) -> str:
    first = error.errors(include_url=False)[0]
    path = [str(step) for step in first["loc"]]
    key = ".".join(path) or "entry"
    if first["type"] == "missing":
        return f"{key} is missing; add it"
    if first["type"] == "extra_forbidden":
        return f"unknown key {key!r}; remove it or correct its name"
    if first["type"] in ("too_short", "string_too_short"):
        return f"{key} is empty; give at least one of them"
    return f"{key}: {' '.join(first['msg'].split())}"


def _check_text(entry: Entry, data: object) -> None:
    """No control character may reach a screen through the vocabulary."""
    if isinstance(data, dict):
        for key, each in data.items():
            _check_text(entry, key)
            _check_text(entry, each)
    elif isinstance(data, list):
        for each in data:
            _check_text(entry, each)
    elif isinstance(data, str) and not data.isprintable():
        raise fail(entry, f"{data!r} holds a control character; remove it")


def _check_forms(entry: Entry, made: BaseModel) -> None:
    """Every spoken form must hold words, and no digits."""
    parts: Iterable[BaseModel] = [made, *(made.subsites if isinstance(made, Region) else ())]
    for part in parts:
        for key in (each for each in _SPOKEN if each in type(part).model_fields):
            for form in getattr(part, key):
                if any(map(str.isdigit, form)):
                    raise fail(entry, f"{key} {form!r} holds digits; write numbers as words")
                if not any(map(str.isalpha, form)):
                    raise fail(entry, f"{key} {form!r} holds no word; write what is said")


def check_spelling(raw: Raw) -> Spelling:
    """The folding tables."""
    tables: dict[str, dict[str, str]] = {}
    for table in ("american", "also", "contractions"):
        entry = raw.single.get(table)
        if entry is None:
            continue
        for word, meant in entry.data.items():
            if not isinstance(meant, str) or not meant.strip() or not word.strip():
                raise fail(entry, f"{word!r} must stand for a word in quotes")
            if table != "contractions" and len(meant.split()) != 1:
                raise fail(entry, f"{word!r} must stand for one word, not {meant!r}")
        _check_text(entry, entry.data)
        tables[table] = {word.lower(): meant.lower() for word, meant in entry.data.items()}
    also = tables.get("also", {})
    return Spelling(
        american={**also, **tables.get("american", {})},
        also=frozenset(also),
        contractions=tables.get("contractions", {}),
    )


def check_protocol(raw: Raw, regions: dict[str, Region]) -> tuple[str, ...]:
    """The order of the examination: each region known and named once."""
    entry = raw.single.get("protocol")
    if entry is None:
        return tuple(regions)
    order = checked(entry, ProtocolFile).order
    for value in order:
        if value not in regions:
            raise fail(entry, f"no region is called {value!r}; correct the name or add the region")
        if order.count(value) > 1:
            raise fail(entry, f"{value!r} is named twice; remove one")
    return order


def check_bystanders(raw: Raw, spelling: Spelling) -> frozenset[str]:
    """All their words, in the spelling of the phrases; each must be a single one."""
    words: set[str] = set()
    for entry in raw.entries.get("bystanders", []):
        for form in checked(entry, Bystander).say:
            if len(form.split()) != 1:
                raise fail(entry, f"say {form!r} is more than one word; write single words")
            words.add(spelling.fold(form.lower()))
    return frozenset(words)


def check_region(entry: Entry, region: Region, regions: dict[str, Region]) -> None:
    """Sub-sites named once; what they imply must exist."""
    seen: set[str] = set()
    for part in region.subsites:
        if part.value in seen:
            raise fail(entry, f"sub-site {part.value!r} is given twice; join the two")
        seen.add(part.value)
    for half in region.halves:
        if half not in seen:
            raise fail(entry, f"halves names sub-site {half!r}, which does not exist")


def check_implied(
    entry: Entry, made: Term | Subsite, regions: dict[str, Region], terms: dict[Slot, set[Any]]
) -> None:
    """What an entry implies, or where it is plausible, must be in the vocabulary."""
    region = made.implies.get(Slot.REGION)
    for slot, value in made.implies.items():
        if slot is Slot.REGION:
            known: Iterable[Any] = regions
        elif slot is Slot.SUBSITE:
            owners = [regions[region]] if region in regions else regions.values()
            known = {part.value for owner in owners for part in owner.subsites}
        elif slot is Slot.SIDE:
            known = _SIDES
        else:
            known = terms.get(slot, set())
        if value not in known:
            raise fail(entry, f"implies {slot.value} {value!r}, which does not exist")
    for value in getattr(made, "plausible", ()):
        if value not in regions:
            raise fail(entry, f"plausible names region {value!r}, which does not exist")
