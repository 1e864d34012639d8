"""Folding of case, punctuation, contractions and spelling."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dictate.vocabulary.loader import load
from dictate.vocabulary.normalise import normalise

SPELLING = load().spelling


def fold(text: str) -> str:
    return " ".join(normalise(text, SPELLING))


@pytest.mark.parametrize(
    ("text", "folded"),
    [
        ("Gray, well-defined tumor.", "grey well defined tumour"),
        ("It doesn't wipe off!", "it does not wipe off"),
        ("It doesn\u2019t wipe off", "it does not wipe off"),
        ("1.5 cm", "1.5 cm"),
        ("the patient's left", "the patients left"),
        ("10x6 mm", "10x6 mm"),
        ("non-tender", "non tender"),
        ("  a   b ", "a b"),
        ("", ""),
        ("--", ""),
        ("LEUCOPLAKIA; hematoma", "leukoplakia haematoma"),
        ("can't", "cannot"),
    ],
)
def test_folding(text: str, folded: str) -> None:
    assert fold(text) == folded


@given(st.text(max_size=60))
@settings(max_examples=150)
def test_folding_twice_changes_nothing_more(text: str) -> None:
    once = fold(text)
    assert fold(once) == once


def test_american_words_fold_to_words_that_stay() -> None:
    for british in SPELLING.american.values():
        assert SPELLING.fold(british) == british


def test_every_folded_spelling_serves_a_phrase() -> None:
    words = load().words()
    for american, british in SPELLING.american.items():
        assert british in words, f"{american} = {british} serves nothing"
