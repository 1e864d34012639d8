"""Utterances that word order is learned from.

Outside reference: the development sentences, written by other hands, which are not among them.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest

from dictate.bench.sentences import load_sentences
from dictate.bench.words import plain
from dictate.errors import VocabularyError
from dictate.speech.packaged.corpus import from_tagged
from dictate.speech.packaged.language import vocabulary
from dictate.speech.packaged.ngram import NGram
from dictate.vocabulary.loader import load
from dictate.vocabulary.sentences import Tagged, sentences
from dictate.vocabulary.utterances import FILE, utterances

SPOKEN = Path(__file__).parents[1] / "recordings_synthetic"


def dictated(split: str) -> list[tuple[str, ...]]:
    """The words of every sentence of the split that is dictation."""
    spelling = load().spelling
    kept = load_sentences(SPOKEN / f"{split}_sentences.toml")
    return [tuple(plain(each.say, spelling).split()) for each in kept if each.kind != "offtalk"]


@pytest.mark.parametrize("split", ["dev", "eval"])
def test_no_sentence_that_hearing_is_measured_by_is_among_them(split: str) -> None:
    assert not set(utterances()) & set(dictated(split))


def test_no_known_mishearing_is_among_them() -> None:
    """Its words may be ("call it" for "vessel call"), but not as they are misheard."""
    phrases = load().phrases
    meant = {phrase.words for phrase in phrases if not phrase.misheard}
    only = {(word,) for words in meant for word in words}
    misheard = {phrase.words for phrase in phrases if phrase.misheard} - meant - only
    runs = {
        each[start : start + size]
        for each in utterances()
        for size in {len(words) for words in misheard}
        for start in range(len(each) - size + 1)
    }
    assert not misheard & runs


def test_they_lessen_the_surprise_of_sentences_by_other_hands() -> None:
    lexicon = load()
    generated, held_out = list(sentences(lexicon, 1, 1500)), dictated("dev")
    alone = surprise(generated, (), held_out)
    assert surprise(generated, utterances(), held_out) < 0.7 * alone


def surprise(
    generated: Sequence[Tagged], said: Sequence[Sequence[str]], texts: Sequence[Sequence[str]]
) -> float:
    """Perplexity of the texts."""
    lexicon = load()
    learnt = from_tagged(generated, lexicon, said)
    words = vocabulary(lexicon, learnt.sentences)
    model = NGram.counted(words, learnt.sentences, {}, learnt.classes)
    number = {word: index for index, word in enumerate(words)}
    logs: list[float] = []
    for text in texts:
        history = model.start
        for word in filter(number.__contains__, text):
            logs.append(float(model.row(history)[0][number[word]]))
            history = model.after(history, number[word])
    return float(np.exp(-np.mean(logs)))


@pytest.mark.parametrize("line", ["Left tongue", "12 mm", "two  spaces", "comma, here"])
def test_a_line_that_is_not_plain_words_is_named(tmp_path: Path, line: str) -> None:
    (tmp_path / FILE).write_text(f'said = """\nleft tongue\n{line}\n"""\n')
    with pytest.raises(VocabularyError, match="lower-case"):
        utterances(tmp_path)


@pytest.mark.parametrize("text", ["", "said = 3", 'said = ""\nmore = 1'])
def test_a_file_of_another_shape_is_refused(tmp_path: Path, text: str) -> None:
    (tmp_path / FILE).write_text(text)
    with pytest.raises(VocabularyError, match=FILE):
        utterances(tmp_path)
