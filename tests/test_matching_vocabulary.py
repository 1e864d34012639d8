"""Every spoken form of the vocabulary, in a plain sentence, is recorded as what it means."""

from __future__ import annotations

import pytest

from dictate.exam.commands import AddFinding, MarkRegion
from dictate.vocabulary.loader import load
from dictate.vocabulary.schema import Phrase, Slot
from tests.matching_helpers import asked, only, read

LEXICON = load()
BUCCAL = "ulcer left buccal mucosa five millimetres "


def phrases(*slots: Slot) -> list[Phrase]:
    return [phrase for phrase in LEXICON.phrases if phrase.slot in slots]


@pytest.mark.parametrize("phrase", phrases(Slot.REGION), ids=lambda each: each.text)
def test_regions(phrase: Phrase) -> None:
    for text in (f"ulcer on the left {phrase.text}, 5 mm", f"left {phrase.text} ulcer 5 mm"):
        command = only(text)
        meant = {each.value for each in phrases(Slot.REGION) if each.words == phrase.words}
        assert command.fields.region in meant, text
        assert command.fields.side == "left", text
        assert command.fields.size_mm == (5.0,)
        assert asked(command) == ({"region"} if phrase.vague or phrase.misheard else set())


ALONE = [
    each
    for each in phrases(Slot.SUBSITE)
    if not each.regions and not each.text.startswith("side of")
]
"""After a side it is the side that "side of" means: that has a test of its own."""


@pytest.mark.parametrize("phrase", ALONE, ids=lambda each: each.text)
def test_parts_that_name_their_region(phrase: Phrase) -> None:
    command = only(f"ulcer on the left {phrase.text}, 5 mm")
    region = dict(phrase.fills)[Slot.REGION]
    assert (command.fields.region, command.fields.subsite) == (region, phrase.value)
    assert command.fields.side == "left"
    assert bool(asked(command)) == (phrase.vague or phrase.misheard)


def test_the_left_side_of_the_tongue_is_its_left_half() -> None:
    command = only("ulcer on the left side of the tongue, 5 mm")
    assert (command.fields.subsite, command.fields.side) == (None, "left")
    assert only("ulcer on the side of the tongue, 5 mm").fields.subsite == "lateral border"


BOUND = [(each, region) for each in phrases(Slot.SUBSITE) for region in each.regions]


@pytest.mark.parametrize(("phrase", "region"), BOUND, ids=lambda each: getattr(each, "text", each))
def test_parts_that_need_their_region(phrase: Phrase, region: str) -> None:
    name = LEXICON.region(region).say[0]
    command = only(f"ulcer on the {phrase.text} of the {name} on the left, 5 mm")
    assert (command.fields.region, command.fields.subsite) == (region, phrase.value)
    assert command.fields.side == "left"
    assert bool(asked(command)) == phrase.misheard


@pytest.mark.parametrize(
    "phrase", phrases(Slot.KIND, Slot.NORMAL_VARIANT), ids=lambda each: each.text
)
def test_lesions_and_variants(phrase: Phrase) -> None:
    command = only(f"{phrase.text} left buccal mucosa five millimetres")
    assert getattr(command.fields, phrase.slot.value) == phrase.value
    assert command.fields.size_mm == (5.0,)
    absent = read(f"no {phrase.text} on the left buccal mucosa").commands
    assert not any(isinstance(each, AddFinding) for each in absent)


LISTED = phrases(Slot.COLOUR, Slot.SURFACE, Slot.BORDER, Slot.CONSISTENCY)


@pytest.mark.parametrize("phrase", LISTED, ids=lambda each: each.text)
def test_descriptions_of_which_there_may_be_several(phrase: Phrase) -> None:
    command = only(BUCCAL + phrase.text)
    assert getattr(command.fields, phrase.slot.value) == (phrase.value,)
    assert not asked(command)


SINGLE = phrases(
    Slot.MOBILITY, Slot.TENDER, Slot.ATTACHMENT, Slot.WIPES_OFF, Slot.CHANGE, Slot.DISTRIBUTION
)


@pytest.mark.parametrize("phrase", SINGLE, ids=lambda each: each.text)
def test_descriptions_of_which_there_is_one(phrase: Phrase) -> None:
    command = only(BUCCAL + phrase.text)
    assert getattr(command.fields, phrase.slot.value) == phrase.value
    # The size of what has healed is that of an earlier time.
    assert asked(command) == ({"size_mm"} if phrase.value == "resolved" else set())


@pytest.mark.parametrize("phrase", phrases(Slot.SYMPTOM), ids=lambda each: each.text)
def test_symptoms_present_and_absent(phrase: Phrase) -> None:
    fields = only(BUCCAL + phrase.text).fields
    assert (fields.denied_symptoms if phrase.negated else fields.symptoms) == (phrase.value,)
    if not phrase.negated:
        fields = only(f"{BUCCAL} no {phrase.text}").fields
        assert (fields.symptoms, fields.denied_symptoms) == ((), (phrase.value,))


@pytest.mark.parametrize("phrase", phrases(Slot.SIDE), ids=lambda each: each.text)
def test_sides(phrase: Phrase) -> None:
    assert only(f"ulcer buccal mucosa {phrase.text} 5 mm").fields.side == phrase.value


@pytest.mark.parametrize("phrase", phrases(Slot.NODE_LEVEL), ids=lambda each: each.text)
def test_node_levels(phrase: Phrase) -> None:
    fields = only(f"left {phrase.text} node, ten millimetres").fields
    assert (fields.node_level, fields.region, fields.size_mm) == (
        phrase.value,
        "lymph nodes",
        (10.0,),
    )


@pytest.mark.parametrize("phrase", phrases(Slot.NORMAL), ids=lambda each: each.text)
def test_words_for_normal(phrase: Phrase) -> None:
    region = dict(phrase.fills).get(Slot.REGION, "tongue")
    place = LEXICON.region(str(region)).say[0]
    before = phrase.text.startswith(("nothing", "cannot")) and phrase.vague
    (mark,) = read(f"{phrase.text} {place}" if before else f"{place} {phrase.text}").commands
    assert isinstance(mark, MarkRegion)
    assert mark.region == region
    lump = any(word in phrase.words for word in ("lumps", "masses", "swelling", "swellings"))
    state = "inspected" if phrase.text == "none" else "normal"  # None of what was spoken of.
    assert mark.state == ("palpated" if lump else state)


@pytest.mark.parametrize("phrase", phrases(Slot.NOT_EXAMINED), ids=lambda each: each.text)
def test_words_for_not_examined(phrase: Phrase) -> None:
    (mark,) = read(f"tongue {phrase.text}").commands
    assert isinstance(mark, MarkRegion)
    assert (mark.region, mark.state) == ("tongue", "not_examined")
    assert mark.reason == (None if phrase.value == "no reason given" else phrase.value)
