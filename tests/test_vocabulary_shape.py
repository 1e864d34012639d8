"""The packaged vocabulary: complete, and compiled the way matching relies on."""

from __future__ import annotations

from pathlib import Path

import pytest

from dictate.vocabulary.loader import default_folder, load
from dictate.vocabulary.schema import EXACT_SLOTS, Phrase, Slot

LEXICON = load()
REGIONS = (
    "face",
    "eyes, ears and nose",
    "temporomandibular joint",
    "parotid gland",
    "submandibular gland",
    "neck",
    "lymph nodes",
    "thyroid gland",
    "larynx",
    "lips",
    "labial mucosa",
    "buccal mucosa",
    "retromolar area",
    "gingiva",
    "alveolar ridge",
    "tongue",
    "floor of mouth",
    "hard palate",
    "soft palate",
    "oropharynx",
)


def phrases(words: str) -> list[Phrase]:
    return [phrase for phrase in LEXICON.phrases if phrase.text == words]


def only(words: str, slot: Slot) -> Phrase:
    found = [phrase for phrase in phrases(words) if phrase.slot is slot]
    assert len(found) == 1, found
    return found[0]


def test_regions_come_in_the_order_of_the_protocol() -> None:
    assert LEXICON.protocol == REGIONS
    assert tuple(region.value for region in LEXICON.regions) == REGIONS


def test_the_default_is_loaded_once() -> None:
    assert load() is LEXICON


def test_the_folder_of_the_source_tree_is_found() -> None:
    assert (default_folder() / "regions.toml").is_file()


def test_the_folder_inside_the_wheel_comes_first(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    packaged = tmp_path / "dictate" / "_vocab"
    packaged.mkdir(parents=True)
    monkeypatch.setattr("dictate.vocabulary.loader._PACKAGE", tmp_path / "dictate")
    assert default_folder() == packaged


@pytest.mark.parametrize("slot", list(Slot))
def test_every_slot_has_phrases(slot: Slot) -> None:
    assert any(phrase.slot is slot for phrase in LEXICON.phrases)


def test_every_region_tells_what_to_do_and_what_is_normal_there() -> None:
    for region in LEXICON.regions:
        assert region.inspect or region.palpate
        assert region.normal
        assert region.source


def test_a_subsite_that_needs_its_region_names_the_regions_that_have_it() -> None:
    lateral = only("lateral border", Slot.SUBSITE)
    assert (lateral.value, lateral.regions, lateral.fills) == ("lateral border", ("tongue",), ())
    sulcus = {phrase.regions for phrase in phrases("upper sulcus")}
    assert sulcus == {("labial mucosa",), ("buccal mucosa",)}


@pytest.mark.parametrize(
    ("words", "region", "subsite"),
    [
        ("lateral tongue", "tongue", "lateral border"),
        ("uvula", "soft palate", "uvula"),
        ("tonsil", "oropharynx", "tonsil"),
        ("tip of the tongue", "tongue", "tip"),
        ("upper lip", "lips", "upper lip"),
        ("inside of the lower lip", "labial mucosa", "lower labial mucosa"),
        ("commissure", "lips", "commissure"),
        ("maxillary tuberosity", "alveolar ridge", "maxillary tuberosity"),
        ("submandibular node", "lymph nodes", "submandibular"),
        ("ventral tongue", "tongue", "ventral surface"),
        ("parotid papilla", "buccal mucosa", None),
    ],
)
def test_words_that_name_region_and_part_at_once(
    words: str, region: str, subsite: str | None
) -> None:
    slot = Slot.SUBSITE if subsite else Slot.NORMAL_VARIANT
    phrase = only(words, slot)
    assert (Slot.REGION, region) in phrase.fills
    if subsite:
        assert phrase.value == subsite
        assert phrase.regions == ()


@pytest.mark.parametrize(
    ("words", "region"),
    [
        ("gums", "gingiva"),
        ("cheek", "buccal mucosa"),
        ("inside of the cheek", "buccal mucosa"),
        ("floor of the mouth", "floor of mouth"),
        ("hard palate", "hard palate"),
        ("throat", "oropharynx"),
        ("jaw joint", "temporomandibular joint"),
        ("voice box", "larynx"),
    ],
)
def test_plain_words_for_regions(words: str, region: str) -> None:
    assert only(words, Slot.REGION).value == region


@pytest.mark.parametrize("words", ["palate", "roof of the mouth", "under the tongue"])
def test_loose_names_are_marked_to_be_asked_about(words: str) -> None:
    assert only(words, Slot.REGION).vague


def test_a_node_named_with_its_place_is_a_lymph_node() -> None:
    fills = dict(only("jugulodigastric node", Slot.SUBSITE).fills)
    assert fills == {Slot.REGION: "lymph nodes", Slot.KIND: "lymph node"}


def test_singular_and_plural() -> None:
    assert not only("ulcer", Slot.KIND).plural
    assert only("ulcers", Slot.KIND).plural
    assert only("petechiae", Slot.KIND).value == "petechia"


@pytest.mark.parametrize("words", ["non tender", "nontender", "not tender", "no tenderness"])
def test_denied_tenderness(words: str) -> None:
    phrase = only(words, Slot.TENDER)
    assert phrase.value is False
    assert phrase.exact


@pytest.mark.parametrize("words", ["does not wipe off", "cannot be wiped off", "will not wipe off"])
def test_denied_wiping_off(words: str) -> None:
    assert only(words, Slot.WIPES_OFF).value is False


def test_opposites() -> None:
    assert only("fixed", Slot.MOBILITY).opposite == "mobile"
    assert only("not fixed", Slot.MOBILITY).value == "mobile"
    assert only("tender", Slot.TENDER).opposite is False
    assert only("indurated", Slot.CONSISTENCY).opposite == "not indurated"


def test_a_symptom_said_to_be_absent() -> None:
    painless = only("painless", Slot.SYMPTOM)
    assert (painless.value, painless.negated) == ("pain", True)
    assert not only("pain", Slot.SYMPTOM).negated


def test_a_variant_fixes_its_place() -> None:
    torus = only("torus palatinus", Slot.NORMAL_VARIANT)
    assert dict(torus.fills) == {Slot.REGION: "hard palate", Slot.SIDE: "midline"}


@pytest.mark.parametrize("word", ["yes", "no"])
def test_a_plain_yes_or_no_is_a_command_in_the_review_only(word: str) -> None:
    assert only(word, Slot.COMMAND).review_only


@pytest.mark.parametrize("words", ["that is correct", "yes correct", "confirm"])
def test_a_full_confirmation_is_a_command_anywhere(words: str) -> None:
    assert not only(words, Slot.COMMAND).review_only


def test_a_mishearing_is_marked() -> None:
    assert only("buckle mucosa", Slot.REGION).misheard
    assert not only("buccal mucosa", Slot.REGION).misheard


def test_slots_where_a_near_miss_hurts_are_exact() -> None:
    for phrase in LEXICON.phrases:
        if phrase.slot in EXACT_SLOTS:
            assert phrase.exact, phrase
    for words in ("upper lip", "ventral surface", "anterior"):
        assert all(phrase.exact for phrase in phrases(words)), words


def test_phrases_hold_words_only() -> None:
    for phrase in LEXICON.phrases:
        assert phrase.words
        assert all(word.isalpha() for word in phrase.words), phrase


def test_words_offer_both_spellings() -> None:
    words = LEXICON.words()
    for british, american in (("grey", "gray"), ("tumour", "tumor"), ("millimetre", "millimeter")):
        assert {british, american} <= words


def test_an_unknown_region_is_a_key_error() -> None:
    assert LEXICON.region("tongue").zone == "intraoral"
    with pytest.raises(KeyError):
        LEXICON.region("elbow")
