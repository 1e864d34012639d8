"""Lymph nodes and what lies where they lie: which of the two a finding is of."""

from __future__ import annotations

from dictate.matching.draft import Draft
from dictate.matching.place import Place

_NECK, _NODES = "neck", "lymph nodes"


def is_node(draft: Draft) -> bool:
    return draft.get("kind") == "lymph node"


def level_of_neck(draft: Draft) -> None:
    """ "Neck mass, level two": in a node of that level, or of the neck beside it?"""
    if draft.get("node_level") is None or draft.get("region") != _NECK:
        return
    if is_node(draft):
        draft.put("region", _NODES)
        draft.values.pop("subsite", None)
        return
    draft.doubt("region", "a level was said of the neck: is it one of the lymph nodes?")
    draft.offer("region", _NODES, 100.0)


def beside_nodes(draft: Draft, place: Place | None, in_hand: str | None) -> None:
    """ "Lump in front of the right ear": where nodes lie, but is it one?"""
    kind = draft.get("kind")
    if place is None or not place.inferred or in_hand == _NODES:
        return
    if draft.get("region") == _NODES and kind is not None and not is_node(draft):
        draft.doubt("region", f"is the {kind} one of the lymph nodes?")
