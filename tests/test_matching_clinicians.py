"""Many ways to dictate, by many imagined clinicians: nothing wrong that nobody is asked about."""

from __future__ import annotations

import pytest

from tests.dictations import Dictation, dictations, made, together

WORKED_WITH = dictations("clinicians.toml")
ASIDE = dictations("clinicians_aside.toml")
"""Kept aside while the matcher was mended, measured before their failures were looked at, and then
mended too. The first ones: slot F1 0.961, 3 silent critical errors, 8.5 % of critical slots asked
about. Of the hard ones ("w1" to "w3", written by another hand to trip a matcher), which were 161
sentences: slot F1 0.92, 7 silent errors of 411 judged, 21.7 % asked about. Of the ordinary ones
("w4" and after it "w5", by the same hand, mostly as a practised clinician speaks), 102 sentences:
slot F1 0.969, 3 silent errors of 239 judged, 8.4 % asked about; 57 sentences: 0.948, none of 122,
13.9 %."""
WALKS = dictations("walks.toml")
WALKS_ASIDE = dictations("walks_aside.toml")
"""Two more hands, fifteen clinicians and fifteen walks, when most above were mended. First run, of
all 630: slot F1 0.912 and 0.903, 20 silent errors of 728 judged and 8 of 404, 18.4 % and 14.6 %
asked about, 42 of 66 commands obeyed. When two thirds were mended, the third not yet looked at:
0.936 and 0.916, 4 silent errors of 258 and 2 of 142 (both commands that only the truth called
another), 19.4 % and 7.0 % asked about, 17 of 23 commands."""
ORDINARY_TALK = dictations("ordinary.toml")
"""Ordinary dictations by people who had never seen the program. Of the third that was kept aside
and mended last (112 sentences, truths as first written): slot F1 0.930, 7 silent errors of 263
judged (6 where the truth was put right), 25.9 % asked about; then none, and 21.6 %."""
TWO_OF_A_KIND = dictations("side_site_size.toml")
"""Two sides, sizes or places in one breath, of which one is the lesion's. First run, of two thirds
(221): slot F1 0.871, 32 silent errors of 664 judged, 37.8 % asked about, 19 findings missed and 14
invented. Of the third kept aside, when these had been mended (99, truths as first written): 0.884,
19 of 309 (10 where the truth was put right), 35.3 %, 6 and 7; then none of 304, and 34.5 %."""
KNOWN_GAPS = frozenset({"w8-064", "w8-093", "w8-116", "w8-153", "w8-253", "w9-313"})
"""Still wrong unasked: a correction of the region that
says the part and the side again; a name made more exact, a structure that is where a stone lies,
the cause of a node, a lump "in the cheek", a part told by what it is near."""
_SITE = frozenset({"region", "subsite"})
EVERY = [*WORKED_WITH, *ASIDE, *WALKS, *WALKS_ASIDE, *TWO_OF_A_KIND, *ORDINARY_TALK]
MENDED = [*WORKED_WITH, *WALKS, *WALKS_ASIDE, *TWO_OF_A_KIND, *ORDINARY_TALK]
every = pytest.mark.parametrize("dictation", EVERY, ids=lambda each: each.id)


@every
def test_no_side_site_or_size_is_wrong_unasked(dictation: Dictation) -> None:
    result = made(dictation)
    wrong = result.score.all_critical.silent_errors > 0
    assert wrong == (dictation.id in KNOWN_GAPS), result.outcome


@pytest.mark.parametrize(
    "dictation",
    [each for each in MENDED if each.ask and each.id not in KNOWN_GAPS],
    ids=lambda each: each.id,
)
def test_what_the_words_leave_open_is_asked(dictation: Dictation) -> None:
    asked = made(dictation).asked
    for name in dictation.ask:
        assert asked & (_SITE if name in _SITE else {name}), name


@pytest.mark.parametrize(
    "dictation", [each for each in MENDED if each.inspected], ids=lambda each: each.id
)
def test_a_region_of_which_a_part_is_in_health_is_not_called_normal(dictation: Dictation) -> None:
    result = made(dictation)
    for part in dictation.inspected:
        sided = [m for m, _ in result.outcome.normal if m.side in (None, part.side)]
        assert not any(mark.region == part.region for mark in sided)


def test_parts_in_health_are_inspected() -> None:
    meant = [(made(each), part) for each in MENDED for part in each.inspected]
    found = [
        any(
            region == part.region and side in (None, part.side) for region, side in result.inspected
        )
        for result, part in meant
    ]
    assert sum(found) / len(found) >= 0.95


@pytest.mark.parametrize(
    "dictation",
    [each for each in MENDED if each.sentence.kind == "offtalk"],
    ids=lambda each: each.id,
)
def test_talk_records_nothing(dictation: Dictation) -> None:
    outcome = made(dictation).outcome
    assert not [*outcome.findings, *outcome.normal, *outcome.not_examined]
    assert not outcome.orders


HARD = ("w1-", "w2-", "w3-")
ORDINARY = ("w4-", "w5-", "w6-")


def _part(some: list[Dictation], ids: tuple[str, ...]) -> list[Dictation]:
    return [each for each in some if each.id.startswith(ids)]


def _first(some: list[Dictation]) -> list[Dictation]:
    return [each for each in some if not each.id.startswith(HARD + ORDINARY)]


@pytest.mark.parametrize(
    ("some", "least_f1", "most_asked", "least_obeyed"),
    [
        (_first(WORKED_WITH), 0.99, 0.06, 0.96),
        (_first(ASIDE), 0.98, 0.07, 0.96),
        (_part(WORKED_WITH, HARD), 0.95, 0.18, 0.85),
        (_part(ASIDE, HARD), 0.92, 0.22, 0.55),
        (_part([*WORKED_WITH, *ASIDE], ORDINARY), 0.98, 0.075, 0.0),
        (WALKS, 0.99, 0.07, 0.92),
        (WALKS_ASIDE, 0.98, 0.12, 0.95),
        (TWO_OF_A_KIND, 0.93, 0.34, 0.9),
        (ORDINARY_TALK, 0.97, 0.18, 0.0),
    ],
    ids=[
        *("worked with", "aside", "hard, worked with", "hard, aside", "ordinary"),
        *("walks", "walks, aside", "two of a kind", "ordinary talk"),
    ],
)
def test_together_they_come_out_as_meant(
    some: list[Dictation], least_f1: float, most_asked: float, least_obeyed: float
) -> None:
    total = together([made(each) for each in some])
    critical = total.all_critical
    assert (total.all_slots.f1 or 0.0) >= least_f1
    assert critical.flagged / critical.judged <= most_asked
    assert total.commands_obeyed >= least_obeyed * total.commands
