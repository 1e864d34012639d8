"""Collisions and sound-alikes."""

from __future__ import annotations

from pathlib import Path

import pytest
from num2words import num2words

from dictate.vocabulary.check import Problem, check, report
from dictate.vocabulary.loader import load
from dictate.vocabulary.schema import Slot
from dictate.vocabulary.soundalike import alike, difference, sound_key


def problems(tmp_path: Path, content: str) -> list[Problem]:
    path = tmp_path / "clinic.toml"
    path.write_text(content, "utf-8")
    return check(load([path]))


def test_the_packaged_vocabulary_has_none() -> None:
    assert report(load()) == ([], False)


def test_the_same_words_in_two_slots_collide(tmp_path: Path) -> None:
    (found,) = problems(tmp_path, "[[kinds]]\nvalue = 'velum'\nsay = ['velvety']\n")
    assert found.serious
    assert str(found) == (
        "collision: 'velvety' means both kind 'velum' and surface 'velvety'; "
        "remove it from one of them"
    )


def test_the_same_words_for_two_values_collide(tmp_path: Path) -> None:
    found = problems(tmp_path, "[[kinds]]\nvalue = 'wen'\nsay = ['cyst']\n")
    assert [each.kind for each in found] == ["collision"]


def test_a_mishearing_that_is_a_word_of_its_own_collides(tmp_path: Path) -> None:
    found = problems(tmp_path, "[[kinds]]\nvalue = 'cyst'\nhear = ['fissure']\n")
    assert any(each.serious for each in found)


def test_parts_of_different_regions_may_share_a_form(tmp_path: Path) -> None:
    content = "[[regions]]\nvalue = 'uvea'\nzone = 'extraoral'\nsay = ['uvea']\n"
    assert problems(tmp_path, content + "subsites = [{ value = 'tipp', say = ['tip'] }]\n") == []


def test_parts_of_one_region_may_not(tmp_path: Path) -> None:
    content = "[[regions]]\nvalue = 'tongue'\nsubsites = [{ value = 'end', say = ['tip'] }]\n"
    assert any(each.serious for each in problems(tmp_path, content))


def test_sound_alikes_within_a_slot_are_reported(tmp_path: Path) -> None:
    (found,) = problems(tmp_path, "[[kinds]]\nvalue = 'poliep'\nsay = ['pollup']\n")
    assert not found.serious
    assert found.score >= 80
    assert "pollup" in str(found)
    assert "[[confusions]]" in str(found)


def test_declaring_the_pair_settles_it(tmp_path: Path) -> None:
    content = "[[kinds]]\nvalue = 'poliep'\nsay = ['pollup']\n"
    declared = "[[confusions]]\nwords = ['pollup', 'polyp']\nslot = 'kind'\n"
    assert problems(tmp_path, content + declared) == []


def test_a_declaration_for_another_slot_does_not(tmp_path: Path) -> None:
    content = "[[kinds]]\nvalue = 'poliep'\nsay = ['pollup']\n"
    declared = "[[confusions]]\nwords = ['pollup', 'polyp']\nslot = 'side'\n"
    assert len(problems(tmp_path, content + declared)) == 1


def test_other_slots_do_not_matter_for_sound(tmp_path: Path) -> None:
    assert problems(tmp_path, "[[colours]]\nvalue = 'poliep'\nsay = ['pollup']\n") == []


def test_a_report_tells_whether_something_must_be_mended(tmp_path: Path) -> None:
    path = tmp_path / "clinic.toml"
    path.write_text("[[kinds]]\nvalue = 'wen'\nsay = ['cyst']\n", "utf-8")
    lines, mend = report(load([path]))
    assert mend
    assert len(lines) == 1
    assert "\n" not in lines[0]


def test_what_two_forms_differ_in() -> None:
    assert difference(("upper", "cervical", "node"), ("lower", "cervical", "nodes")) == (
        "upper",
        "lower",
    )
    assert difference(("tongue",), ("tongue", "tip")) == ("", "tip")


@pytest.mark.parametrize(("first", "second"), [("buccal", "buckle"), ("palate", "pallet")])
def test_homophones_have_one_sound(first: str, second: str) -> None:
    # Dictionaries give each pair one pronunciation (common knowledge, no source).
    assert sound_key(first) == sound_key(second)


def test_likeness_is_symmetrical_and_bounded() -> None:
    assert alike("papule", "macule") == alike("macule", "papule")
    assert alike("ulcer", "ulcer") == 100
    assert alike("ulcer", "moist") < 50


@pytest.mark.parametrize("digit", range(3, 10))
def test_every_teen_is_declared_against_its_ten(digit: int) -> None:
    pair = {num2words(10 + digit), num2words(10 * digit)}
    assert any(
        pair <= set(confusion.words) for confusion in load().confusions if confusion.slot is None
    )


@pytest.mark.parametrize(
    ("words", "slot"),
    [
        ({"left", "lift"}, Slot.SIDE),
        ({"buccal", "buckle", "labial", "lingual"}, Slot.SUBSITE),
        ({"ventral", "dorsal"}, Slot.SUBSITE),
        ({"upper", "lower"}, Slot.SUBSITE),
        ({"anterior", "posterior"}, Slot.SUBSITE),
        ({"papule", "macule"}, Slot.KIND),
        ({"node", "nodule"}, Slot.KIND),
        ({"vesicle", "vestibule"}, Slot.KIND),
        ({"palate", "palatal"}, Slot.REGION),
    ],
)
def test_known_confusions_are_declared(words: set[str], slot: Slot) -> None:
    # Pairs that clinicians and engines are known to swap: common practice, no source.
    assert any(
        words <= set(confusion.words) for confusion in load().confusions if confusion.slot is slot
    )
