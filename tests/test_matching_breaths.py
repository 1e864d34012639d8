"""Two or three findings in one breath, in every order that clinicians use.

Sentences are put together from parts whose meaning is known, so that each finding can be held
against what was said of it: no side, site or size may move from one finding to another.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from random import Random
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.matching_helpers import doubted, found, read

KINDS = ("ulcer", "plaque", "nodule", "patch", "swelling", "papule", "lump", "macule")
SITES: tuple[tuple[str, str, str | None], ...] = (
    ("buccal mucosa", "buccal mucosa", None),
    ("lateral tongue", "tongue", "lateral border"),
    ("lateral border of the tongue", "tongue", "lateral border"),
    ("ventral tongue", "tongue", "ventral surface"),
    ("floor of mouth", "floor of mouth", None),
    ("hard palate", "hard palate", None),
    ("lower lip", "lips", "lower lip"),
    ("tonsil", "oropharynx", "tonsil"),
    ("retromolar area", "retromolar area", None),
    ("lower gingiva", "gingiva", "mandibular"),
)
NUMBERS = {"two": 2, "three": 3, "five": 5, "eight": 8, "ten": 10, "twelve": 12, "fifteen": 15}
DETAILS: tuple[tuple[str, str, Any], ...] = (
    ("firm", "consistency", ["firm"]),
    ("smooth", "surface", ["smooth"]),
    ("tender", "tender", True),
    ("non tender", "tender", False),
    ("mobile", "mobility", "mobile"),
    ("for three weeks", "duration_days", 21),
    ("painful", "symptoms", ["pain"]),
    ("no bleeding", "denied_symptoms", ["bleeding"]),
    ("rolled borders", "borders", ["rolled"]),
)
STYLES = (
    "{noun} {side} {site} {size} {more}",
    "a {noun} on the {side} {site} {size} {more}",
    "{side} {site} {noun} {size} {more}",
    "on the {side} {site} there is a {noun} {size} {more}",
    "a {sized} {noun} on the {side} {site} {more}",
    "{noun} {size} {side} {site} {more}",
    "{noun} {size} {more} {side} {site}",
    "a {noun} {size} {more} on the {side} {site}",
)
WITH_ARTICLES = tuple(style for style in STYLES if "a {" in style)
JOINTS = (" and ", ", ", " ", " then ", ". ", ", and ")


@dataclass
class Spoken:
    """One finding: its words by name, and the fields that they mean."""

    words: dict[str, str] = field(default_factory=dict)
    meaning: dict[str, Any] = field(default_factory=dict)


def spoken(random: Random) -> Spoken:
    site, region, subsite = random.choice(SITES)
    side, kind = random.choice(("left", "right")), random.choice(KINDS)
    colour = random.choice(("white", "red", "brown", None))
    number = random.choice((*NUMBERS, None))
    more = random.choice((*DETAILS, None))
    meaning: dict[str, Any] = {"region": region, "side": side, "kind": kind}
    if subsite:
        meaning["subsite"] = subsite
    if colour:
        meaning["colours"] = [colour]
    if number:
        meaning["size_mm"] = [float(NUMBERS[number])]
    if more:
        meaning[more[1]] = more[2]
    words = {
        "noun": f"{colour} {kind}" if colour else kind,
        "side": side,
        "site": site,
        "size": f"{number} millimetres" if number else "",
        "sized": f"{number} millimetre" if number else "",
        "more": more[0] if more else "",
    }
    return Spoken(words, meaning)


@given(st.integers(0, 10**9), st.sampled_from(JOINTS), st.booleans())
@settings(max_examples=250, deadline=None)
def test_no_field_moves_from_one_finding_to_another(seed: int, joint: str, mixed: bool) -> None:
    random = Random(seed)
    findings = [spoken(random) for _ in range(random.choice((2, 2, 3)))]
    style = random.choice(STYLES)
    styles = [random.choice(WITH_ARTICLES) if mixed else style for _ in findings]
    parts = [
        " ".join(each.format(**finding.words).split())
        for each, finding in zip(styles, findings, strict=True)
    ]
    text = joint.join(parts)
    reading = read(text)
    assert found(reading) == [finding.meaning for finding in findings], text
    assert all(not each for each in doubted(reading)), text


def test_where_the_words_do_not_tell_all_places_are_asked_about() -> None:
    reading = read("ulcer, left buccal mucosa, plaque, and a nodule on the right lower lip")
    assert len(found(reading)) == 3
    assert all({"region", "side"} <= each for each in doubted(reading))
