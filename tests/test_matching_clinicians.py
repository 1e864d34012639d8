"""Many ways to dictate, by many imagined clinicians: nothing wrong that nobody is asked about."""

from __future__ import annotations

import pytest

from tests.dictations import Dictation, dictations, made, together

WORKED_WITH = dictations("clinicians.toml")
ASIDE: list[Dictation] = []
_SITE = frozenset({"region", "subsite"})
both = pytest.mark.parametrize("dictation", [*WORKED_WITH, *ASIDE], ids=lambda each: each.id)


@both
def test_no_side_site_or_size_is_wrong_unasked(dictation: Dictation) -> None:
    result = made(dictation)
    assert result.score.all_critical.silent_errors == 0, result.outcome


@pytest.mark.parametrize(
    "dictation", [each for each in WORKED_WITH if each.ask], ids=lambda each: each.id
)
def test_what_the_words_leave_open_is_asked(dictation: Dictation) -> None:
    asked = made(dictation).asked
    for name in dictation.ask:
        assert asked & (_SITE if name in _SITE else {name}), name


@pytest.mark.parametrize(
    "dictation", [each for each in WORKED_WITH if each.inspected], ids=lambda each: each.id
)
def test_a_part_in_health_is_inspected_and_its_region_not_called_normal(
    dictation: Dictation,
) -> None:
    result = made(dictation)
    for part in dictation.inspected:
        assert any(
            region == part.region and side in (None, part.side) for region, side in result.inspected
        )
        assert not any(mark.region == part.region for mark, _ in result.outcome.normal)


@pytest.mark.parametrize(
    "dictation",
    [each for each in WORKED_WITH if each.sentence.kind == "offtalk"],
    ids=lambda each: each.id,
)
def test_talk_records_nothing(dictation: Dictation) -> None:
    outcome = made(dictation).outcome
    assert not (outcome.findings or outcome.normal or outcome.not_examined)
    assert not outcome.orders


def test_the_dictations_worked_with_come_out_as_meant() -> None:
    total = together([made(each) for each in WORKED_WITH])
    critical = total.all_critical
    assert (total.all_slots.f1 or 0.0) >= 0.99
    assert critical.flagged / critical.judged <= 0.065
    assert total.commands_obeyed / total.commands >= 0.98
