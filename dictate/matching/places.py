"""Where: sides, regions, sub-sites and node levels that stand together become one place."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from dictate.matching.gazetteer import Gazetteer, Option, alone
from dictate.matching.group import Group
from dictate.matching.inferring import EDGES, inferred
from dictate.matching.items import is_lesion, own_region, states_health
from dictate.matching.jaws import tells_jaw
from dictate.matching.negation import DESCRIBING, Sentence
from dictate.matching.place import SITES, Place
from dictate.matching.sides import (
    has_own_side,
    no_side,
    normal_after,
    pause_before,
    pause_between,
    site_after,
    told_apart,
    with_level,
    with_side,
)
from dictate.matching.spots import Mark, Spot
from dictate.vocabulary.schema import Slot

_SIDED = (("left",), ("right",))
_UPPER_AND_LOWER = frozenset({"lips", "labial mucosa"})
"""Regions of which there is one above and one below: "both lips" names no side."""


class Places:
    """Reads the places of sentences."""

    def __init__(self, gazetteer: Gazetteer) -> None:
        self._gazetteer = gazetteer

    def gather(self, sentence: Sentence, region: str | None) -> tuple[Place | Spot, ...]:
        """The sentence's spots with each run of site words made one place.

        `region` is the region in hand, for parts that are said without theirs; where the name
        of the only lesion fixes a region ("gingival recession, lower left"), that goes first.
        """
        items: list[Place | Spot] = []
        group: Group | None = None
        small: list[Spot] = []
        for spot in sentence.spots:
            if no_side(sentence, spot) or tells_jaw(sentence, spot, self._gazetteer):
                spot = replace(spot, phrases=(), mark=Mark.FUNCTION)
            spot = self._of_face(sentence, spot, items)
            if group is not None:
                spot = self._edge(sentence, group, spot, region)
            if group is not None and _is_area(sentence, group, small, spot):
                small.append(replace(spot, phrases=(), mark=Mark.FUNCTION))
            elif spot.slot in SITES and not spot.negated:
                group = self._extend(sentence, group, small, spot, items, region)
                small = []
                region = last_region(items, region)
            elif group is not None and _bridges(sentence, spot):
                small.append(spot)
            else:
                items += self._closed(sentence, group, region)
                items += [*small, spot]
                group, small = None, []
                region = last_region(items, region)
        items += self._closed(sentence, group, region)
        return (*items, *small)

    def _of_face(self, sentence: Sentence, spot: Spot, items: Sequence[Place | Spot]) -> Spot:
        """ "On the face, a mole on the right cheek": the one lesion there is on its skin."""
        lesions = sum(map(is_lesion, sentence.spots))
        outer = self._gazetteer.outer(spot, last_region(items, None))
        if outer is None or lesions != 1 or any(map(states_health, sentence.spots)):
            return spot
        return replace(spot, phrases=(outer,))

    def _edge(self, sentence: Sentence, group: Group, spot: Spot, region: str | None) -> Spot:
        """ "Tongue, left border": the border right after a side is its lateral border."""
        beside = group.spots[-1].slot is Slot.SIDE and group.spots[-1].end == spot.start
        if not beside or sentence.said(spot) not in EDGES or group.parts:
            return spot
        named = [option[0] for option in self._gazetteer.options(group.regions)]
        edge = self._gazetteer.edge(named[0] if named else region)
        return spot if edge is None else replace(spot, phrases=(edge,), mark=None)

    def _extend(
        self,
        sentence: Sentence,
        group: Group | None,
        small: Sequence[Spot],
        spot: Spot,
        items: list[Place | Spot],
        region: str | None,
    ) -> Group:
        """The group that the spot belongs to: the one before it, or a new one."""
        joined = any("and" in sentence.said(each) for each in small)
        if group is not None and self._fits(sentence, group, spot, joined):
            group.add(spot)
            return group
        items += self._closed(sentence, group, region)
        items += small
        new = Group(
            joined=group is not None and joined,
            hint=_hint(sentence),
            of_lesion=_after_lesion(sentence, items, spot),
            counted=_counted(items, spot.start),
            beside=bool(items)
            and not isinstance(items[-1], Place)
            and items[-1].mark is Mark.LANDMARK,
        )
        new.add(spot)
        return new

    def _closed(
        self, sentence: Sentence, group: Group | None, region: str | None
    ) -> list[Place | Spot]:
        return [] if group is None else [self._resolve(sentence, group, region)]

    def _fits(self, sentence: Sentence, group: Group, spot: Spot, joined: bool) -> bool:
        if group.beside and _only_midline(group) and pause_before(sentence, spot):
            return False
        if spot.slot is Slot.SIDE:
            return self._side_fits(sentence, group, spot, joined)
        if spot.slot is Slot.NODE_LEVEL:
            return not group.levels
        if not (group.regions or group.parts):
            apart = group.of_lesion and pause_before(sentence, spot)
            return not apart and not has_own_side(sentence, group.sides, spot)
        if joined or self._begins_other(sentence, group, spot):
            return False
        return bool(self._gazetteer.options([*group.regions, *group.parts, spot]))

    def _begins_other(self, sentence: Sentence, group: Group, spot: Spot) -> bool:
        """ "Gingiva pigmented, upper left buccal sulcus": "upper" is of what comes after it."""
        side = next((each for each in sentence.spots if each.start == spot.end), None)
        if side is None or side.slot is not Slot.SIDE or not pause_before(sentence, spot):
            return False
        following = site_after(sentence, side)
        if following is not None and _value(side) not in {_value(s) for s in group.sides or [side]}:
            return True
        named = [*group.regions, *group.parts]
        return following is not None and not self._gazetteer.options([*named, following])

    def _side_fits(self, sentence: Sentence, group: Group, spot: Spot, joined: bool) -> bool:
        """A side after a place is its side, unless the words after it are a new place."""
        if told_apart(sentence, group.sides, spot):
            return False
        if not (group.regions or group.parts or group.levels):
            apart = group.of_lesion and pause_before(sentence, spot)
            return not (apart and site_after(sentence, spot) is not None)
        if "bilateral" in {_value(each) for each in group.sides} - {_value(spot)}:
            return False
        if group.sides and normal_after(sentence, spot):
            return False
        following = site_after(sentence, spot)
        if following is None:
            return not joined
        same = bool(self._gazetteer.options([*group.regions, *group.parts, following]))
        return same and not joined and not group.sides

    def _resolve(self, sentence: Sentence, group: Group, context: str | None) -> Place:
        named = [*group.regions, *group.parts]
        paused = pause_before(sentence, group.spots[0])
        place = Place(tuple(group.spots), joined=group.joined, paused=paused)
        place = self._with_site(place, group, self._gazetteer.options(named), context)
        kind = self._gazetteer.kind_of(place.region)
        if kind is not None and group.counted and group.regions:
            place = replace(place, implied=((Slot.KIND, kind),))
        place = with_side(sentence, place, group.sides)
        place = self._beside(sentence, place, group, context)
        both = any(spot.said == ("both",) for spot in group.sides)
        if both and place.region in _UPPER_AND_LOWER and place.subsite is None:
            why = f"“both {place.region}”: both sides, or upper and lower?"
            place = replace(place, doubts=(*place.doubts, ("side", why)))
        if group.levels:
            place = with_level(sentence, place, group.levels)
        fills = tuple(fill for spot in named + group.levels for fill in _fills(spot))
        loose = tuple(s for s in named if s.phrase and s.phrase.vague)
        doubts = tuple(_vague(spot) for spot in loose if not _named_again(named, place))
        return replace(place, implied=place.implied + fills, doubts=place.doubts + doubts)

    def _beside(self, sentence: Sentence, place: Place, group: Group, context: str | None) -> Place:
        """ "Right of the uvula": beside a part that lies in the midline, or on it?"""
        if place.subsite is None or self._gazetteer.paired(place.region, place.subsite):
            return place
        named = bool(group.regions) or (place.inferred and place.region == context)
        for side in group.sides:
            said = sentence.said(side)
            bare = (said[:-1] if said[-1] == "side" else said)[-1:] in _SIDED
            for part in group.parts:
                between = sentence.words[side.end : part.start]
                if bare and between in (("of",), ("of", "the")) and named:
                    return _left_of(sentence, place, group, side, part)
                if bare and between in (("of",), ("of", "the")):
                    why = f"beside the {place.subsite}, or on it?"
                    return replace(place, doubts=(*place.doubts, ("subsite", why)))
        return place

    def _with_site(
        self, place: Place, group: Group, options: list[Option], context: str | None
    ) -> Place:
        if not options:
            return place
        whole = {region for spot in group.parts for region, _ in alone(spot)}
        if group.regions or whole:
            likely = [option for option in options if group.regions or option[0] in whole]
            region, subsite = (likely or options)[0]
            loose = any(spot.phrase is not None and spot.phrase.vague for spot in group.regions)
            others = tuple(("region", each) for each, _ in likely[1:] if loose)
            return replace(place, region=region, subsite=subsite, others=others)
        plain = all(s.likely is None and s.phrase and not s.phrase.misheard for s in group.parts)
        return inferred(place, group.parts, options, (group.hint if plain else None, context))


def last_region(items: Sequence[Place | Spot], region: str | None) -> str | None:
    """The region named last in the utterance itself, else the one in hand before it."""
    named = (each.region for each in reversed(items) if isinstance(each, Place) and each.region)
    return next(named, region)


def _hint(sentence: Sentence) -> str | None:
    lesions = [spot for spot in sentence.spots if is_lesion(spot)]
    return own_region(lesions[0]) if len(lesions) == 1 else None


def _fills(spot: Spot) -> Iterator[tuple[Slot, str | bool]]:
    if spot.phrase:
        yield from spot.phrase.fills


def _value(spot: Spot) -> str:
    return str(spot.phrase.value) if spot.phrase else ""


def _vague(spot: Spot) -> tuple[str, str]:
    field_name = "region" if spot.slot is Slot.REGION else "subsite"
    said = spot.phrase.text if spot.phrase else ""
    return field_name, f"“{said}” is a loose name"


def _named_again(spots: Sequence[Spot], place: Place) -> bool:
    """ "Roof of the mouth, hard palate": the exact name settles the loose one."""
    return any(
        spot.slot is Slot.REGION
        and spot.likely is None
        and any(p.value == place.region and not p.vague and not p.misheard for p in spot.phrases)
        for spot in spots
    )


def _is_area(sentence: Sentence, group: Group, small: Sequence[Spot], spot: Spot) -> bool:
    """ "Parotid area": where, not a lesion called an area."""
    said = sentence.said(spot) in (("area",), ("areas",))
    return said and not small and group.spots[-1].end == spot.start


def _after_lesion(sentence: Sentence, items: Sequence[Place | Spot], spot: Spot) -> bool:
    for item in reversed(items):
        if (is_lesion(item) or states_health(item)) and own_region(item) is not None:
            return True  # "Tori, both sides, tongue ...": the first has its region already.
        if pause_between(sentence, item.end, spot.start):
            return _placed_without_side(items)
        if is_lesion(item):
            return True
        if isinstance(item, Place) or not _bridges(sentence, item):
            return False
    return False


def _placed_without_side(items: Sequence[Place | Spot]) -> bool:
    """True if a lesion was placed before, and no side of it was said."""
    places = [item for item in items if isinstance(item, Place)]
    lacking = bool(places) and places[-1].region is not None and places[-1].side is None
    return lacking and any(map(is_lesion, items))


def _left_of(sentence: Sentence, place: Place, group: Group, side: Spot, part: Spot) -> Place:
    """ "Soft palate just left of the uvula": beside it, so not on it."""
    words = " ".join(sentence.words[side.start : part.end])
    spots = tuple(spot for spot in group.spots if spot not in group.parts)
    why = f"beside the {place.subsite}, or on it?"
    others = (*place.others, ("subsite", str(place.subsite)))
    doubts = (*place.doubts, ("subsite", why))
    return replace(place, spots=spots, subsite=None, beside=words, doubts=doubts, others=others)


def _only_midline(group: Group) -> bool:
    return len(group.spots) == 1 and bool(group.sides) and _value(group.sides[0]) == "midline"


def _counted(items: Sequence[Place | Spot], start: int) -> bool:
    """ "Two firm nodes", "several nodes", "eleven millimetre nodes"."""
    for item in reversed(items):
        if isinstance(item, Place):
            return False
        if item.size is not None:
            return not item.size.led or item.end == start
        if item.slot is Slot.DISTRIBUTION:
            return True
        if item.slot not in DESCRIBING:
            return False
    return False


def _bridges(sentence: Sentence, spot: Spot) -> bool:
    """True if the spot may stand inside a place: small words, no pause before "and"."""
    if spot.mark is Mark.FUNCTION or spot.slot is Slot.FILLER:
        said = sentence.said(spot)
        return not any(word in ("but", "with", "which", "there") for word in said)
    return False
