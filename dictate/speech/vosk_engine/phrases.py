"""The phrases that hold a Vosk model to the vocabulary.

Vosk makes a bigram language model of its "grammar", so what counts is which word follows
which: whole sentences teach that, single phrases alone would not.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence

from dictate.vocabulary.schema import Lexicon
from dictate.vocabulary.sentences import sentences, speakable_words

UNKNOWN = "[unk]"
"""The model's word for speech outside the grammar; not every model has it."""
_SENTENCES = 4000
_SEED = 20
_WORD = re.compile(r"[^\W\d_]+(?:['’-][^\W\d_]+)*")


def spoken_phrases(lexicon: Lexicon) -> list[tuple[str, ...]]:
    """Sentences of dictation, and each phrase and word of the vocabulary by itself."""
    phrases = [phrase.words for phrase in lexicon.phrases if not phrase.misheard]
    said = [each.words for each in sentences(lexicon, _SEED, _SENTENCES)]
    words = [(word,) for word in sorted(speakable_words(lexicon))]
    return [*said, *phrases, *words]


def grammar(
    phrases: Iterable[Sequence[str]], knows: Callable[[str], bool]
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """(phrases made of words the model knows, words it does not know).

    A phrase is cut where a word is unknown: were the word just left out, its neighbours
    would be taught to follow each other. Only plain words pass, since the model's own
    marks ("<eps>", "#0") would end the process.
    """
    said = [tuple(word.casefold() for word in phrase) for phrase in phrases]
    words = dict.fromkeys(word for phrase in said for word in phrase)
    known = {word for word in words if _WORD.fullmatch(word) and knows(word)}
    kept = dict.fromkeys(run for phrase in said for run in _runs(phrase, known))
    return tuple(kept), tuple(word for word in words if word not in known)


def _runs(phrase: Sequence[str], known: set[str]) -> Iterator[str]:
    run: list[str] = []
    for word in phrase:
        if word in known:
            run.append(word)
        elif run:
            yield " ".join(run)
            run = []
    if run:
        yield " ".join(run)
