"""Teeth by their two digits, against the standard's own list; a side that does not fit is asked."""

from __future__ import annotations

import pytest
from num2words import num2words

from dictate.matching.teeth import place_of_tooth
from tests.matching_helpers import doubted, found, read, whys

# ISO 3950:2016: the first digit is the quadrant, seen from the patient (1 upper right, 2 upper
# left, 3 lower left, 4 lower right; 5 to 8 the same of deciduous teeth), the second the position
# from the midline: 8 permanent, 5 deciduous teeth a quadrant, 52 in all.
UPPER_RIGHT, UPPER_LEFT = ("upper", "right"), ("upper", "left")
LOWER_LEFT, LOWER_RIGHT = ("lower", "left"), ("lower", "right")
TEETH = {
    **dict.fromkeys((*range(11, 19), *range(51, 56)), UPPER_RIGHT),
    **dict.fromkeys((*range(21, 29), *range(61, 66)), UPPER_LEFT),
    **dict.fromkeys((*range(31, 39), *range(71, 76)), LOWER_LEFT),
    **dict.fromkeys((*range(41, 49), *range(81, 86)), LOWER_RIGHT),
}


def digits(number: int) -> tuple[str, ...]:
    return tuple(num2words(int(each)) for each in f"{number:02}")


def test_the_standard_has_fifty_two_teeth() -> None:
    assert len(TEETH) == 52


@pytest.mark.parametrize("number", range(1, 100))
def test_a_designation_tells_arch_and_side_and_no_other_number_does(number: int) -> None:
    told = TEETH.get(number, ("", ""))
    singly, whole = digits(number), tuple(num2words(number).replace("-", " ").split())
    assert place_of_tooth(("tooth", *singly)) == told
    # "Eighteen" may be the lower left one of the Universal numbering system, which counts 1 to 32
    # (from memory): then neither side nor arch is known.
    assert place_of_tooth(("tooth", "number", *whole)) == (told if number > 32 else ("", ""))


@pytest.mark.parametrize(
    "text",
    [
        "ulcer right gingiva at tooth three six",
        "ulcer on the right mandibular gingiva at tooth thirty six",
        "ulcer at tooth three six, right mandibular gingiva",
        "ulcer right mandibular gingiva at the lower left six",
    ],
)
def test_a_side_that_the_tooth_does_not_lie_on_is_asked(text: str) -> None:
    reading = read(text)
    assert "side" in doubted(reading)[0], whys(reading)


@pytest.mark.parametrize(
    "text",
    [
        "ulcer left maxillary gingiva at tooth three six",
        "swelling of the left maxillary ridge by the lower left six",
        "ulcer left mandibular gingiva at tooth two six",
    ],
)
def test_a_jaw_that_the_tooth_does_not_lie_in_is_asked(text: str) -> None:
    reading = read(text)
    assert "subsite" in doubted(reading)[0], whys(reading)


@pytest.mark.parametrize("text", ["ulcer left mandibular gingiva at tooth thirty six"])
def test_a_side_that_fits_is_not(text: str) -> None:
    reading = read(text)
    assert found(reading)[0]["side"] == "left"
    assert "side" not in doubted(reading)[0]


def test_a_number_that_no_tooth_has_tells_no_side() -> None:
    (finding,) = found(read("ulcer gingiva tooth one nine"))
    assert finding.get("side") is None
