"""Findings in words for the patient: named and described, never interpreted."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

from dictate.exam.finding import FindingFields
from dictate.exam.readback import MANY, and_words, duration_words, size_words
from dictate.export.tables import Row, table

FILE = "plain_words.toml"
_COUNTS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


class Page(Row):
    """The fixed sentences of the patient's page."""

    title: str
    intro: str
    nothing: str
    variant: str
    clinical: str
    decided: str
    next: str
    no_date: str
    unheard: str
    sooner: str
    sooner_source: str
    limits: str


class PlainWords(Row):
    """Explanations by the value that the record holds; `parts` by region and sub-site."""

    page: Page
    regions: dict[str, str]
    parts: dict[str, dict[str, str]]
    kinds: dict[str, str]
    variants: dict[str, str]
    surface: dict[str, str]
    borders: dict[str, str]
    consistency: dict[str, str]
    mobility: dict[str, str]
    attachment: dict[str, str]
    symptoms: dict[str, str]
    change: dict[str, str]
    decisions: dict[str, str]


@lru_cache(maxsize=1)
def plain_words() -> PlainWords:
    """The table. Raises VocabularyError."""
    return table(FILE, PlainWords)


def where(finding: FindingFields) -> str:
    """The place, with the side behind it: "edge of the tongue, left side"."""
    words = plain_words()
    region, part = finding.region, finding.subsite
    if region is None:
        place = part or "place not noted"
    else:
        place = words.parts.get(region, {}).get(part or "") or ", ".join(
            filter(None, [words.regions.get(region, region), part])
        )
    sides = {"left": "left side", "right": "right side", "bilateral": "both sides"}
    return ", ".join(filter(None, [place, sides.get(finding.side or "", finding.side)]))


def what(finding: FindingFields) -> str:
    """Number, colour and kind, with the clinician's word when it is another."""
    words = plain_words()
    noun = finding.kind or finding.normal_variant or "finding"
    known = words.kinds if finding.kind else words.variants
    told = known.get(noun, noun)
    one = "one" if finding.count == 1 else ""
    sentence = " ".join(filter(None, [one, and_words(finding.colours), told])) + _several(finding)
    if told != noun:
        sentence += f" ({words.page.clinical}: {noun})"
    return sentence


def _several(finding: FindingFields) -> str:
    """ ", two of them"; nothing for one, or where nothing of a number was said."""
    if finding.count is not None and finding.count != 1:
        many = _COUNTS[finding.count] if finding.count < len(_COUNTS) else str(finding.count)
        return f", {many} of them"
    return ", more than one" if finding.count is None and finding.distribution in MANY else ""


def is_variant(finding: FindingFields) -> bool:
    """True if it was noted as a usual difference between people."""
    return finding.normal_variant is not None


def details(finding: FindingFields) -> list[str]:
    """Everything else that was noted, one thing a line."""
    words = plain_words()
    lines = [
        f"about {size_words(finding.size_mm)}" if finding.size_mm else "",
        _listed("surface: ", finding.surface, words.surface),
        _listed("edge: ", finding.borders, words.borders),
        _listed("feels: ", finding.consistency, words.consistency),
        words.attachment.get(finding.attachment or "", finding.attachment or ""),
        words.mobility.get(finding.mobility or "", finding.mobility or ""),
        _whether(finding.tender, "sore to the touch", "not sore to the touch"),
        _whether(finding.wipes_off, "can be wiped off", "cannot be wiped off"),
        _listed("with: ", finding.symptoms, words.symptoms),
        _listed("without: ", finding.denied_symptoms, words.symptoms),
        words.change.get(finding.change or "", finding.change or ""),
        ""
        if finding.duration_days is None
        else f"there for {duration_words(finding.duration_days)}",
    ]
    return [each for each in lines if each]


def _listed(before: str, values: tuple[str, ...], known: Mapping[str, str]) -> str:
    return before + and_words(known.get(each, each) for each in values) if values else ""


def _whether(value: bool | None, yes: str, no: str) -> str:
    return "" if value is None else (yes if value else no)
