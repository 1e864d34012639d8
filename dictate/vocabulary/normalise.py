"""Written or heard words folded into the one form that phrases use."""

from __future__ import annotations

import unicodedata

from dictate.vocabulary.schema import Spelling

_APOSTROPHES = str.maketrans({"\u2019": "'", "\u2018": "'", "\u02bc": "'", "`": "'"})


def normalise(text: str, spelling: Spelling) -> tuple[str, ...]:
    """Words of `text`: lower case, no punctuation, hyphens parted, British spelling.

    A contraction becomes the words it stands for ("doesn't": "does", "not"). Between digits a
    point or comma stays ("1.5"), so that numbers can still be read.
    """
    if not text.isascii():
        text = unicodedata.normalize("NFKC", text).translate(_APOSTROPHES)
    words: list[str] = []
    for token in text.lower().split():
        words.extend(_fold(token, spelling))
    return tuple(words)


def _fold(token: str, spelling: Spelling) -> list[str]:
    bare = token.strip(".,;:!?\"'()[]")
    meant = spelling.contractions.get(bare)
    if meant is not None:
        return meant.split()
    if bare.isalpha():
        return [spelling.fold(bare)]
    parts = "".join(_kept(bare, at) for at in range(len(bare))).split()
    return [spelling.fold(part) for part in parts]


def _kept(token: str, at: int) -> str:
    char = token[at]
    if char.isalnum() or unicodedata.combining(char):
        return char
    if char == "'":
        return ""
    between_digits = 0 < at < len(token) - 1 and token[at - 1].isdigit() and token[at + 1].isdigit()
    return char if char in ".," and between_digits else " "
