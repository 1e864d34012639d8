"""Puts a place into a draft: what was said, what is implied, what was carried over."""

from __future__ import annotations

from dataclasses import dataclass

from dictate.exam.finding import FindingFields
from dictate.matching.arches import beside_tooth, part_of_arch
from dictate.matching.describing import FROM_TOOTH, likeness_doubts
from dictate.matching.draft import Draft
from dictate.matching.gazetteer import Gazetteer
from dictate.matching.middles import middle_of_it
from dictate.matching.nodes import beside_nodes, is_node, level_of_neck
from dictate.matching.place import Place
from dictate.matching.spots import Mark, Spot
from dictate.vocabulary.schema import Lexicon, Phrase, Slot

_OTHER_SIDE = {"left": "right", "right": "left"}
_NECK, _NODES, _BELOW_JAW = "neck", "lymph nodes", "submandibular gland"
_NO_SIDE = "no side was said"
_LINED = {"lips": "labial mucosa"}
"""Regions whose lining is a region of its own that is called so as well."""


@dataclass(frozen=True, slots=True)
class Here:
    """Where the examination stands: what may be carried over."""

    region: str | None = None
    subsite: str | None = None
    side: str | None = None
    last: FindingFields | None = None
    last_in_breath: bool = False
    """True if `last` was dictated in the same utterance."""
    gone_to: bool = False
    """True if the region was gone to: it need not be asked about."""
    marked: str | None = None
    """The region that a statement before it in the same utterance was of."""
    marked_part: str | None = None
    """The part of that region."""


class Placing:
    """Places drafts with the regions and variants of a lexicon."""

    def __init__(self, lexicon: Lexicon, gazetteer: Gazetteer) -> None:
        self._gazetteer = gazetteer
        variants = lexicon.terms.get(Slot.NORMAL_VARIANT, ())
        named = (*variants, *lexicon.terms.get(Slot.KIND, ()))
        self._sideless = frozenset(str(term.value) for term in named if term.sideless)
        self._regions_of = {str(term.value): term.implies.get(Slot.REGION) for term in variants}
        self._sides_of = {str(term.value): term.implies.get(Slot.SIDE) for term in variants}
        self._plausible = {str(term.value): term.plausible for term in variants}

    def put(
        self,
        draft: Draft,
        place: Place | None,
        anchor: Phrase | None,
        here: Here,
        carry: set[str],
        structure: Phrase | None = None,
    ) -> None:
        """Fill the site of the draft and doubt whatever was not plainly said."""
        if place is not None:
            put_said(draft, place)
        _implied(draft, place, anchor)
        if structure is not None:
            _implied(draft, None, structure)
        if draft.get("region") is None and anchor is not None:
            self._told_by_name(draft, anchor)
        if draft.get("region") is None:
            _carried(draft, here, carry)
        _part_carried(draft, place, here)
        middle_of_it(draft, place, self._gazetteer)
        _sides(draft, here, carry)
        if draft.get("region") is None:
            draft.doubt("region", "no place was said")
            if draft.get("side") is None:
                draft.doubt("side", _NO_SIDE)
        level_of_neck(draft)
        beside_nodes(draft, place, here.region)
        part_of_arch(draft, self._gazetteer)
        self._told_by_region(draft)
        self._missing_side(draft, place, here)
        self._plausible_site(draft)

    def _missing_side(self, draft: Draft, place: Place | None, here: Here) -> None:
        region, subsite = draft.get("region"), draft.get("subsite")
        if draft.get("side") is not None or region is None:
            return
        if {draft.get("normal_variant"), draft.get("kind")} & self._sideless:
            return
        part = str(subsite) if subsite else None
        if not self._gazetteer.paired(str(region), part):
            return
        bare = place is None or not place.names_region or place.subsite is not None
        same = not here.last_in_breath or (here.last is not None and here.last.side == here.side)
        if bare and region == here.region and here.side and same:
            _carry_side(draft, here.side)
        else:
            draft.doubt("side", _NO_SIDE)

    def _told_by_name(self, draft: Draft, anchor: Phrase) -> None:
        """ "Cheek biting on the right": the name of it says where."""
        region = self._gazetteer.named_in(anchor.words)
        plausible = self._plausible.get(str(anchor.value), ())
        if region not in plausible:
            return
        draft.put("region", region)
        if region in _LINED and _LINED[region] in plausible:
            draft.doubt("region", f"“{anchor.text}”: of the lip or its lining?")
            draft.offer("region", _LINED[region], 100.0)

    def _told_by_region(self, draft: Draft) -> None:
        """ "Hard palate, torus": the region tells which of the two it is."""
        said, region = draft.get("normal_variant"), draft.get("region")
        if said is None or str(draft.get("subsite") or "").startswith("maxillary"):
            return
        longer = [
            value
            for value, own in self._regions_of.items()
            if own == region and value.split()[0] == said
        ]
        if len(longer) == 1:
            draft.put("normal_variant", longer[0])
            side = self._sides_of.get(longer[0])
            if side is not None and draft.get("side") is None:
                draft.put("side", side)

    def _plausible_site(self, draft: Draft) -> None:
        variant, region = draft.get("normal_variant"), draft.get("region")
        plausible = self._plausible.get(str(variant), ())
        if variant is None or region is None or not plausible or region in plausible:
            return
        why = f"{variant} is not usual on the {region}"
        draft.doubt("normal_variant", why)
        draft.doubt("region", why)


def put_said(draft: Draft, place: Place) -> None:
    """The place as spoken, and what is doubtful about the speaking of it."""
    beside_tooth(draft, place)
    for name, value in (
        ("region", place.region),
        ("subsite", place.subsite),
        ("side", place.side),
        ("node_level", place.level),
    ):
        if value is not None:
            draft.put(name, value)
    if place.side is not None:
        draft.doubts = [d for d in draft.doubts if not d[1].startswith(FROM_TOOTH)]
        told = draft.evidence.get("side", [])
        draft.evidence["side"] = [spot for spot in told if spot.mark is not Mark.TOOTH]
    for spot in place.spots:
        for name in _fields_of(spot, place):
            draft.evidence.setdefault(name, []).append(spot)
            likeness_doubts(draft, name, spot)
            _resembling(draft, name, spot)
    if place.beside:
        draft.notes.append(place.beside)
    for name, why in place.doubts:
        draft.doubt(name, why)
    for name, other in place.others:
        draft.offer(name, other, 100.0)


def _fields_of(spot: Spot, place: Place) -> tuple[str, ...]:
    if spot.slot is Slot.SUBSITE:
        alone = any(spot.phrase.fills) if spot.phrase else False
        return ("region", "subsite") if alone else ("subsite",)
    return (spot.slot.value,) if spot.slot else ()


def _resembling(draft: Draft, name: str, spot: Spot) -> None:
    """A place by likeness, or by a known mishearing, is always asked about."""
    phrase = spot.phrase
    if phrase is None or name == "side":
        return
    if spot.likely is not None:
        draft.doubt(name, f"heard as something like “{phrase.text}”")
    elif phrase.misheard:
        draft.doubt(name, f"heard as “{phrase.text}”")


def _implied(draft: Draft, place: Place | None, anchor: Phrase | None) -> None:
    fills = list(anchor.fills if anchor else ()) + list(place.implied if place else ())
    for slot, value in fills:
        name = slot.value
        said = draft.get(name)
        if said is None:
            if _same_region(draft, fills, name):
                draft.put(name, value)
                for lesion in ("kind", "normal_variant"):
                    draft.evidence.setdefault(name, []).extend(draft.evidence.get(lesion, ()))
        elif said == value and slot is Slot.REGION:
            told = "the region was told from"
            if any(each[0] == "subsite" for each in draft.doubts):
                continue  # A part that was not heard well tells no region.
            draft.doubts = [d for d in draft.doubts if not (d[0] == name and d[1].startswith(told))]
        elif (said, value) == (_NECK, _NODES) and is_node(draft) and not draft.get("subsite"):
            draft.put(name, value)  # A node of the neck is one of the lymph nodes.
        elif (said, value) == (_BELOW_JAW, _NODES) and is_node(draft):
            draft.put(name, value)  # So is one in the submandibular region: level IB.
            draft.put("subsite", "submandibular")
        elif said != value and slot is Slot.SUBSITE and anchor and (slot, value) in anchor.fills:
            draft.doubt("subsite", f"the {anchor.text} is usually at the {value}")
            draft.offer("subsite", str(value), 100.0)
        elif said != value and slot is Slot.REGION and anchor and (slot, value) in anchor.fills:
            draft.doubt("region", f"the {anchor.text} belongs to the {value}")
            draft.offer("region", str(value), 100.0)


def _same_region(draft: Draft, fills: list[tuple[Slot, str | bool]], name: str) -> bool:
    """A part or side is only implied in the region that the phrase implies."""
    if name in ("region", "kind"):
        return True
    regions = [value for slot, value in fills if slot is Slot.REGION]
    return not regions or draft.get("region") in regions


def _carried(draft: Draft, here: Here, carry: set[str]) -> None:
    last = here.last
    same_site = "same site" in carry
    if (
        last is not None
        and last.region
        and (same_site or here.last_in_breath or "another" in carry)
    ):
        draft.put("region", last.region)
        if last.subsite and draft.get("subsite") is None:
            draft.put("subsite", last.subsite)
        settled = same_site or _but_the_side(draft, last, here, carry)
        if same_site and last.side is not None and draft.get("side") is None:
            draft.put("side", last.side)
        _carry_side(draft, last.side)
        if not settled:
            why = "no place was said: carried over from the finding before"
            for name in ("region", "subsite"):
                if draft.get(name) is not None:
                    draft.doubt(name, why)
        return
    if here.marked and draft.get("side") is not None and not draft.unknown:
        # "No abnormality on the right buccal mucosa, on the left a plaque."
        draft.put("region", here.marked)
        if here.marked_part and draft.get("subsite") is None:
            draft.put("subsite", here.marked_part)
            draft.doubt("subsite", f"{here.marked_part} was said of what is in health")
        return
    if here.region:
        draft.put("region", here.region)
        if not here.gone_to or draft.unknown:
            draft.doubt("region", "no place was said: carried over from the region in hand")
        if here.subsite and draft.get("subsite") is None:
            draft.put("subsite", here.subsite)
            draft.doubt("subsite", f"the part was not said: {here.subsite} carried over")
        _carry_side(draft, here.side)


def _part_carried(draft: Draft, place: Place | None, here: Here) -> None:
    """ "Condyle, right side, crepitus; left side, a click": the part is said once for both."""
    if place is None or not place.only_side or draft.get("subsite") is not None:
        return
    region, last = draft.get("region"), here.last
    if here.last_in_breath and last is not None and last.region == region:
        part = last.subsite if last.side not in (None, place.side) else None
    else:
        part = here.marked_part if here.marked == region else None
    if part is not None and region is not None:
        draft.put("subsite", part)
        draft.doubt("subsite", f"the part was not said: {part} carried over")


def _but_the_side(draft: Draft, last: FindingFields, here: Here, carry: set[str]) -> bool:
    """ "Another one on the right", "left papule, right papule": all but the side is the same."""
    if draft.get("side") in (None, last.side) or draft.unknown:
        return False
    same = draft.get("kind") is not None and draft.get("kind") == last.kind
    return "another" in carry or (here.last_in_breath and same)


def _carry_side(draft: Draft, side: str | None) -> None:
    if side is not None and draft.get("side") is None:
        draft.put("side", side)
        draft.doubt("side", _carried_over(side))


def _carried_over(side: str) -> str:
    return f"the side was not said: {side} carried over"


def _sides(draft: Draft, here: Here, carry: set[str]) -> None:
    last = here.last.side if here.last else here.side
    if "other side" in carry and last in _OTHER_SIDE:
        draft.put("side", _OTHER_SIDE[last])
        draft.doubt("side", f"“the other side” was taken as {_OTHER_SIDE[last]}")
    elif "same side" in carry and last is not None and draft.get("side") in (None, last):
        draft.put("side", last)
        draft.doubts = [d for d in draft.doubts if d != ("side", _carried_over(last))]
