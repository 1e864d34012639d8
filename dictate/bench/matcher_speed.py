"""How long the matcher takes for an utterance, and how that grows with the vocabulary."""

from __future__ import annotations

import random
import time
from collections.abc import Sequence

from dictate.bench.figures import Figures
from dictate.bench.sentences import Sentence
from dictate.bench.words import plain
from dictate.matching.matcher import Matcher
from dictate.speech.heard import typed
from dictate.vocabulary.schema import Lexicon, Phrase, Slot

SIZES = (2_000, 5_000, 10_000, 20_000)
_ONSETS = (
    "b",
    "br",
    "cl",
    "d",
    "dr",
    "fl",
    "g",
    "h",
    "k",
    "l",
    "m",
    "n",
    "p",
    "r",
    "st",
    "tr",
    "v",
)
_VOWELS = ("a", "e", "i", "o", "u", "ai", "ea", "io", "ou")
_CODAS = ("l", "m", "n", "r", "s", "x", "nd", "rm", "st", "sis", "toma", "ria", "nt")


def measure(lexicon: Lexicon, sentences: Sequence[Sentence]) -> dict[str, Figures]:
    """Milliseconds an utterance at each vocabulary size: mean and slowest of the sentences."""
    result = {"own": _time(lexicon, sentences)}
    for size in SIZES:
        if size >= len(lexicon.phrases):
            result[str(size)] = _time(grown(lexicon, size), sentences)
    return result


def grown(lexicon: Lexicon, size: int) -> Lexicon:
    """The lexicon with invented lesion names added, until it has `size` phrases."""
    rng = random.Random(11)
    known = {phrase.words for phrase in lexicon.phrases}
    more: list[Phrase] = []
    while len(lexicon.phrases) + len(more) < size:
        words = tuple(_invented(rng) for _ in range(rng.choice((1, 1, 2, 3))))
        if words not in known:
            known.add(words)
            more.append(Phrase(words=words, slot=Slot.KIND, value=" ".join(words)))
    return lexicon.model_copy(update={"phrases": (*lexicon.phrases, *more)})


def _time(lexicon: Lexicon, sentences: Sequence[Sentence]) -> Figures:
    matcher = Matcher(lexicon)
    said = [(typed(plain(each.say, lexicon.spelling)), each.where.context()) for each in sentences]
    for utterance, context in said[:5]:
        matcher.read(utterance, context)
    spent = []
    for utterance, context in said:
        began = time.perf_counter()
        matcher.read(utterance, context)
        spent.append(1000 * (time.perf_counter() - began))
    return {
        "phrases": len(lexicon.phrases),
        "ms_mean": round(sum(spent) / len(spent), 2),
        "ms_slowest": round(max(spent), 2),
    }


def _invented(rng: random.Random) -> str:
    syllables = "".join(rng.choice(_ONSETS) + rng.choice(_VOWELS) for _ in range(rng.randint(1, 3)))
    return syllables + rng.choice(_CODAS)
