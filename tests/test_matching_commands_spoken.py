"""Commands in the many ways that clinicians say them, and what only resembles them."""

from __future__ import annotations

from collections import Counter

import pytest

from tests.dictations import Dictation, dictations, made, together

SPOKEN = dictations("commands_spoken.toml")
"""Obeyed before anything was mended by them: 216 of 322 of those worked with, 102 of 160 of those
kept aside; when the others were mended and these not yet looked at: 148 of 160."""
FRESH = dictations("commands_fresh.toml")
"""By another hand. Obeyed before anything was mended by them: 72 of 173 of those worked with first,
and of 50 critical values in corrections 8 were wrong unasked; 39 of 77 of those kept aside, and 54
when the others had been mended and these not yet looked at. Then these were mended by too."""
COMMANDS = [each for each in SPOKEN if each.sentence.kind == "command"]
FRESH_COMMANDS = [each for each in FRESH if each.sentence.kind == "command"]
NOT_YET = {"c9-023", "c9-069", "c9-115", "c9-253"}
"""Details beside words of commands that are put aside."""
NEAR = [each for each in (*SPOKEN, *FRESH) if each.sentence.kind != "command"]


def _aside(each: Dictation) -> bool:
    return each.id.startswith("csa-")


def _wanted(each: Dictation) -> Counter[str]:
    return Counter(order.do for order in each.sentence.commands)


def _obeyed(each: Dictation) -> Counter[str]:
    return Counter(order.do for order, _ in made(each).outcome.orders)


@pytest.mark.parametrize(("aside", "least"), [(False, 0.96), (True, 0.96)])
def test_commands_are_obeyed(aside: bool, least: float) -> None:
    total = together([made(each) for each in COMMANDS if _aside(each) is aside])
    assert total.commands_obeyed / total.commands >= least


def test_commands_in_fresh_words_are_obeyed() -> None:
    total = together([made(each) for each in FRESH_COMMANDS])
    assert total.commands_obeyed / total.commands >= 0.94


@pytest.mark.parametrize("dictation", [*COMMANDS, *FRESH_COMMANDS], ids=lambda each: each.id)
def test_no_other_command_is_obeyed_instead(dictation: Dictation) -> None:
    assert made(dictation).score.all_critical.silent_errors == 0
    assert _obeyed(dictation) <= _wanted(dictation)


@pytest.mark.parametrize("dictation", NEAR, ids=lambda each: each.id)
def test_what_resembles_a_command_is_none(dictation: Dictation) -> None:
    outcome = made(dictation).outcome
    assert _obeyed(dictation) == _wanted(dictation)  # A step may stand beside what is dictated.
    assert made(dictation).score.all_critical.silent_errors == 0
    if dictation.id in NOT_YET:
        return
    if dictation.sentence.kind == "offtalk":
        assert not [*outcome.findings, *outcome.normal, *outcome.not_examined]
    else:
        assert outcome.findings or outcome.normal
