"""Beam search held to the vocabulary, guided by the n-gram, with the free reading beside it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from dictate.speech.packaged.expansion import Beam, Candidate, Expansion
from dictate.speech.packaged.free import FreeReading, log_softmax
from dictate.speech.packaged.network import Decoding, Floats
from dictate.speech.packaged.spelling import spoken_letters
from dictate.speech.packaged.tokens import START, Tokenizer
from dictate.speech.packaged.weights import Weights

_N_BEST = 5
_DROPPED = 0.85
"""Share of the free reading's letters below which words must have been dropped."""


@dataclass(frozen=True, slots=True)
class Decoded:
    """What a search found."""

    candidates: tuple[Candidate, ...]
    """Best first, no two of the same words; empty when the search found no whole reading."""
    free: FreeReading


@dataclass(frozen=True, slots=True)
class Glance:
    """What a quick look at unfinished speech found."""

    tokens: list[int]
    words: tuple[str, ...]


class BeamDecoder:
    """Turns encoded sound into readings made of known words."""

    def __init__(self, expansion: Expansion, tokenizer: Tokenizer, weights: Weights) -> None:
        self._expansion = expansion
        self._tokenizer = tokenizer
        self._weights = weights

    def decode(self, sound: Decoding, longest: int) -> Decoded:
        """Readings of at most `longest` tokens. Each step runs all beams and the free reading."""
        free = FreeReading()
        beams = [self._expansion.start()]
        done: list[Candidate] = []
        logits, cache = sound.begin([START])
        for _ in range(longest):
            logs = log_softmax(logits)
            if free.running:
                free.take(logs[-1])
            beams, ended = self._advance(beams, logs)
            done += ended
            if not free.running and self._settled(beams, self._reweighed(done, free)):
                beams = []
            rows = [beam.row for beam in beams]
            tokens = [beam.token for beam in beams]
            if free.running:
                rows.append(len(logs) - 1)
                tokens.append(free.tokens[-1])
            if not rows:
                break
            logits, cache = sound.step(tokens, cache.pick(rows))
            for row, beam in enumerate(beams):
                beam.row = row
        return Decoded(_ranked(self._reweighed(done, free)), free)

    def glance(self, sound: Decoding, guess: list[int], longest: int) -> Glance:
        """A quick reading, one beam wide. `guess`, an earlier one, is checked in one step."""
        logits, cache = sound.begin([START, *guess])
        beam = self._expansion.start()
        tokens: list[int] = []
        for at in range(len(guess) + 1):
            new = self._likeliest(beam, logits[at : at + 1])
            if new is None:
                return Glance(tokens, self._expansion.words_so_far(beam))
            beam = new
            tokens.append(beam.token)
            if tokens != guess[: at + 1]:
                break
        cache = cache.cut(len(tokens))
        while len(tokens) < longest:
            logits, cache = sound.step([beam.token], cache)
            new = self._likeliest(beam, logits)
            if new is None:
                break
            beam = new
            tokens.append(beam.token)
        return Glance(tokens, self._expansion.words_so_far(beam))

    def _likeliest(self, beam: Beam, logits: Floats) -> Beam | None:
        """The best next beam; None when ending here is better."""
        beams, ended = self._advance([beam], log_softmax(logits))
        if not beams or (ended and ended[0].score >= beams[0].score):
            return None
        beams[0].row = 0
        return beams[0]

    def _advance(self, beams: list[Beam], logs: Floats) -> tuple[list[Beam], list[Candidate]]:
        found: dict[tuple[tuple[str, ...], int, str], Beam] = {}
        for new in self._expansions(beams, logs):
            key = (new.said.words, new.state, new.spelt)
            other = found.get(key)
            if other is None or new.score > other.score:
                found[key] = new
        best = self._pruned(sorted(found.values(), key=lambda beam: -beam.score))
        ended = [self._expansion.end(beam, logs[beam.row]) for beam in beams]
        return best, [each for each in ended if each is not None]

    def _pruned(self, ranked: list[Beam]) -> list[Beam]:
        weights = self._weights
        return [
            beam for beam in ranked[: weights.beam] if beam.score >= ranked[0].score - weights.width
        ]

    def _expansions(self, beams: list[Beam], logs: Floats) -> Iterator[Beam]:
        for beam in beams:
            yield from self._expansion.next(beam, logs[beam.row])

    def _reweighed(self, done: list[Candidate], free: FreeReading) -> list[Candidate]:
        """Scores once the length of the free reading is known: it hardly ever drops words."""
        if not free.whole:
            return done
        expected = spoken_letters(self._tokenizer.text(free.tokens))
        return [self._against(each, expected) for each in done]

    def _against(self, candidate: Candidate, expected: int) -> Candidate:
        letters = sum(map(len, candidate.words))
        missing = max(0.0, _DROPPED * expected - letters)
        weights = self._weights
        penalty = weights.gap * abs(letters - expected) + weights.shortfall * missing
        return replace(candidate, score=candidate.score - penalty)

    def _settled(self, beams: list[Beam], done: list[Candidate]) -> bool:
        """True if no running beam can still overtake the best finished reading."""
        if not beams or len({each.words for each in done}) < _N_BEST:
            return not beams
        best = max(each.score for each in done)
        return beams[0].score < best - self._weights.margin


def _ranked(done: list[Candidate]) -> tuple[Candidate, ...]:
    best: dict[tuple[str, ...], Candidate] = {}
    for each in done:
        other = best.get(each.words)
        if other is None or each.score > other.score:
            best[each.words] = each
    return tuple(sorted(best.values(), key=lambda each: -each.score))
