"""Two dictations in one breath: what belongs to two findings is kept apart, or asked about.

Each dictation is read right and without a question by itself; the two are joined as speakers join
them. The rest that is still wrong unasked is held down here, and is not nothing.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from random import Random

import pytest

from dictate.bench.scoring import Score
from dictate.bench.sentences import Where
from tests.dictations import Dictation, dictations, made

_PAIRS = 600


def _clear(dictation: Dictation) -> bool:
    """True for one finding, told in full, that is read right without a question."""
    sentence = dictation.sentence
    if sentence.kind != "finding" or sentence.where != Where() or len(sentence.findings) != 1:
        return False
    if sentence.normal or sentence.not_examined or dictation.ask or dictation.inspected:
        return False
    score = made(dictation).score
    return score.all_slots.f1 == 1.0 and not score.all_critical.flagged


CLEAR = [
    each
    for name in ("clinicians.toml", "clinicians_aside.toml")
    for each in dictations(name)
    if _clear(each)
]


def _lower(text: str) -> str:
    return (
        text if text[:2].isupper() or text.startswith(("I ", "A ")) else text[0].lower() + text[1:]
    )


JOINTS: list[tuple[str, Callable[[str, str], str], float]] = [
    ("sentences", lambda one, other: f"{one.rstrip('.')}. {other}", 0.004),
    ("semicolon", lambda one, other: f"{one.rstrip('.')}; {_lower(other)}", 0.004),
    ("and", lambda one, other: f"{one.rstrip('.')}, and {_lower(other)}", 0.008),
    ("comma", lambda one, other: f"{one.rstrip('.')}, {_lower(other)}", 0.008),
    ("no pause", lambda one, other: re.sub(r"[.,;:]", "", f"{one} {_lower(other)}"), 0.02),
]
"""How two are joined, and the share of what is critical that may be wrong unasked."""


@pytest.mark.parametrize(("join", "most"), [j[1:] for j in JOINTS], ids=[j[0] for j in JOINTS])
def test_two_dictations_in_one_breath(join: Callable[[str, str], str], most: float) -> None:
    random = Random(7)
    total = Score()
    for _ in range(_PAIRS):
        one, other = random.sample(CLEAR, 2)
        sentence = one.sentence.model_copy(
            update={
                "say": join(one.sentence.say, other.sentence.say),
                "findings": one.sentence.findings + other.sentence.findings,
            }
        )
        total.merge(made(Dictation(sentence)).score)
    critical = total.all_critical
    assert critical.silent_errors / critical.judged <= most
    assert critical.flagged / critical.judged <= 0.13
    assert (total.all_slots.f1 or 0.0) >= 0.93
