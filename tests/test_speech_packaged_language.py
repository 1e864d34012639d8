"""The n-gram, the spellings and what is kept of them behind the packaged engine.

Outside reference: num2words spells the numbers.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from num2words import num2words

from dictate.speech.packaged import corpus as corpus_module
from dictate.speech.packaged.corpus import from_tagged
from dictate.speech.packaged.kept_ngram import kept_ngram
from dictate.speech.packaged.language import build_language, learn, vocabulary
from dictate.speech.packaged.ngram import NGram
from dictate.speech.packaged.outlook import Table
from dictate.speech.packaged.spelling import in_words, spellings, spoken_letters
from dictate.speech.packaged.tokens import Tokenizer
from dictate.vocabulary.loader import load
from dictate.vocabulary.schema import Spelling
from dictate.vocabulary.sentences import sentences

WORDS = ("white", "red", "plaque", "ten", "six", "by", "millimetres", "left", "tongue")
SENTENCES = (
    ("white", "plaque", "left", "tongue", "ten", "by", "six", "millimetres"),
    ("red", "plaque", "ten", "millimetres"),
    ("left", "tongue"),
)
CLASSES = {"ten": "number", "six": "number"}
COARSE = {**CLASSES, "white": "colour", "red": "colour"}


def ngram() -> NGram:
    return NGram.counted(WORDS, SENTENCES, CLASSES, COARSE)


def say(model: NGram, *words: str) -> tuple[int, ...]:
    history = model.start
    for word in words:
        history = model.after(history, WORDS.index(word))
    return history


def chance(model: NGram, word: str, *before: str) -> float:
    return float(np.exp(model.row(say(model, *before))[0][WORDS.index(word)]))


@settings(max_examples=50, deadline=None)
@given(st.lists(st.sampled_from(WORDS), max_size=5))
def test_chances_after_any_words_add_up_to_one(before: list[str]) -> None:
    row, end = ngram().row(say(ngram(), *before))
    assert float(np.exp(row).sum() + np.exp(end)) == pytest.approx(1.0, abs=1e-5)


def test_words_heard_before_are_likelier_than_others() -> None:
    model = ngram()
    assert chance(model, "plaque", "white") > 3 * chance(model, "tongue", "white")
    assert chance(model, "tongue", "left") > 3 * chance(model, "tongue", "ten")
    assert model.row(say(model, "left", "tongue"))[1] > model.row(say(model, "left"))[1]


def test_any_number_stands_where_one_was_heard() -> None:
    model = ngram()
    assert chance(model, "six", "red", "plaque") == pytest.approx(
        chance(model, "ten", "red", "plaque"), rel=0.5
    )
    assert chance(model, "six", "red", "plaque") > 3 * chance(model, "by", "red", "plaque")


def test_a_bigger_corpus_predicts_unseen_dictation_better_than_word_counts_do() -> None:
    """Perplexity of sentences from another seed: word order must be worth a great deal."""
    lexicon = load()
    learnt = from_tagged(sentences(lexicon, 1, 1500), lexicon)
    new = from_tagged(sentences(lexicon, 2, 100), lexicon).sentences[:100]
    words = vocabulary(lexicon, (*learnt.sentences, *new))
    number = {word: index for index, word in enumerate(words)}
    ordered = NGram.counted(words, learnt.sentences, {}, learnt.classes)
    jumbled = NGram.counted(words, [(w,) for s in learnt.sentences for w in s], {}, learnt.classes)
    assert perplexity(ordered, number, new) < 0.3 * perplexity(jumbled, number, new)


def perplexity(model: NGram, number: dict[str, int], texts: tuple[tuple[str, ...], ...]) -> float:
    logs: list[float] = []
    for text in texts:
        history = model.start
        for word in text:
            logs.append(float(model.row(history)[0][number[word]]))
            history = model.after(history, number[word])
    return float(np.exp(-np.mean(logs)))


@settings(max_examples=60, deadline=None)
@given(st.lists(st.floats(-20, 0), min_size=1, max_size=40), st.data())
def test_the_best_of_a_range(values: list[float], data: st.DataObject) -> None:
    table = Table(np.array(values, np.float32), 0.0)
    low = data.draw(st.integers(0, len(values) - 1))
    high = data.draw(st.integers(low + 1, len(values)))
    best = table.best(np.array([low]), np.array([high]))
    assert best[0] == np.float32(max(values[low:high]))


@pytest.mark.parametrize("number", range(200))
def test_numbers_are_spelt_as_num2words_spells_them(number: int) -> None:
    expected = re.sub(r"[-,]", " ", num2words(number)).split()
    assert list(in_words(number)) == expected


def test_what_the_model_writes_is_read_as_the_words_said() -> None:
    words = [*in_words(21), "point", "millimetres", "grey", "does", "not", "five", "fifteen"]
    ways = spellings(
        words, Spelling(american={"gray": "grey"}, contractions={"doesn't": "does not"})
    )
    assert ways["21"] == ("twenty", "one")
    assert ways["21.5"] == ("twenty", "one", "point", "five")
    assert ways["15"] == ("fifteen",)
    assert ways["gray"] == ("grey",)
    assert ways["doesn't"] == ("does", "not")
    assert ways["mm"] == ("millimetres",)
    assert "30" not in ways, "thirty is not in the vocabulary"


def test_letters_are_counted_as_spoken() -> None:
    assert spoken_letters("White plaque, 15 mm.") == len("whiteplaquefifteenmillimetres")
    assert spoken_letters("") == 0


def test_every_word_of_the_lexicon_can_be_heard_but_no_mishearing() -> None:
    lexicon = load()
    words = set(vocabulary(lexicon))
    meant = {w for p in lexicon.phrases if not p.misheard for w in p.words if w.isalpha()}
    only_misheard = {w for p in lexicon.phrases if p.misheard for w in p.words} - meant
    assert meant <= words
    assert not only_misheard & words


def test_the_trie_spells_every_word_with_the_pieces_there_are() -> None:
    lexicon = load()
    learnt = from_tagged(sentences(lexicon, 1, 50), lexicon)
    tokenizer = Tokenizer(tuple("abcdefghijklmnopqrstuvwxyz0123456789.'% "))
    language = build_language(lexicon, learn(lexicon, learnt), tokenizer)
    for word in language.words:
        state = language.trie.start
        for letter in word:
            state = step(language.trie.moves(state), tokenizer.pieces.index(letter))
        entry = language.trie.entry(state)
        assert entry is not None
        assert language.trie.entries[entry] == word


def step(groups: tuple[object, ...], token: int) -> int:
    for moves in groups:
        tokens = moves.tokens.tolist()  # type: ignore[attr-defined]
        if token in tokens:
            return int(moves.states[tokens.index(token)])  # type: ignore[attr-defined]
    raise AssertionError(f"no move by token {token}")


def test_word_order_is_learnt_once_and_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(corpus_module, "COUNT", 30)
    for former in ("word-order-0.npz", "sentences-0.json"):
        (tmp_path / former).write_text("of another vocabulary")
    first = kept_ngram(load(), tmp_path)
    monkeypatch.setattr(corpus_module, "sentences", None)
    again = kept_ngram(load(), tmp_path)
    assert_same(again, first)
    assert len(list(tmp_path.iterdir())) == 1


@settings(max_examples=25, deadline=None)
@given(st.lists(st.sampled_from(WORDS), max_size=5))
def test_what_was_kept_says_the_same(before: list[str]) -> None:
    model = ngram()
    kept = NGram.kept(model.tables())
    (row, end), (kept_row, kept_end) = (m.row(say(m, *before)) for m in (model, kept))
    assert kept.words == model.words
    assert np.array_equal(kept_row, row)
    assert kept_end == end


def assert_same(one: NGram, other: NGram) -> None:
    tables, others = one.tables(), other.tables()
    assert tables.keys() == others.keys()
    assert all(np.array_equal(tables[name], others[name]) for name in tables)


@pytest.mark.parametrize("content", [b"", b"{}", b"PK\x03\x04", b"\x00" * 100, None])
def test_a_damaged_cache_is_made_anew(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, content: bytes | None
) -> None:
    monkeypatch.setattr(corpus_module, "COUNT", 30)
    first = kept_ngram(load(), tmp_path)
    (path,) = tmp_path.iterdir()
    whole = path.read_bytes()
    path.write_bytes(whole[: len(whole) // 2] if content is None else content)
    assert_same(kept_ngram(load(), tmp_path), first)
    assert path.read_bytes() == whole


def test_a_cache_that_lacks_a_table_is_made_anew(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(corpus_module, "COUNT", 30)
    first = kept_ngram(load(), tmp_path)
    (path,) = tmp_path.iterdir()
    np.savez(path, words=first.tables()["words"])
    assert_same(kept_ngram(load(), tmp_path), first)


def test_a_cache_that_cannot_be_written_does_no_harm(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(corpus_module, "COUNT", 30)
    blocked = tmp_path / "file"
    blocked.write_text("in the way")
    assert "plaque" in kept_ngram(load(), blocked / "cache").words


def test_the_cache_is_found_again_by_another_process() -> None:
    code = (
        "from dictate.speech.packaged.kept_ngram import _key\n"
        "from dictate.vocabulary.loader import load\n"
        "print(_key(load()))"
    )
    keys = {
        subprocess.run(
            [sys.executable, "-c", code],
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    }
    assert len(keys) == 1
