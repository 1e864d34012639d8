"""English plurals of the nouns that findings are called by."""

from __future__ import annotations

import re

UNCOUNTED = frozenset(
    {
        "alba",
        "atrophy",
        "candidiasis",
        "crepitus",
        "discolouration",
        "erythema",
        "fibrosis",
        "hyperplasia",
        "leukoedema",
        "movement",
        "pigmentation",
        "planus",
        "purpura",
        "tissue",
    }
)
LATIN = {
    "bulla": "bullae",
    "epulis": "epulides",
    "fistula": "fistulae",
    "macula": "maculae",
    "naevus": "naevi",
    "papilla": "papillae",
    "petechia": "petechiae",
    "torus": "tori",
    "varix": "varices",
}
"""Words of the trade that keep their Latin or Greek plural; all others take the English one."""
ENDINGS = (
    (r"is$", "es"),
    (r"(?<=[^aeiou])y$", "ies"),
    (r"(?<=ch|sh)$|(?<=[sxz])$", "es"),
    (r"$", "s"),
)
"""The first that fits."""
PLURAL = re.compile(r"(ae|[^siu]s|ies)$")
"""What is a plural already: "Fordyce granules", "striae"."""


def plural(noun: str) -> str:
    """The plural of a noun or noun phrase; a plural or uncounted noun stays as it is."""
    head, _, last = noun.rpartition(" ")
    if last in UNCOUNTED or last.endswith("itis") or PLURAL.search(last):
        return noun
    made = LATIN.get(last)
    for pattern, ending in () if made else ENDINGS:
        made, changed = re.subn(pattern, ending, last, count=1)
        if changed:
            break
    return f"{head} {made}".strip()
