"""Where: sides, regions, sub-sites and node levels that stand together become one place."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

from dictate.matching.negation import Sentence
from dictate.matching.spots import Mark, Spot
from dictate.vocabulary.schema import Lexicon, Phrase, Slot

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
    """Reads places with the regions of a lexicon."""

    def __init__(self, lexicon: Lexicon) -> None:
        self._regions = {region.value: region for region in lexicon.regions}

    def paired(self, region: str | None, subsite: str | None) -> bool:
        """True if a finding there needs a side."""
        found = self._regions.get(region or "")
        if found is None:
            return False
        part = next((each for each in found.subsites if each.value == subsite), None)
        return found.paired and not (part is not None and part.midline)

    def gather(self, sentence: Sentence, region: str | None) -> tuple[Place | Spot, ...]:
        """The sentence's spots with each run of site words made one place.

        `region` is the region in hand, for parts that are said without theirs.
        """
        items: list[Place | Spot] = []
        group: _Group | None = None
        small: list[Spot] = []
        for spot in sentence.spots:
            if spot.slot in SITES and not spot.negated:
                group = self._extend(sentence, group, small, spot, items, region)
                small = []
                region = _in_hand(items, region)
            elif group is not None and _bridges(sentence, spot):
                small.append(spot)
            else:
                items += self._closed(group, region)
                items += [*small, spot]
                group, small = None, []
                region = _in_hand(items, region)
        items += self._closed(group, region)
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
        items += self._closed(group, region)
        items += small
        new = _Group(joined=group is not None and joined)
        new.add(spot)
        return new

    def _closed(self, group: _Group | None, region: str | None) -> list[Place | Spot]:
        return [] if group is None else [self._resolve(group, region)]

    def _fits(self, sentence: Sentence, group: _Group, spot: Spot, joined: bool) -> bool:
        if spot.slot is Slot.SIDE:
            return self._side_fits(sentence, group, spot, joined)
        if spot.slot is Slot.NODE_LEVEL:
            return not group.levels
        if not (group.regions or group.parts):
            return True
        if joined:
            return False
        return bool(options([*group.regions, *group.parts, spot]))

    def _side_fits(self, sentence: Sentence, group: _Group, spot: Spot, joined: bool) -> bool:
        """A side after a place is its side, unless the words after it are a new place."""
        if not (group.regions or group.parts or group.levels):
            return True
        following = _site_after(sentence, spot)
        if following is None:
            return not joined
        same = bool(options([*group.regions, *group.parts, following]))
        return same and not joined and not group.sides

    def _resolve(self, group: _Group, context: str | None) -> Place:
        named = [*group.regions, *group.parts]
        place = Place(tuple(group.spots), joined=group.joined)
        place = self._with_site(place, group, options(named), context)
        place = _with_side(place, group)
        if group.levels:
            place = _with_level(place, group)
        fills = tuple(fill for spot in named + group.levels for fill in _fills(spot))
        doubts = tuple(_vague(spot) for spot in named if spot.phrase and spot.phrase.vague)
        return replace(place, implied=fills, doubts=place.doubts + doubts)

    def _with_site(
        self,
        place: Place,
        group: _Group,
        options: list[tuple[str, str | None]],
        context: str | None,
    ) -> Place:
        if not group.regions and not group.parts:
            return place
        in_hand = [option for option in options if option[0] == context]
        alone = [(r, p) for spot in group.parts for r, p in _alone(spot) if (r, p) in options]
        if group.regions or alone:
            region, subsite = (alone if alone and not group.regions else options)[0]
            return replace(place, region=region, subsite=subsite)
        chosen = in_hand or options
        region, subsite = chosen[0]
        said = group.parts[0].phrase.text if group.parts[0].phrase else ""
        why = f"the region was told from “{said}” alone"
        if in_hand:
            return replace(place, region=region, subsite=subsite, inferred=True)
        others = tuple(("region", other) for other, _ in options[1:])
        if others:
            return replace(
                place,
                subsite=None,
                others=tuple(("region", other) for other, _ in options),
                doubts=(("region", f"“{said}” is a part of several regions"),),
                inferred=True,
            )
        return replace(
            place, region=region, subsite=subsite, doubts=(("region", why),), inferred=True
        )


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


def _alone(spot: Spot) -> list[tuple[str, str]]:
    """Region and sub-site of forms that name both."""
    return [
        (str(value), str(phrase.value))
        for phrase in spot.phrases
        if phrase.slot is Slot.SUBSITE
        for slot, value in phrase.fills
        if slot is Slot.REGION
    ]


def _spot_options(spot: Spot) -> list[tuple[str, str | None]]:
    found: list[tuple[str, str | None]] = list(_alone(spot))
    for phrase in spot.phrases:
        if phrase.slot is Slot.REGION:
            found.append((str(phrase.value), None))
        elif phrase.slot is Slot.SUBSITE:
            found += [(region, str(phrase.value)) for region in phrase.regions]
    return list(dict.fromkeys(found))


def options(spots: Sequence[Spot]) -> list[tuple[str, str | None]]:
    """Pairs of region and sub-site on which all the spots can agree, likeliest first."""
    agreed: list[tuple[str, str | None]] | None = None
    for spot in spots:
        options = _spot_options(spot)
        agreed = options if agreed is None else list(_agree(agreed, options))
    return list(dict.fromkeys(agreed or []))


def _agree(
    left: Sequence[tuple[str, str | None]], right: Sequence[tuple[str, str | None]]
) -> Iterator[tuple[str, str | None]]:
    for region, part in left:
        for other_region, other_part in right:
            if region != other_region:
                continue
            if part is None or other_part is None or part == other_part:
                yield region, part or other_part


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


def _with_level(place: Place, group: _Group) -> Place:
    values = list(dict.fromkeys(_value(spot.phrase) for spot in group.levels))
    region = place.region
    for spot in group.levels:
        for slot, value in _fills(spot):
            region = region or (str(value) if slot is Slot.REGION else None)
    return replace(place, level=values[0], region=region)


def _value(phrase: Phrase | None) -> str:
    return str(phrase.value) if phrase else ""
