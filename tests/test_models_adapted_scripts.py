"""The scripts that adapt the speech model: text, tokens, and help for Vosk models."""

from __future__ import annotations

import sys
from itertools import islice
from pathlib import Path
from random import Random

import pytest

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT / "models"))

from adapt import terms  # noqa: E402
from adapt.general import usable  # noqa: E402
from adapt.numbers import in_words, size  # noqa: E402
from adapt.text import dictations, label, plain, unseen  # noqa: E402
from adapt.tokens import Tokeniser  # noqa: E402
from adapt.vosk_lexicon import SoundAlikes, as_toml, extended, overlay  # noqa: E402

VOCABULARY = ROOT / "vocab"
LEXICON = frozenset(
    [
        "the",
        "a",
        "i",
        "o",
        "white",
        "red",
        "hard",
        "area",
        "luke",
        "plaque",
        "lesion",
        "patch",
        "jaw",
        "ear",
        "earth",
        "replay",
        "kia",
        "play",
        "see",
        "you",
        "in",
        "doctor",
        "candy",
        "die",
        "a",
        "sis",
        "as",
        "is",
        "ulcer",
        "pap",
        "yule",
        "on",
        "lip",
        "ring",
        "numb",
        "pain",
    ]
)


def _tokeniser() -> Tokeniser:
    moonshine = pytest.importorskip("moonshine_voice")
    return Tokeniser(Path(moonshine.__file__).parent / "assets" / "tiny-en" / "tokenizer.bin")


def test_tokens_follow_byte_pair_merges_of_the_published_model() -> None:
    # Ids of this sentence as the model itself writes it (greedy output on synthetic speech).
    tokeniser = _tokeniser()
    ids = tokeniser.encode("Ten by six millimeters.")
    assert ids == [1, 12444, 491, 4832, 3533, 326, 2699, 29889, 2]
    assert tokeniser.decode(ids) == "Ten by six millimeters."


def test_every_training_sentence_can_be_written_in_tokens() -> None:
    tokeniser = _tokeniser()
    rows = list(islice(dictations(VOCABULARY, Random(3), ()), 300))
    for row in rows:
        ids = tokeniser.encode(row["text"])
        assert ids is not None
        assert tokeniser.decode(ids) == row["text"]


def test_every_kind_of_the_vocabulary_is_dictated() -> None:
    known = terms.load(VOCABULARY)
    said = " ".join(
        row["text"].lower() for row in islice(dictations(VOCABULARY, Random(4), ()), 9000)
    )
    wanted = {label(form, known.american).lower().rstrip(".") for form in known.forms["kinds"]}
    heard = {form for form in wanted if form in said}
    assert len(heard) >= 0.97 * len(wanted)


def test_labels_are_american_and_end_with_a_stop() -> None:
    american = terms.load(VOCABULARY).american
    written = label("grey, non-tender tumour of ten millimetres", american)
    assert written == "Gray non tender tumor of ten millimeters."


def test_excluded_sentences_stay_out_however_they_are_written() -> None:
    rows = [{"text": "Left buccal mucosa."}, {"text": "Right lip."}, {"text": "Right lip."}]
    kept = list(unseen(rows, {plain("left Buccal mucosa")}))
    assert [row["text"] for row in kept] == ["Right lip."]


@pytest.mark.parametrize(
    ("value", "words"), [(0, "zero"), (15, "fifteen"), (50, "fifty"), (99, "ninety nine")]
)
def test_numbers_agree_with_num2words(value: int, words: str) -> None:
    num2words = pytest.importorskip("num2words").num2words
    assert in_words(value) == num2words(value).replace("-", " ") == words


def test_sizes_name_their_unit() -> None:
    rng = Random(1)
    assert all(
        size(rng).endswith(("metres", "metre", "mils", "mil", "inches", "inch")) for _ in range(300)
    )


def test_general_sentences_hold_plain_words_alone() -> None:
    assert usable("he was  a man of  letters") == "He was a man of letters."
    assert usable("see figure 12 for details") is None
    assert usable("Too short") is None


def test_sound_alikes_are_words_of_the_lexicon() -> None:
    alikes = SoundAlikes(LEXICON)
    row = alikes.of("leukoplakia")
    assert row is not None
    assert LEXICON.issuperset(row)
    assert alikes.of("zzyzx") is None


def test_the_matcher_reads_a_sound_alike_as_the_word_meant(tmp_path: Path) -> None:
    from dictate.vocabulary.loader import load
    from dictate.vocabulary.schema import Slot

    found = overlay(VOCABULARY, LEXICON)
    heard = found["kinds"]["leukoplakia"]
    path = tmp_path / "sounds.toml"
    path.write_text(as_toml(found), encoding="utf-8")
    lexicon = load(extra=[path])
    phrases = {phrase.text: phrase for phrase in lexicon.phrases if phrase.slot is Slot.KIND}
    for form in heard:
        assert phrases[form].value == "leukoplakia"
        assert phrases[form].misheard, "a sound-alike must be marked as what was not said"


def test_a_respelling_for_two_values_is_left_out() -> None:
    heard = [
        form
        for values in overlay(VOCABULARY, LEXICON).values()
        for v in values.values()
        for form in v
    ]
    assert len(heard) == len(set(heard))


def test_an_extended_dictionary_keeps_its_lines_and_adds_phones() -> None:
    lines = ["luke L UW1 K", "o OW1", "plaque P L AE1 K", "ia IY1 AH0", "white W AY1 T"]
    out = extended(lines, ["leukoplakia", "white"])
    assert set(lines) <= set(out)
    added = [line for line in out if line.startswith("leukoplakia ")]
    assert len(added) == 1
    assert added[0].split()[1] == "L"
