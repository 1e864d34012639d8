"""The follow-up rules of the vocabulary files, checked: a misspelt word would silence a rule."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from dictate.vocabulary.files import Entry, Raw
from dictate.vocabulary.followup import ANYWHERE, FollowUp, Rule, Settings, SizeTerm
from dictate.vocabulary.schema import Region, Slot
from dictate.vocabulary.validate import checked, fail

Values = dict[Slot, set[Any]]


def check_followup(raw: Raw, regions: dict[str, Region], values: Values) -> FollowUp:
    """Settings, rules and size terms; VocabularyError for a word that nothing is called by."""
    entry = raw.single.get("followup")
    settings = checked(entry, Settings) if entry else Settings()
    rules = tuple(_rule(each, regions, values) for each in raw.entries.get("followup_rules", []))
    terms = tuple(_term(each, values) for each in raw.entries.get("size_terms", []))
    if entry:
        _check_settings(entry, settings, rules, terms)
    return FollowUp(settings=settings, rules=rules, size_terms=terms)


def _rule(entry: Entry, regions: dict[str, Region], values: Values) -> Rule:
    rule = checked(entry, Rule)
    parts = {part.value for region in regions.values() for part in region.subsites}
    _known(entry, "regions", rule.regions, regions)
    _known(entry, "subsites", rule.subsites, parts)
    _known(entry, "kinds", (*rule.kinds, *rule.or_kinds), values.get(Slot.KIND, set()))
    _known(entry, "colours", rule.colours, values.get(Slot.COLOUR, set()))
    _known(entry, "symptoms", rule.symptoms, values.get(Slot.SYMPTOM, set()))
    for name, wanted in rule.features.items():
        _known(entry, f"features.{name}", wanted, values.get(Slot(name), set()))
    return rule


def _term(entry: Entry, values: Values) -> SizeTerm:
    term = checked(entry, SizeTerm)
    _known(entry, "kind", (term.kind,), values.get(Slot.KIND, set()))
    return term


def _known(entry: Entry, key: str, wanted: Iterable[str], known: Iterable[Any]) -> None:
    for value in wanted:
        if value not in known:
            raise fail(entry, f"{key} names {value!r}, which does not exist; correct the word")


def _check_settings(
    entry: Entry, settings: Settings, rules: tuple[Rule, ...], terms: tuple[SizeTerm, ...]
) -> None:
    places = sorted({place for rule in rules for place in rule.jurisdictions} - {ANYWHERE})
    for place in settings.jurisdictions:
        if place not in places:
            known = ", ".join(places)
            raise fail(entry, f"jurisdictions: no rule is of {place!r}; there are {known}")
    traditions = sorted({term.tradition for term in terms})
    if settings.size_terms and settings.size_terms not in traditions:
        known = ", ".join(traditions)
        raise fail(entry, f"size_terms: no terms of {settings.size_terms!r}; there are {known}")
