"""Sound too long for the network to read at once: cut where it is quietest, the readings joined.

Left whole, the network repeats itself: of prompts of a human voice strung together, words wrong
were 0.016 at 12 s, 0.05 at 20 s, 0.16 at 30 s and more than was said from 45 s on.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from dictate.audio.level import WINDOW, window_powers
from dictate.audio.source import RATE, Samples
from dictate.speech.heard import Hypothesis, Utterance

LONGEST_S = 22.0
"""More than the endpointer lets an utterance grow to."""
_SHORTEST_S = 8.0
"""How much a piece holds at least."""
_QUIET_S = 0.2
"""Length of the quiet in whose middle it is cut."""


def pieces(samples: Samples) -> list[Samples]:
    """The samples in order, in pieces of 8 to 22 s; one piece if they are no longer."""
    cut: list[Samples] = []
    while len(samples) > LONGEST_S * RATE:
        at = _quietest(samples)
        cut.append(samples[:at])
        samples = samples[at:]
    return [*cut, samples]


def joined(parts: Sequence[Utterance]) -> Utterance:
    """One utterance of several that follow each other (at least one; a single one as it is).

    Its other readings have another reading of one part, the rest as heard best.
    """
    if len(parts) == 1:
        return parts[0]
    best = [part.hypotheses[0] for part in parts]
    readings = [_strung(best), *sorted(_others(parts, best), key=lambda each: -each.score)]
    count = max(len(part.hypotheses) for part in parts)
    free = " ".join(part.free_text for part in parts if part.free_text)
    clearances = [part.clearance_db for part in parts if part.clearance_db is not None]
    return Utterance(
        tuple(readings[:count]),
        parts[0].start_s,
        parts[-1].end_s,
        confidence=min(part.confidence for part in parts),
        dictation=min(part.dictation for part in parts),
        free_text=free or None,
        clearance_db=min(clearances, default=None),
    )


def _quietest(samples: Samples) -> int:
    """Where to cut: the middle of the quietest moment that leaves pieces of the right length."""
    first, last = (int(s * RATE) // WINDOW for s in (_SHORTEST_S, LONGEST_S))
    last = min(last, len(samples) // WINDOW - first)
    power = window_powers(samples)[first:last]
    width = int(_QUIET_S * RATE) // WINDOW
    around = np.convolve(power, np.ones(width), "same")
    return (first + int(np.argmin(around))) * WINDOW


def _others(parts: Sequence[Utterance], best: Sequence[Hypothesis]) -> Iterator[Hypothesis]:
    for at, part in enumerate(parts):
        for other in part.hypotheses[1:]:
            yield _strung([*best[:at], other, *best[at + 1 :]])


def _strung(readings: Sequence[Hypothesis]) -> Hypothesis:
    words = tuple(word for reading in readings for word in reading.words)
    return Hypothesis(words, sum(reading.score for reading in readings))
