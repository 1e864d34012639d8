"""Patterns of spoken commands: what they stand for, and what is wrong in them."""

from __future__ import annotations

from pathlib import Path
from typing import get_args

import pytest

from dictate.errors import VocabularyError
from dictate.vocabulary.loader import load
from dictate.vocabulary.patterns import Kept, command_patterns
from dictate.vocabulary.templates import expanded


def test_a_pattern_stands_for_each_way_to_say_it() -> None:
    assert set(expanded("(undo|take back) [the last] (one|entry)")) == {
        tuple(text.split())
        for text in (
            *("undo one", "undo entry", "undo the last one", "undo the last entry"),
            *("take back one", "take back entry"),
            *("take back the last one", "take back the last entry"),
        )
    }


@pytest.mark.parametrize("pattern", ["(undo|redo", "undo {number:1-9}", "undo, that", "undo 2"])
def test_what_is_no_pattern_is_refused(pattern: str) -> None:
    with pytest.raises(ValueError, match=r".+"):
        expanded(pattern)


def test_the_words_of_one_command_mean_no_other() -> None:
    lexicon = load()
    for kept in get_args(Kept):
        meant: dict[tuple[str, ...], str] = {}
        for words, value in command_patterns(lexicon, kept):
            assert meant.setdefault(words, value) == value


def test_a_clinic_is_told_which_pattern_is_wrong(tmp_path: Path) -> None:
    clinic = tmp_path / "clinic.toml"
    clinic.write_text(
        "[[commands]]\nvalue = 'undo'\nsay = ['rub it out']\npatterns = ['rub (it|that']\n"
    )
    with pytest.raises(VocabularyError, match=r"clinic.*undo.*rub"):
        load(extra=(clinic,))
