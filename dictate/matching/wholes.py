"""Parts that are said together and are the whole: "upper and lower gums"."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from dictate.matching.clause import Clause
from dictate.matching.gazetteer import Gazetteer
from dictate.matching.place import Place
from dictate.matching.spots import Spot
from dictate.vocabulary.schema import Slot


def without_both_halves(places: list[Place], gazetteer: Gazetteer) -> list[Place]:
    """ "Attached gingiva, upper and lower": that part of it, above and below."""
    for at in range(1, len(places) - 1):
        first, second = places[at], places[at + 1]
        head = places[at - 1]
        both = gazetteer.whole(head.region, [first.subsite, second.subsite])
        bare = not (first.names_region or second.names_region or first.side)
        sided = not (head.side and second.side)
        if second.joined and both and bare and sided and head.subsite is not None:
            head = replace(head, side=head.side or second.side)
            return [*places[: at - 1], head, *places[at + 2 :]]
    return places


def one_whole(clause: Clause, places: Sequence[Place], gazetteer: Gazetteer) -> tuple[Place, ...]:
    """ "Erosions of the gums, upper and lower, both sides": all of the gums."""
    anchor = clause.anchor
    many = isinstance(anchor, Spot) and anchor.phrase is not None and anchor.phrase.plural
    many = many or any(_everywhere(spot) for spot in clause.spots)
    sides = {place.side for place in places} - {None}
    regions = {place.region for place in places}
    whole = len(regions) == 1 and gazetteer.whole(places[0].region, [p.subsite for p in places])
    if not many or not whole or len(sides) > 1:
        return tuple(places)
    spots = tuple(spot for place in places for spot in place.spots)
    doubts = tuple(d for place in places for d in place.doubts if d[0] != "subsite")
    side = next(iter(sides), None)
    return (replace(places[0], spots=spots, subsite=None, side=side, doubts=doubts),)


def _everywhere(spot: Spot) -> bool:
    return any(p.slot is Slot.DISTRIBUTION and p.value == "generalised" for p in spot.phrases)
