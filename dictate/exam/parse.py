"""Text typed into the editor of a field, turned into the field's value.

Plain and strict on purpose: what is spoken is the matcher's business; what is typed must
read exactly one way, or it is refused.
"""

from __future__ import annotations

import re
import unicodedata

from dictate.errors import ExamError
from dictate.exam.editing import known_field
from dictate.exam.finding import FieldValue
from dictate.exam.readback import title
from dictate.vocabulary.schema import Lexicon, Slot

YES = frozenset({"yes", "y", "true", "1"})
NO = frozenset({"no", "n", "false", "0", "none"})
BOOLEANS = ("tender", "wipes_off")
WORD_LISTS = ("colours", "surface", "borders", "consistency", "symptoms", "denied_symptoms")
CLOSED = ("region", "subsite", "side", "normal_variant", "node_level")
"""Fields that take only values of the vocabulary: others would place the finding wrongly."""
DAYS = {"day": 1, "week": 7, "fortnight": 14, "month": 30, "year": 365}
MILLIMETRES = {"mm": 1.0, "millimetre": 1.0, "millimeter": 1.0}
CENTIMETRES = {"cm": 10.0, "centimetre": 10.0, "centimeter": 10.0}
LENGTHS = MILLIMETRES | CENTIMETRES
LONGEST = 500


def parse_field(field: str, text: str, lexicon: Lexicon) -> FieldValue:
    """The value that the typed text means; None or an empty list for an empty text.

    Sizes: one to three numbers parted by "x", "by" or commas, in mm unless "cm" follows.
    Durations: a number of days, or with a unit ("3 weeks"). Several words: by commas.
    Raises ExamError, one line, for text that does not fit the field.
    """
    name = known_field(field)
    clean = " ".join(unicodedata.normalize("NFC", text).split())
    if any(unicodedata.category(each) in ("Cc", "Cf", "Cs", "Co") for each in clean):
        raise ExamError("The text has characters that cannot be printed; type it again.")
    if len(clean) > LONGEST:
        raise ExamError(f"That is longer than {LONGEST} characters; shorten it.")
    if name == "size_mm":
        return list(size(clean)) if clean else []
    if name in WORD_LISTS:
        parts = [part.strip() for part in clean.split(",")]
        return [word(name, part, lexicon) for part in parts if part]
    return _single(name, clean, lexicon) if clean else None


def _single(name: str, text: str, lexicon: Lexicon) -> FieldValue:
    if name in BOOLEANS:
        return _yes_no(name, text)
    if name == "count":
        return _whole(text)
    if name == "duration_days":
        return duration(text)
    return text if name == "note" else word(name, text, lexicon)


def size(text: str) -> tuple[float, ...]:
    """Millimetres, in the order typed. Raises ExamError for anything but a plain size."""
    match = re.fullmatch(r"([\d.,\sx×by]+?)\s*([a-z]*)", text.lower())
    unit = match[2].removesuffix("s") if match else ""
    if match is None or (unit and unit not in LENGTHS):
        raise ExamError('That is no size; type millimetres, such as "12 x 8".')
    parts = re.split(r"\s*(?:x|×|by|,)\s*", match[1].strip())
    if not all(re.fullmatch(r"\d{1,3}(\.\d{1,2})?", part) for part in parts):
        raise ExamError('That is no size; type millimetres, such as "12 x 8".')
    return tuple(round(float(part) * LENGTHS.get(unit, 1.0), 2) for part in parts)


def duration(text: str) -> int:
    """Days. Raises ExamError for anything but a number, with or without a unit of time."""
    match = re.fullmatch(r"(\d{1,5})\s*([a-z]*)", text.lower())
    unit = match[2].removesuffix("s") if match else ""
    if match is None or (unit and unit not in DAYS):
        raise ExamError('That is no duration; type days, or a number and a unit: "3 weeks".')
    return int(match[1]) * DAYS.get(unit, 1)


def word(name: str, text: str, lexicon: Lexicon) -> str:
    """The vocabulary's value of a typed word; the word itself where the field is open.

    Raises ExamError for a word that a closed field does not know.
    """
    known = choices(name, lexicon)
    found = known.get(text.lower())
    if found is not None:
        return found
    if name in CLOSED:
        near = ", ".join(dict.fromkeys(known.values()))
        raise ExamError(f"The {title(name)} cannot be {text}; it is one of: {near}.")
    return text


def choices(name: str, lexicon: Lexicon) -> dict[str, str]:
    """Typed forms, in lower case, to values of the field; values before spoken forms."""
    if name == "side":
        return {side: side for side in ("left", "right", "midline", "bilateral")}
    if name == "region":
        entries = [(each.value, each.say) for each in lexicon.regions]
    elif name == "subsite":
        entries = [
            (part.value, (*part.say, *part.alone))
            for region in lexicon.regions
            for part in region.subsites
        ]
    else:
        slot = Slot.SYMPTOM if name == "denied_symptoms" else Slot(name)
        entries = [(str(each.value), each.say) for each in lexicon.terms.get(slot, ())]
    known = {value.lower(): value for value, _ in entries}
    for value, forms in entries:
        for form in forms:
            known.setdefault(form, value)
    return known


def _yes_no(name: str, text: str) -> bool:
    if text.lower() in YES:
        return True
    if text.lower() in NO:
        return False
    raise ExamError(f"The {title(name)} is yes or no; leave it empty when it was not said.")


def _whole(text: str) -> int:
    if not re.fullmatch(r"\d{1,3}", text):
        raise ExamError("The count is a whole number from 0 to 999.")
    return int(text)
