"""Doubts that come from the hearing: words that engines swap must never pass in silence."""

from __future__ import annotations

from typing import Any

import pytest

from dictate.exam.commands import AddFinding, ChangeField, MarkRegion, PreviousRegion
from dictate.exam.finding import FindingFields
from dictate.matching.reading import Context
from dictate.speech.heard import Utterance
from tests.matching_helpers import MATCHER, doubted, found, heard, read, whys

SAID = "white plaque on the left buccal mucosa fifteen millimetres"


def doubts(utterance: Utterance) -> set[str]:
    reading = MATCHER.read(utterance, Context())
    (fields,) = doubted(reading)
    return fields


def test_clearly_heard_words_are_not_asked_about() -> None:
    assert doubts(heard(SAID)) == set()


def test_typed_words_are_never_doubted_for_their_sound() -> None:
    assert doubted(read(SAID)) == [set()]


@pytest.mark.parametrize(
    ("word", "field"), [("left", "side"), ("buccal", "region"), ("fifteen", "size_mm")]
)
def test_a_word_heard_badly_puts_its_field_in_doubt(word: str, field: str) -> None:
    assert field in doubts(heard(SAID, weak={word: 0.4}))


def test_a_word_of_no_critical_field_heard_badly_is_not_asked_about() -> None:
    assert doubts(heard(SAID, weak={"white": 0.4})) == set()


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("thirteen", "thirty"),
        ("fourteen", "forty"),
        ("fifteen", "fifty"),
        ("sixteen", "sixty"),
        ("seventeen", "seventy"),
        ("eighteen", "eighty"),
        ("nineteen", "ninety"),
    ],
)
def test_teens_and_tens_below_a_sure_hearing_are_asked_about(one: str, other: str) -> None:
    """-teen and -ty differ by stress and a last n: common practice to ask back."""
    for word, twin in ((one, other), (other, one)):
        text = f"ulcer left lateral tongue {word} millimetres"
        reading = MATCHER.read(heard(text, weak={word: 0.8}), Context())
        assert "size_mm" in doubted(reading)[0]
        assert twin in whys(reading)
        assert doubted(read(text)) == [
            {"size_mm"} if word in ("seventy", "eighty", "ninety") else set()
        ]


OTHERS: list[tuple[str, str, str, Any]] = [
    (SAID, SAID.replace("left", "right"), "side", "right"),
    (SAID, SAID.replace("fifteen", "fifty"), "size_mm", [50.0]),
    (SAID, SAID.replace("buccal", "labial"), "region", "labial mucosa"),
    (
        "ulcer dorsal tongue left",
        "ulcer ventral tongue left",
        "subsite",
        "ventral surface",
    ),
    ("nodule left upper lip", "nodule left lower lip", "subsite", "lower lip"),
    ("node left level two", "node left level three", "node_level", "III"),
    (
        "ulcer left lateral tongue ten by six millimetres",
        "ulcer left lateral tongue ten by sixteen millimetres",
        "size_mm",
        [10.0, 16.0],
    ),
    ("ulcer hard palate left", "ulcer soft palate left", "region", "soft palate"),
]


@pytest.mark.parametrize(("best", "second", "field", "value"), OTHERS)
def test_another_reading_that_differs_is_asked_about_and_offered(
    best: str, second: str, field: str, value: Any
) -> None:
    reading = MATCHER.read(heard(best, second), Context())
    (command,) = [each for each in reading.commands if isinstance(each, AddFinding)]
    assert field in {each.field for each in command.needs_review}
    assert any(each.field == field and each.value == value for each in command.alternatives)


def test_another_reading_far_below_the_best_is_no_witness() -> None:
    assert doubts(heard(SAID, SAID.replace("left", "right"), step=50.0)) == set()


def test_another_reading_with_the_same_meaning_is_not_asked_about() -> None:
    assert doubts(heard(SAID, SAID.replace("buccal mucosa", "cheek"))) == set()


def test_a_reading_without_the_lesion_puts_it_in_doubt() -> None:
    there, absent = "an ulcer on the left lateral tongue", "no ulcer on the left lateral tongue"
    assert "kind" in doubts(heard(there, absent))
    (mark,) = MATCHER.read(heard(absent, there), Context()).commands
    assert isinstance(mark, MarkRegion)
    assert mark.doubt


@pytest.mark.parametrize(
    ("free", "field"),
    [
        ("white plaque on the right buckle mucosa fifteen millimeters", "side"),
        ("white plaque on the left buckle mucosa fifty millimeters", "size_mm"),
        ("white plaque on the left buckle mucosa 50 millimetres", "size_mm"),
    ],
)
def test_a_free_hearing_that_differs_is_asked_about(free: str, field: str) -> None:
    assert field in doubts(heard(SAID, free=free))


@pytest.mark.parametrize(
    "free",
    [
        "White plaque on the left buckle mucosa, fifteen millimeters.",
        "White plaque on the left buckle mucosa, 15 mm.",
        "wide plug on the left buckle mew coza",
    ],
)
def test_a_free_hearing_that_agrees_or_says_less_is_not_asked_about(free: str) -> None:
    assert doubts(heard(SAID, free=free)) == set()


MISHEARD: list[tuple[str, dict[str, Any], set[str]]] = [
    (
        "white plaque on the left buckle mucosa",
        {"region": "buccal mucosa", "side": "left", "kind": "plaque", "colours": ["white"]},
        {"region"},
    ),
    (
        "luke a plaque here on the left floor of mouse",
        {"region": "floor of mouth", "side": "left", "kind": "leukoplakia"},
        {"region"},
    ),
    (
        "ulcer left lateral tongue and you rated",
        {
            "region": "tongue",
            "subsite": "lateral border",
            "side": "left",
            "kind": "ulcer",
            "consistency": ["indurated"],
        },
        set(),
    ),
    (
        "leuko plakia on the left buccal mucosa",
        {"region": "buccal mucosa", "side": "left", "kind": "leukoplakia"},
        set(),
    ),
    (
        "papule left lower gin giver",
        {"region": "gingiva", "subsite": "mandibular", "side": "left", "kind": "papule"},
        {"region"},
    ),
    (
        "erythro plakia left soft pallet",
        {"region": "soft palate", "side": "left", "kind": "erythroplakia"},
        {"region"},
    ),
    (
        "four dice granules left buccal mucosa",
        {"region": "buccal mucosa", "side": "left", "normal_variant": "Fordyce granules"},
        set(),
    ),
    (
        "non tinder ulcer left lateral tongue",
        {
            "region": "tongue",
            "subsite": "lateral border",
            "side": "left",
            "kind": "ulcer",
            "tender": False,
        },
        set(),
    ),
    (
        "left jugular digastric node ten millimetres",
        {
            "region": "lymph nodes",
            "subsite": "jugulodigastric",
            "side": "left",
            "kind": "lymph node",
            "size_mm": [10.0],
        },
        {"region", "subsite"},
    ),
]


@pytest.mark.parametrize(("text", "fields", "asked"), MISHEARD)
def test_misheard_terms_are_repaired_and_places_asked_about(
    text: str, fields: dict[str, Any], asked: set[str]
) -> None:
    reading = read(text)
    assert found(reading) == [fields]
    assert {name for name in doubted(reading)[0] if name != "kind"} == asked, whys(reading)


@pytest.mark.parametrize(
    "text",
    [
        "ulcer on the lift lateral tongue",
        "ulcer on the write lateral tongue",
        "ulcer on the light lateral tongue",
        "ulcer on the bright lateral tongue",
        "ulcer on the lest lateral tongue",
    ],
)
def test_a_word_like_a_side_is_no_side(text: str) -> None:
    reading = read(text)
    (finding,) = found(reading)
    assert "side" not in finding
    assert "side" in doubted(reading)[0]


@pytest.mark.parametrize(
    ("text", "never"),
    [
        ("ulcer left lateral tongue fiften millimetres", [50.0]),
        ("ulcer left lateral tongue fiftey millimetres", [15.0]),
        ("ulcer left lateral tongue sicks millimetres", [60.0]),
    ],
)
def test_a_word_like_a_number_is_no_number(text: str, never: list[float]) -> None:
    reading = read(text)
    (finding,) = found(reading)
    assert finding.get("size_mm") != never
    assert "size_mm" in doubted(reading)[0]


@pytest.mark.parametrize(
    ("text", "field", "value"),
    [
        ("papule left buccal mucosa", "kind", "papule"),
        ("macule left buccal mucosa", "kind", "macule"),
        ("vesicle left buccal sulcus", "kind", "vesicle"),
        ("node left neck", "kind", "lymph node"),
        ("nodule left neck", "kind", "nodule"),
        ("ulcer left labial gingiva", "subsite", "labial"),
        ("ulcer left lingual gingiva", "subsite", "lingual"),
        ("ulcer left buccal gingiva", "subsite", "buccal"),
        ("ulcer left ventral tongue", "subsite", "ventral surface"),
        ("ulcer left dorsal tongue", "subsite", "dorsum"),
        ("sessile papule left buccal mucosa", "attachment", "sessile"),
        ("ulcer left palatal gingiva", "subsite", "palatal"),
    ],
)
def test_confusable_terms_are_told_apart(text: str, field: str, value: str) -> None:
    (finding,) = found(read(text))
    assert finding[field] == value


def test_a_weak_word_beside_a_place_may_have_named_a_part_of_it() -> None:
    """ "Upper right gingiva" was heard as "at the right gingiva"."""
    utterance = heard("at the right gingiva swelling", weak={"the": 0.5})
    assert "subsite" in doubts(utterance)
    assert doubts(heard("at the right gingiva swelling")) == set()


def test_an_utterance_heard_badly_as_a_whole_is_asked_about_field_by_field() -> None:
    utterance = heard(SAID, confidence=0.5)
    assert {"region", "subsite", "side", "size_mm"} <= doubts(utterance)


def test_a_reading_that_only_leaves_off_the_end_is_no_witness() -> None:
    assert doubts(heard(SAID, "white plaque on the left buccal mucosa")) == set()


@pytest.mark.parametrize(
    ("word", "field", "offered"),
    [("fifteen", "size_mm", [50.0]), ("buccal", "region", "labial mucosa")],
)
def test_the_value_that_a_sound_alike_would_give_is_offered(
    word: str, field: str, offered: Any
) -> None:
    (command,) = MATCHER.read(heard(SAID, weak={word: 0.7}), Context()).commands
    assert isinstance(command, AddFinding)
    assert any(each.field == field and each.value == offered for each in command.alternatives)


def test_a_size_heard_only_without_the_vocabulary_is_asked_about() -> None:
    said = "ulcer on the right lateral tongue"
    assert "size_mm" in doubts(heard(said, free="Also on the right-level tongue eight millimeters"))
    assert doubts(heard(said, free="Also on the right-level tongue")) == set()


@pytest.mark.parametrize(
    "utterance",
    [
        heard("buccal mucosa normal", "labial mucosa normal"),
        heard("left buccal mucosa normal", "right buccal mucosa normal"),
        heard("tongue normal", "tongue abnormal"),
        heard("tongue normal", "tongue tender"),
        heard("buccal mucosa normal", weak={"buccal": 0.7}),
        heard("hard palate normal", weak={"hard": 0.7}),
        heard("tongue normal", weak={"tongue": 0.3}),
        heard("tongue normal", confidence=0.5),
        heard("tongue normal", dictation=0.4),
        heard("left buccal mucosa normal", free="right buckle mucosa normal"),
    ],
    ids=lambda each: f"{each.text} / {each.hypotheses[-1].text}",
)
def test_a_statement_about_a_region_that_may_be_misheard_is_asked_about(
    utterance: Utterance,
) -> None:
    (mark,) = MATCHER.read(utterance, Context()).commands
    assert isinstance(mark, MarkRegion)
    assert mark.doubt


def test_a_statement_heard_well_is_not_asked_about() -> None:
    (mark,) = MATCHER.read(heard("tongue normal", "the tongue normal"), Context()).commands
    assert isinstance(mark, MarkRegion)
    assert mark.doubt is None


@pytest.mark.parametrize(
    ("best", "second"),
    [
        ("correct size to fifteen millimetres", "correct size to fifty millimetres"),
        ("change side to left", "change side to right"),
        ("change side to left", "change slide to lift"),
        ("make that right not left", "make that left not right"),
    ],
)
def test_a_correction_that_another_reading_contradicts_is_asked_about(
    best: str, second: str
) -> None:
    (command,) = MATCHER.read(heard(best, second), Context()).commands
    assert isinstance(command, ChangeField)
    assert command.doubt


def test_a_correction_heard_well_is_not_asked_about() -> None:
    (command,) = MATCHER.read(
        heard("change side to left", "change the side to left"), Context()
    ).commands
    assert isinstance(command, ChangeField)
    assert command.doubt is None


AFTER_ULCER = Context(
    region="tongue",
    side="left",
    last=FindingFields(region="tongue", side="left", kind="ulcer"),
)


@pytest.mark.parametrize("said", ["seven years", "twenty years", "firm"])
def test_a_few_words_heard_badly_add_nothing_to_the_lesion_in_hand(said: str) -> None:
    """ "Seventieth" on the telephone is heard as "seven years": it must not be on record."""
    reading = MATCHER.read(heard(said, confidence=0.6), AFTER_ULCER)
    assert reading.kind == "ignored"
    assert "heard well" in reading.why
    assert MATCHER.read(heard(said), AFTER_ULCER).commands
    assert read(said, AFTER_ULCER).commands


@pytest.mark.parametrize("said", ["lips normal", "linea alba bilateral", "hard palate ulcer"])
def test_a_few_words_that_name_something_are_asked_about_as_ever(said: str) -> None:
    assert MATCHER.read(heard(said, confidence=0.6), AFTER_ULCER).kind != "ignored"


def test_a_harmless_command_in_another_hearing_of_nothing_is_obeyed() -> None:
    """The best reading makes no sense; going on or back changes no record, and is shown."""
    (command,) = MATCHER.read(heard("back of region", "back a region"), AFTER_ULCER).commands
    assert isinstance(command, PreviousRegion)


@pytest.mark.parametrize("other", ["undo it", "erase that one", "finished save it"])
def test_what_changes_a_record_is_never_taken_from_another_hearing(other: str) -> None:
    assert MATCHER.read(heard("and do it", other), AFTER_ULCER).kind == "ignored"


def test_talk_is_no_command_in_another_hearing() -> None:
    talk = heard("back of region", "back a region", dictation=0.4)
    assert MATCHER.read(talk, AFTER_ULCER).kind == "ignored"


def test_an_odd_word_far_from_the_place_surely_heard_is_no_part_of_it() -> None:
    said = "ulcer on the left buccal mucosa five millimetres it is worse with toothpaste"
    assert (
        doubts(heard(said, free="Ulcer on the left buckle mucosa, it's worse with toothpaste"))
        == set()
    )
    assert doubts(heard(said, free="Ulcer on the left buckle mucosa, it's worse")) == {"subsite"}
    weak = heard(said, free="it's worse with toothpaste", weak={"toothpaste": 0.8})
    assert doubts(weak) == {"subsite"}


def test_a_place_in_both_hearings_is_not_asked_about_again() -> None:
    """With the tongue in hand "dorsum" is a part of it, however it was heard."""
    tongue = Context(region="tongue", gone_to=True)
    for free, expected in (
        ("White plaque on the dorsum.", set[str]()),
        ("White plaque on the gum.", {"region"}),
    ):
        reading = MATCHER.read(heard("white plaque on the dorsum", free=free), tongue)
        (fields,) = doubted(reading)
        assert fields & {"region"} == expected
