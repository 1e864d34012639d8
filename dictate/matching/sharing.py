"""What is said once for several findings."""

from __future__ import annotations

from collections.abc import Sequence

from dictate.matching.draft import LISTS, SITE_FIELDS
from dictate.matching.negation import Sentence
from dictate.matching.outcome import Outcome
from dictate.matching.sides import of_both


def share_kind(made: Sequence[Outcome]) -> None:
    """ "Levels two and three, nodes": what the one is, the other is as well."""
    drafts = [outcome.draft for outcome in made if outcome.draft is not None]
    kinds = {str(each.get("kind")) for each in drafts if each.get("kind") is not None}
    for draft in drafts:
        if len(kinds) == 1 and draft.get("kind") is None and draft.get("normal_variant") is None:
            draft.put("kind", next(iter(kinds)))


def share_both(sentence: Sentence, found: Sequence[Outcome]) -> None:
    """ "A node on the right, one on the left, both soft": what follows is said of the two."""
    at = next((spot.start for spot in sentence.spots if of_both(sentence, spot)), None)
    drafts = [each.draft for each in found if each.what == "finding" and each.draft is not None]
    if at is None or len(drafts) < 2:
        return
    first, second = drafts[-2:]
    for name, spots in second.evidence.items():
        value = second.get(name)
        if name in SITE_FIELDS or not all(spot.start > at for spot in spots):
            continue
        for each in value if isinstance(value, list) and name in LISTS else [value]:
            first.put(name, each)
