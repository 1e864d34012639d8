"""Generated dictation: lawful, varied, repeatable, and covering the vocabulary."""

from __future__ import annotations

import shutil
from collections import Counter
from pathlib import Path

import pytest
from num2words import num2words

from dictate.errors import VocabularyError
from dictate.vocabulary.grammar import load_grammar
from dictate.vocabulary.loader import default_folder, load
from dictate.vocabulary.schema import Slot
from dictate.vocabulary.sentences import NUMBER, WORD, Tagged, sentences, speakable_words
from dictate.vocabulary.templates import Either, Hole, Pause, Word, parse_template

LEXICON = load()
GRAMMAR = load_grammar()


@pytest.fixture(scope="module")
def many() -> list[Tagged]:
    return list(sentences(LEXICON, seed=7, count=9000))


def test_the_same_seed_gives_the_same_sentences() -> None:
    first = [each.text for each in sentences(LEXICON, 11, 40)]
    assert first == [each.text for each in sentences(LEXICON, 11, 40)]
    assert first != [each.text for each in sentences(LEXICON, 12, 40)]


def test_one_label_a_word(many: list[Tagged]) -> None:
    slots = {slot.value for slot in Slot}
    for sentence in many:
        assert sentence.words
        assert len(sentence.words) == len(sentence.labels)
        assert set(sentence.labels) <= slots | {NUMBER, WORD}


def test_words_are_spoken_words(many: list[Tagged]) -> None:
    allowed = speakable_words(LEXICON)
    for sentence in many:
        for word in sentence.words:
            assert word.isalpha()
            assert word.islower()
            assert word in allowed, (word, sentence.text)
        assert not GRAMMAR.typed_words & set(sentence.words)


def test_text_holds_the_words_and_pauses(many: list[Tagged]) -> None:
    for sentence in many:
        assert sentence.text.replace(",", "").split() == list(sentence.words)
        assert not sentence.text.startswith(",")
    assert any("," in sentence.text for sentence in many)


def test_sentences_are_many_and_differ(many: list[Tagged]) -> None:
    assert len({sentence.text for sentence in many}) > 0.7 * len(many)
    assert len({sentence.category for sentence in many}) == len(GRAMMAR.mix.items)


def test_there_are_enough_templates() -> None:
    assert sum(len(choice.items) for choice in GRAMMAR.templates.values()) >= 60
    assert len(GRAMMAR.templates["finding"].items) >= 60


def test_findings_name_a_place_and_mostly_a_lesion(many: list[Tagged]) -> None:
    findings = [each for each in many if each.category == "finding"]
    placed = [each for each in findings if {"region", "subsite"} & set(each.labels)]
    named = [each for each in findings if "kind" in each.labels]
    assert len(placed) > 0.9 * len(findings)
    assert len(named) > 0.9 * len(findings)


def test_parts_hold_phrases_of_the_vocabulary(many: list[Tagged]) -> None:
    known = {(phrase.slot.value, phrase.words, phrase.value) for phrase in LEXICON.phrases}
    for sentence in many:
        for part in sentence.parts:
            if part.label not in (WORD, NUMBER):
                words = tuple(LEXICON.spelling.fold(word) for word in part.words)
                assert (part.label, words, part.value) in known, part


def test_both_spellings_are_used(many: list[Tagged]) -> None:
    seen = Counter(word for sentence in many for word in sentence.words)
    for british, american in (("millimetres", "millimeters"), ("colour", "color")):
        assert seen[british] > 0
        assert seen[american] > 0


def test_every_kind_colour_side_and_region_is_spoken(many: list[Tagged]) -> None:
    spoken = {(part.label, part.value) for sentence in many for part in sentence.parts}
    for slot in (Slot.COLOUR, Slot.SIDE, Slot.TENDER, Slot.MOBILITY, Slot.NORMAL_VARIANT):
        for term in LEXICON.terms[slot]:
            assert (slot.value, term.value) in spoken, (slot, term.value)
    for slot in (Slot.KIND, Slot.SURFACE, Slot.CONSISTENCY, Slot.BORDER, Slot.CHANGE):
        missed = [t for t in LEXICON.terms[slot] if (slot.value, t.value) not in spoken]
        assert len(missed) <= len(LEXICON.terms[slot]) / 10, (slot, missed)
    for region in LEXICON.regions:
        assert (Slot.REGION.value, region.value) in spoken, region.value
    for command in LEXICON.commands:
        assert (Slot.COMMAND.value, command.value) in spoken, command.value


@pytest.mark.parametrize("number", range(100))
def test_numbers_are_spelt_as_the_reference_library_spells_them(number: int) -> None:
    assert " ".join(GRAMMAR.number(number)) == num2words(number).replace("-", " ")


def test_sizes_reach_sixty_and_have_decimals(many: list[Tagged]) -> None:
    texts = " | ".join(sentence.text for sentence in many)
    for tens in ("twenty", "thirty", "forty", "fifty", "sixty"):
        assert tens in texts
    assert "point five" in texts
    assert "half a centimet" in texts
    assert " by " in texts


def test_an_follows_the_vowel(many: list[Tagged]) -> None:
    for sentence in many:
        pairs = list(zip(sentence.words, sentence.words[1:], strict=False))
        assert ("a", "ulcer") not in pairs
        assert ("an", "white") not in pairs


def test_a_clinics_own_terms_are_spoken_too(tmp_path: Path) -> None:
    path = tmp_path / "clinic.toml"
    path.write_text("[[kinds]]\nvalue = 'wen'\nsay = ['wen']\n", "utf-8")
    lexicon = load([path])
    assert "wen" in speakable_words(lexicon)
    assert any("wen" in each.words for each in sentences(lexicon, 1, 4000))


def test_a_template_is_read_into_nodes() -> None:
    nodes = parse_template("{site}, (on|at) [the] {number:2-12}")
    assert nodes == (
        Hole("site"),
        Pause(),
        Either(((Word("on"),), (Word("at"),))),
        Either(((), (Word("the"),))),
        Hole("number", "2-12"),
    )


def altered(tmp_path: Path, old: str, new: str) -> Path:
    folder = tmp_path / "vocab"
    shutil.copytree(default_folder(), folder)
    path = folder / "sentences.toml"
    text = path.read_text("utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), "utf-8")
    return folder


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ('"{thing} {on_site}" = 4', '"{thing {on_site}" = 4', "unexpected '{'"),
        ('"{thing} {on_site}" = 4', '"{thing} [on" = 4', "']' is missing"),
        ('"{thing} {on_site}" = 4', '"{thing} on)" = 4', "unexpected ')'"),
        ('"{thing} {on_site}" = 4', '"Thing 4" = 4', "unexpected 'T'"),
        ('"{thing} {on_site}" = 4', '"" = 4', "it is empty"),
        ('"{thing} {on_site}" = 4', '"{thing}" = "often"', "the weight must be a number above 0"),
        ('"{thing} {on_site}" = 4', '"{thing}" = 0', "the weight must be a number above 0"),
        ("[mix]\n", "[mix]\nsong = 3\n", "mix 'song': there are no such templates"),
        ("[mix]\n", "[misc]\na = 1\n[mix]\n", "unknown table 'misc'"),
        ("[numbers]\n", "[numbers]\nelevens = 1\n[weights.x]\n", "missing or misshapen"),
        ("[mix]\n", "[mix\n", "not valid TOML"),
    ],
)
def test_a_wrong_grammar_is_refused_with_a_line(
    tmp_path: Path, old: str, new: str, expected: str
) -> None:
    with pytest.raises(VocabularyError) as caught:
        load_grammar(altered(tmp_path, old, new))
    message = str(caught.value)
    assert message.startswith("sentences.toml")
    assert expected in message
    assert "\n" not in message


def test_an_unknown_name_in_a_template_is_refused(tmp_path: Path) -> None:
    folder = altered(tmp_path, '"{thing} {on_site}" = 4', '"{thingy} {on_site}" = 4')
    with pytest.raises(VocabularyError, match="no rule, group or class is called 'thingy'"):
        sentences(LEXICON, 1, 1, load_grammar(folder))


def test_a_group_may_hold_only_phrases_of_the_vocabulary(tmp_path: Path) -> None:
    folder = altered(tmp_path, 'side_word = ["left"', 'side_word = ["leftish"')
    with pytest.raises(VocabularyError, match=r"groups\.side_word 'leftish': no phrase"):
        sentences(LEXICON, 1, 1, load_grammar(folder))
