"""Where: sides, regions, sub-sites and node levels that stand together become one place."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

from dictate.matching.gazetteer import Gazetteer, Option, alone
from dictate.matching.negation import DESCRIBING, Sentence
from dictate.matching.spots import Mark, Spot
from dictate.vocabulary.schema import Phrase, Slot

SITES = frozenset({Slot.SIDE, Slot.REGION, Slot.SUBSITE, Slot.NODE_LEVEL})


@dataclass(frozen=True, slots=True)
class Place:
    """A place as spoken, over spots that touch but for small words."""

    spots: tuple[Spot, ...]
    region: str | None = None
    subsite: str | None = None
    side: str | None = None
    level: str | None = None
    implied: tuple[tuple[Slot, str | bool], ...] = ()
    """Further slots that its phrases fix (the kind of a "submandibular node")."""
    doubts: tuple[tuple[str, str], ...] = ()
    """Field and why, for what the words leave open."""
    others: tuple[tuple[str, str], ...] = ()
    """Field and another value that the words may mean."""
    joined: bool = False
    """True if "and" joins it to the place right before it."""
    inferred: bool = False
    """True if the region was told from the name of a part alone."""

    @property
    def start(self) -> int:
        return self.spots[0].start

    @property
    def end(self) -> int:
        return self.spots[-1].end

    @property
    def only_side(self) -> bool:
        return all(spot.slot is Slot.SIDE for spot in self.spots)


@dataclass(slots=True)
class _Group:
    """Spots gathered so far; `options` are the (region, sub-site) pairs still possible."""

    spots: list[Spot] = field(default_factory=list)
    regions: list[Spot] = field(default_factory=list)
    parts: list[Spot] = field(default_factory=list)
    sides: list[Spot] = field(default_factory=list)
    levels: list[Spot] = field(default_factory=list)
    joined: bool = False
    counted: bool = False
    """True if a number or "several" stands before it ("two firm lymph nodes")."""

    def add(self, spot: Spot) -> None:
        self.spots.append(spot)
        kinds = {
            Slot.REGION: self.regions,
            Slot.SUBSITE: self.parts,
            Slot.SIDE: self.sides,
            Slot.NODE_LEVEL: self.levels,
        }
        assert spot.slot is not None
        kinds[spot.slot].append(spot)


class Places:
    """Reads the places of sentences."""

    def __init__(self, gazetteer: Gazetteer) -> None:
        self._gazetteer = gazetteer

    def gather(self, sentence: Sentence, region: str | None) -> tuple[Place | Spot, ...]:
        """The sentence's spots with each run of site words made one place.

        `region` is the region in hand, for parts that are said without theirs.
        """
        items: list[Place | Spot] = []
        group: _Group | None = None
        small: list[Spot] = []
        for spot in sentence.spots:
            if group is not None and _is_area(sentence, group, small, spot):
                small.append(replace(spot, phrases=(), mark=Mark.FUNCTION))
            elif spot.slot in SITES and not spot.negated:
                group = self._extend(sentence, group, small, spot, items, region)
                small = []
                region = _in_hand(items, region)
            elif group is not None and _bridges(sentence, spot):
                small.append(spot)
            else:
                items += self._closed(sentence, group, region)
                items += [*small, spot]
                group, small = None, []
                region = _in_hand(items, region)
        items += self._closed(sentence, group, region)
        return (*items, *small)

    def _extend(
        self,
        sentence: Sentence,
        group: _Group | None,
        small: Sequence[Spot],
        spot: Spot,
        items: list[Place | Spot],
        region: str | None,
    ) -> _Group:
        """The group that the spot belongs to: the one before it, or a new one."""
        joined = any("and" in sentence.said(each) for each in small)
        if group is not None and self._fits(sentence, group, spot, joined):
            group.add(spot)
            return group
        items += self._closed(sentence, group, region)
        items += small
        new = _Group(joined=group is not None and joined, counted=_counted(items))
        new.add(spot)
        return new

    def _closed(
        self, sentence: Sentence, group: _Group | None, region: str | None
    ) -> list[Place | Spot]:
        return [] if group is None else [self._resolve(sentence, group, region)]

    def _fits(self, sentence: Sentence, group: _Group, spot: Spot, joined: bool) -> bool:
        if spot.slot is Slot.SIDE:
            return self._side_fits(sentence, group, spot, joined)
        if spot.slot is Slot.NODE_LEVEL:
            return not group.levels
        if not (group.regions or group.parts):
            return True
        if joined:
            return False
        return bool(self._gazetteer.options([*group.regions, *group.parts, spot]))

    def _side_fits(self, sentence: Sentence, group: _Group, spot: Spot, joined: bool) -> bool:
        """A side after a place is its side, unless the words after it are a new place."""
        if not (group.regions or group.parts or group.levels):
            return True
        following = _site_after(sentence, spot)
        if following is None:
            return not joined
        same = bool(self._gazetteer.options([*group.regions, *group.parts, following]))
        return same and not joined and not group.sides

    def _resolve(self, sentence: Sentence, group: _Group, context: str | None) -> Place:
        named = [*group.regions, *group.parts]
        place = Place(tuple(group.spots), joined=group.joined)
        place = self._with_site(place, group, self._gazetteer.options(named), context)
        kind = self._gazetteer.kind_of(place.region)
        if kind is not None and group.counted and group.regions:
            place = replace(place, implied=((Slot.KIND, kind),))
        place = _with_side(place, group)
        if group.levels:
            place = _with_level(sentence, place, group)
        fills = tuple(fill for spot in named + group.levels for fill in _fills(spot))
        doubts = tuple(_vague(spot) for spot in named if spot.phrase and spot.phrase.vague)
        return replace(place, implied=place.implied + fills, doubts=place.doubts + doubts)

    def _with_site(
        self, place: Place, group: _Group, options: list[Option], context: str | None
    ) -> Place:
        if not options:
            return place
        whole = {region for spot in group.parts for region, _ in alone(spot)}
        if group.regions or whole:
            likely = [option for option in options if group.regions or option[0] in whole]
            region, subsite = (likely or options)[0]
            return replace(place, region=region, subsite=subsite)
        return _inferred(place, group, options, context)


def _inferred(place: Place, group: _Group, options: list[Option], context: str | None) -> Place:
    """A part said without its region: that of the region in hand, else a question."""
    place = replace(place, inferred=True)
    in_hand = [option for option in options if option[0] == context]
    if in_hand:
        return replace(place, region=in_hand[0][0], subsite=in_hand[0][1])
    said = " ".join(spot.phrase.text for spot in group.parts if spot.phrase)
    regions = list(dict.fromkeys(region for region, _ in options))
    if len(regions) == 1:
        why = f"the region was told from “{said}” alone"
        doubts = (("region", why),)
        return replace(place, region=regions[0], subsite=options[0][1], doubts=doubts)
    others = tuple(("region", region) for region in regions)
    doubts = (("region", f"“{said}” is a part of several regions"),)
    return replace(place, others=others, doubts=doubts)


def _in_hand(items: Sequence[Place | Spot], region: str | None) -> str | None:
    """The region named last in the utterance itself, else the one in hand before it."""
    named = (each.region for each in reversed(items) if isinstance(each, Place) and each.region)
    return next(named, region)


def _fills(spot: Spot) -> Iterator[tuple[Slot, str | bool]]:
    if spot.phrase:
        yield from spot.phrase.fills


def _vague(spot: Spot) -> tuple[str, str]:
    field_name = "region" if spot.slot is Slot.REGION else "subsite"
    said = spot.phrase.text if spot.phrase else ""
    return field_name, f"“{said}” is a loose name"


def _is_area(sentence: Sentence, group: _Group, small: Sequence[Spot], spot: Spot) -> bool:
    """ "Parotid area": where, not a lesion called an area."""
    said = sentence.said(spot) in (("area",), ("areas",))
    return said and not small and group.spots[-1].end == spot.start


def _counted(items: Sequence[Place | Spot]) -> bool:
    for item in reversed(items):
        if isinstance(item, Place):
            return False
        if item.size is not None:
            return not item.size.led
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


def _site_after(sentence: Sentence, side: Spot) -> Spot | None:
    """The region or part that directly follows a side ("left buccal mucosa")."""
    for spot in sentence.spots:
        if spot.start < side.end:
            continue
        if spot.start in sentence.pauses:
            return None
        if spot.slot in (Slot.REGION, Slot.SUBSITE) and not spot.negated:
            return spot
        if spot.mark is not Mark.FUNCTION or sentence.said(spot) not in (("of",), ("the",)):
            return None
    return None


def _with_side(place: Place, group: _Group) -> Place:
    values = list(dict.fromkeys(_value(spot.phrase) for spot in group.sides))
    if not values:
        return place
    if len(values) == 1:
        return replace(place, side=values[0])
    if values[1] == "midline" and values[0] in ("left", "right"):
        return replace(place, side=values[0])
    why = f"two sides were said: {' and '.join(values)}"
    others = tuple(("side", value) for value in values)
    return replace(
        place,
        side=values[0],
        doubts=(*place.doubts, ("side", why)),
        others=(*place.others, *others),
    )


def _with_level(sentence: Sentence, place: Place, group: _Group) -> Place:
    values = list(dict.fromkeys(_value(spot.phrase) for spot in group.levels))
    region = place.region
    for spot in group.levels:
        for slot, value in _fills(spot):
            region = region or (str(value) if slot is Slot.REGION else None)
    place = replace(place, level=values[0], region=region)
    if any(_ends_in_article(sentence, spot) for spot in group.levels):
        why = "the “a” may belong to the words after it"
        return replace(place, doubts=(*place.doubts, ("node_level", why)))
    return place


def _ends_in_article(sentence: Sentence, level: Spot) -> bool:
    """ "Level two a five millimetre node": level IIA, or level II and then "a node"."""
    if sentence.said(level)[-1] != "a" or level.end in sentence.pauses:
        return False
    for spot in sentence.spots:
        if spot.start < level.end:
            continue
        if spot.slot is Slot.KIND:
            return True
        if spot.size is None and spot.slot not in DESCRIBING:
            return False
    return False


def _value(phrase: Phrase | None) -> str:
    return str(phrase.value) if phrase else ""
