"""How alike misheard words are to a phrase, by spelling and by sound together.

Spaces are taken out first: engines split rare words ("leuko plakia"). Spelling and the
Double Metaphone key count half each; on misheard clinical phrases that average kept further
from everyday talk than either alone.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from metaphone import doublemetaphone
from rapidfuzz.distance import Indel

from dictate.matching.thresholds import ASK, FUZZY_LETTERS
from dictate.vocabulary.schema import EXACT_SLOTS, Phrase, Slot

_NEVER = EXACT_SLOTS | {
    Slot.COMMAND,
    Slot.NORMAL,
    Slot.NOT_EXAMINED,
    Slot.FILLER,
    Slot.CARRY,
    Slot.DISTRIBUTION,
    Slot.TENDER,
    Slot.WIPES_OFF,
    Slot.NOTE,
}
"""Slots where a near miss would turn the meaning round or invent a statement."""
_CACHE = 4096
_LEAST_SHARED = 0.34


@dataclass(frozen=True, slots=True)
class Likely:
    """A phrase that heard words may stand for."""

    phrase: Phrase
    score: float
    """0 to 100."""
    runner_up: Phrase | None
    """The next best phrase of the same slot with another meaning."""
    margin: float
    """Lead over the runner-up."""


@lru_cache(maxsize=_CACHE)
def sound_key(text: str) -> str:
    """The Double Metaphone key of a text without spaces."""
    return str(doublemetaphone(text)[0])


def likeness(heard: str, heard_sound: str, said: str, said_sound: str) -> float:
    """0 to 100 for two texts without spaces and their sound keys."""
    spelling = Indel.normalized_similarity(heard, said)
    sound = Indel.normalized_similarity(heard_sound, said_sound)
    return 50.0 * (spelling + sound)


class Likenesses:
    """The phrases that may be matched by likeness, indexed by pairs of letters."""

    def __init__(self, phrases: Sequence[Phrase]) -> None:
        self._entries: list[tuple[Phrase, str, str]] = []
        self._by_pair: dict[str, list[int]] = defaultdict(list)
        for phrase in phrases:
            if phrase.exact or phrase.slot in _NEVER:
                continue
            letters = "".join(phrase.words)
            if len(letters) >= FUZZY_LETTERS:
                self._add(phrase, letters)
        self._known: dict[str, tuple[Likely, ...]] = {}

    def __len__(self) -> int:
        return len(self._entries)

    def _add(self, phrase: Phrase, letters: str) -> None:
        entry = len(self._entries)
        self._entries.append((phrase, letters, sound_key(letters)))
        for pair in _pairs(letters, sound_key(letters)):
            self._by_pair[pair].append(entry)

    def best(self, words: Sequence[str]) -> tuple[Likely, ...]:
        """The likeliest phrase of each slot at or above the asking threshold, best first."""
        letters = "".join(words)
        if len(letters) < FUZZY_LETTERS:
            return ()
        known = self._known.get(letters)
        if known is None:
            if len(self._known) >= _CACHE:
                self._known.clear()
            known = self._known[letters] = self._search(letters)
        return known

    def _search(self, letters: str) -> tuple[Likely, ...]:
        sound = sound_key(letters)
        by_slot: dict[Slot, list[tuple[float, int]]] = defaultdict(list)
        for entry in self._candidates(letters, sound):
            phrase, other, other_sound = self._entries[entry]
            score = likeness(letters, sound, other, other_sound)
            if score >= ASK - 12:
                by_slot[phrase.slot].append((score, entry))
        found = (self._lead(scored) for scored in by_slot.values())
        kept = (each for each in found if each.score >= ASK)
        return tuple(sorted(kept, key=lambda each: -each.score))

    def _candidates(self, letters: str, sound: str) -> list[int]:
        """Entries that share enough pairs to be worth scoring."""
        pairs = _pairs(letters, sound)
        shared: dict[int, int] = defaultdict(int)
        for pair in pairs:
            for entry in self._by_pair.get(pair, ()):
                shared[entry] += 1
        least = max(1, int(_LEAST_SHARED * len(pairs)))
        return [entry for entry, count in shared.items() if count >= least]

    def _lead(self, scored: list[tuple[float, int]]) -> Likely:
        scored.sort(key=lambda pair: -pair[0])
        score, best = scored[0]
        phrase = self._entries[best][0]
        for other_score, entry in scored[1:]:
            other = self._entries[entry][0]
            if (other.value, other.fills) != (phrase.value, phrase.fills):
                return Likely(phrase, score, other, score - other_score)
        return Likely(phrase, score, None, score)


def _pairs(letters: str, sound: str) -> frozenset[str]:
    """Pairs of neighbouring letters, of the spelling and (in capitals) of the sound."""
    spelt = {letters[i : i + 2] for i in range(len(letters) - 1)}
    heard = {sound[i : i + 2] for i in range(len(sound) - 1)}
    return frozenset(spelt | heard)
