"""Node levels said without the word: "right two A, firm", where the lymph nodes are in hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from dictate.matching.text import Token

_NODES = "lymph nodes"
_LEVEL = "level"
_NUMBERS = frozenset({"one", "two", "five"})
"""Levels that have parts. source: Robbins et al., Arch Otolaryngol Head Neck Surg 2002"""
_PARTS = frozenset({"a", "b"})
_SIDES = frozenset({"left", "right"})


def with_levels(tokens: Sequence[Token], region: str | None) -> tuple[Token, ...]:
    """The tokens with "level" before such a number and letter, at the beginning of a sentence."""
    if region != _NODES:
        return tuple(tokens)
    made: list[Token] = []
    for index, token in enumerate(tokens):
        if _begins(tokens, index) and _is_level(tokens, index):
            made.append(replace(token, text=_LEVEL))
            token = replace(token, pause=False, stop=False)
        made.append(token)
    return tuple(made)


def _begins(tokens: Sequence[Token], index: int) -> bool:
    """True at a beginning, a side before it left out."""
    before = tokens[index - 1] if index else None
    if before is not None and before.text in _SIDES and not tokens[index].pause:
        return index == 1 or before.stop
    return before is None or tokens[index].stop


def _is_level(tokens: Sequence[Token], index: int) -> bool:
    """True for a number and a letter that a pause, or the end, follows."""
    letter, after = tokens[index + 1 : index + 2], tokens[index + 2 : index + 3]
    if tokens[index].text not in _NUMBERS or not letter or letter[0].pause:
        return False
    return letter[0].text in _PARTS and (not after or after[0].pause)
