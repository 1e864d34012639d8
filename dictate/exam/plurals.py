"""English plurals of the nouns that findings are called by, Latin ones included."""

from __future__ import annotations

import re

MASS = (
    "alba",
    "atrophy",
    "crepitus",
    "discolouration",
    "erythema",
    "hyperplasia",
    "leukoedema",
    "movement",
    "pigmentation",
    "planus",
    "purpura",
    "tissue",
)
"""Nouns that are not counted."""
ENDINGS = (
    (r"(?<=om)a$", "as"),
    (r"a$", "ae"),
    (r"(?<=sin)us$", "uses"),
    (r"(?<=[^aeiou])us$", "i"),
    (r"is$", "es"),
    (r"ix$", "ices"),
    (r"(?<=[^aeiou])y$", "ies"),
    (r"(?<=(.s|ch|sh))$|(?<=[xz])$", "es"),
    (r"$", "s"),
)
"""The first that fits; Latin plurals as usual in the trade (bullae, petechiae, tori)."""


def plural(noun: str) -> str:
    """The plural of a noun or noun phrase; a plural or a mass noun stays as it is."""
    head, _, last = noun.rpartition(" ")
    if (
        last in MASS
        or last.endswith("itis")
        or (last.endswith(("ae", "s")) and not last.endswith(("ss", "us", "is")))
    ):
        return noun
    for pattern, ending in ENDINGS:
        made, changed = re.subn(pattern, ending, last, count=1)
        if changed:
            return f"{head} {made}".strip()
    return noun
