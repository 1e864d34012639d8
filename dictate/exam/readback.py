"""A finding in words, for the screen, the chart and reading aloud.

The order is the trade's: site, side, number, size, colour, kind, surface, borders,
consistency, mobility, tenderness, symptoms, duration (common practice, no source).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from dictate.exam.commands import RegionState
from dictate.exam.finding import FieldValue, FindingFields
from dictate.exam.plurals import plural

NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
MANY = frozenset({"multiple", "several", "numerous", "clustered", "scattered", "grouped"})
"""Distributions that speak of more than one."""

ADJECTIVE = re.compile(r"(al|ular|ary|ior|ic|omohyoid|upper|middle|lower)$")
"""Parts named by an adjective alone: "maxillary" of the gingiva, "submental" lymph nodes."""
GENERAL = frozenset({"gland", "area", "mucosa", "ridge", "joint", "nodes"})
"""Words that several regions share, so that a part is not placed by them."""


def finding_words(finding: FindingFields) -> str:
    """Every field said, as one sentence, and the note as another."""
    parts = [each for each in (_thing(finding), *_properties(finding)) if each]
    sentence = f"{_capital(place_words(finding))}: {', '.join(parts or ['nothing described'])}."
    return f'{sentence} Note: "{finding.note}".' if finding.note else sentence


def without_place(finding: FindingFields) -> str:
    """ "one 10 by 6 mm white plaque, firm, present 3 weeks." """
    return finding_words(finding).removeprefix(f"{_capital(place_words(finding))}: ")


def place_words(finding: FindingFields) -> str:
    """Where it is: "left lateral border of the tongue", "hard palate, midline"."""
    place = _without_side(finding.region, finding.subsite)
    if finding.side in ("left", "right"):
        place = f"{finding.side} {place}"
    elif finding.side:
        place = f"{place}, {'both sides' if finding.side == 'bilateral' else finding.side}"
    return f"{place}, level {finding.node_level}" if finding.node_level else place


def size_words(sizes: Sequence[float]) -> str:
    """Millimetres: "10 by 6 mm", "1.5 mm"."""
    return f"{' by '.join(number(each) for each in sizes)} mm"


def duration_words(days: int) -> str:
    """The largest unit that leaves no rest: weeks of 7 days, months of 30, years of 365."""
    for unit, length in (("year", 365), ("month", 30), ("week", 7)):
        if days and days % length == 0:
            return _counted(days // length, unit)
    return _counted(days, "day")


def number(value: float) -> str:
    """Digits without a trailing zero."""
    return f"{value:.2f}".rstrip("0").rstrip(".")


def title(name: str) -> str:
    """The field's name as a person reads it."""
    return {"size_mm": "size", "duration_days": "duration", "tender": "tenderness"}.get(
        name, name.replace("_", " ")
    )


def field_words(name: str, value: FieldValue) -> str:
    """One field and its value: "side left", "size 10 by 6 mm", "tenderness no"."""
    return f"{title(name)} {value_words(name, value)}"


def value_words(name: str, value: FieldValue) -> str:
    """One field's value; "not said" for nothing."""
    if value is None or value == []:
        return "not said"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        sizes = [each for each in value if isinstance(each, float)]
        return size_words(sizes) if name == "size_mm" else and_words(str(x) for x in value)
    if name == "duration_days" and isinstance(value, int):
        return duration_words(value)
    return number(value) if isinstance(value, float) else str(value)


def mark_words(region: str, what: RegionState, side: str | None, reason: str | None) -> str:
    """A statement about a region: "Left tongue: inspected."."""
    sides = {None: region, "bilateral": f"{region}, both sides", "midline": f"{region}, midline"}
    place = sides.get(side, f"{side} {region}")
    because = f", {reason}" if reason else ""
    return f"{_capital(place)}: {what.replace('_', ' ')}{because}."


def and_words(words: Iterable[str]) -> str:
    """ "a", "a and b", "a, b and c"."""
    each = list(words)
    return " and ".join(filter(None, [", ".join(each[:-1]), *each[-1:]]))


def _thing(finding: FindingFields) -> str:
    """Number, size, colour and kind: "two 4 mm white papules"."""
    many = finding.distribution in MANY or (finding.count is not None and finding.count != 1)
    noun = finding.kind or finding.normal_variant or "finding"
    single = finding.count == 1 and finding.distribution == "single"
    parts = [_number(finding.count), "" if single else finding.distribution or ""]
    parts += [size_words(finding.size_mm)] if finding.size_mm else []
    parts += [and_words(finding.colours), plural(noun) if many else noun]
    return " ".join(filter(None, parts))


def _properties(finding: FindingFields) -> list[str]:
    """What comes after the kind, in order; empty strings for what was not said."""
    variant = finding.normal_variant
    return [
        f"{and_words(finding.surface)} surface" if finding.surface else "",
        f"{and_words(finding.borders)} borders" if finding.borders else "",
        finding.attachment or "",
        and_words(finding.consistency),
        finding.mobility or "",
        _whether(finding.tender, "tender", "not tender"),
        _whether(finding.wipes_off, "wipes off", "does not wipe off"),
        f"with {and_words(finding.symptoms)}" if finding.symptoms else "",
        f"without {and_words(finding.denied_symptoms)}" if finding.denied_symptoms else "",
        finding.change or "",
        _present(finding.duration_days),
        (f"{variant}, variant of normal" if finding.kind else "variant of normal")
        if variant
        else "",
    ]


def _present(days: int | None) -> str:
    return "" if days is None else f"present {duration_words(days)}"


def _whether(value: bool | None, yes: str, no: str) -> str:
    return "" if value is None else (yes if value else no)


def _number(count: int | None) -> str:
    if count is None:
        return ""
    return NUMBERS[count] if count < len(NUMBERS) else str(count)


def _counted(count: int, unit: str) -> str:
    return f"{count} {unit}" if count == 1 else f"{count} {unit}s"


def _without_side(region: str | None, part: str | None) -> str:
    if region is None:
        return part or "place not said"
    if part is None or part == region:
        return region
    words, last = region.split(" "), part.rsplit(" ", 1)[-1]
    if "," in region or _stem(words[-1]) in map(_stem, part.split(" ")):
        return part
    if len(words) > 1 and words[1] == "of" and last == words[0]:
        return " ".join([part, *words[1:]])
    if ADJECTIVE.search(part):
        return f"{part} {region}"
    told = set(part.split(" ")) & set(words) - GENERAL
    return part if told else f"{part} of the {region}"


def _stem(word: str) -> str:
    return word.removesuffix("s")


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
