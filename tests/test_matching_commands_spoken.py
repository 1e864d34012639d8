"""Commands in the many ways that clinicians say them, and what only resembles them."""

from __future__ import annotations

from collections import Counter

import pytest

from tests.dictations import Dictation, dictations, made, together

SPOKEN = dictations("commands_spoken.toml")
"""Obeyed before anything was mended by them: 216 of 322 of those worked with, 102 of 160 of those
kept aside; when the others were mended and these not yet looked at: 148 of 160."""
FRESH = dictations("commands_fresh.toml")
"""By another hand. Obeyed before anything was mended by them: 72 of 173, and of 50 critical values
in corrections 8 were wrong unasked."""
COMMANDS = [each for each in SPOKEN if each.sentence.kind == "command"]
FRESH_COMMANDS = [each for each in FRESH if each.sentence.kind == "command"]
NOT_YET = {"c9-023", "c9-069", "c9-114", "c9-115", "c9-253"}
"""Details beside words of commands that are put aside, or (114) asked about beside another."""
NEAR = [each for each in (*SPOKEN, *FRESH) if each.sentence.kind != "command"]


def _aside(each: Dictation) -> bool:
    return each.id.startswith("csa-")


@pytest.mark.parametrize(("aside", "least"), [(False, 0.96), (True, 0.96)])
def test_commands_are_obeyed(aside: bool, least: float) -> None:
    total = together([made(each) for each in COMMANDS if _aside(each) is aside])
    assert total.commands_obeyed / total.commands >= least


def test_commands_in_fresh_words_are_obeyed() -> None:
    total = together([made(each) for each in FRESH_COMMANDS])
    assert total.commands_obeyed / total.commands >= 0.88


@pytest.mark.parametrize("dictation", [*COMMANDS, *FRESH_COMMANDS], ids=lambda each: each.id)
def test_no_other_command_is_obeyed_instead(dictation: Dictation) -> None:
    result = made(dictation)
    assert result.score.all_critical.silent_errors == 0
    wanted = Counter(order.do for order in dictation.sentence.commands)
    assert Counter(order.do for order, _ in result.outcome.orders) <= wanted


@pytest.mark.parametrize("dictation", NEAR, ids=lambda each: each.id)
def test_what_resembles_a_command_is_none(dictation: Dictation) -> None:
    outcome = made(dictation).outcome
    assert not outcome.orders
    assert made(dictation).score.all_critical.silent_errors == 0
    if dictation.id in NOT_YET:
        return
    if dictation.sentence.kind == "offtalk":
        assert not [*outcome.findings, *outcome.normal, *outcome.not_examined]
    else:
        assert outcome.findings or outcome.normal
