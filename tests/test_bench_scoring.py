"""Scores against examples worked by hand."""

from __future__ import annotations

import jiwer
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from num2words import num2words

from dictate.bench.outcome import Outcome, Recorded, outcome_of
from dictate.bench.scoring import Score, score
from dictate.bench.sentences import Marked, Order, Sentence
from dictate.bench.slots import Places, compare, paired
from dictate.bench.words import plain, word_error_rate
from dictate.exam import commands as cmd
from dictate.exam.finding import Doubt, FindingFields
from dictate.exam.protocol import Protocol
from dictate.exam.session import Session
from dictate.matching.reading import Context, Reading
from dictate.pipeline.examination import now
from dictate.vocabulary.loader import load
from dictate.vocabulary.schema import Spelling

ULCER = FindingFields(
    region="tongue", subsite="lateral border", side="left", kind="ulcer", size_mm=(12.0, 8.0)
)


@pytest.fixture(scope="module")
def places() -> Places:
    return Places(load())


@pytest.fixture(scope="module")
def protocol() -> Protocol:
    return Session.start("bench", load(), now()).protocol


def finding(*meant: FindingFields) -> Sentence:
    return Sentence(id="x", kind="finding", accent="us", say="x", findings=meant)


def recorded(fields: FindingFields, *doubted: str) -> Outcome:
    return Outcome(findings=[Recorded(fields, frozenset(doubted))])


def change(fields: FindingFields, **new: object) -> FindingFields:
    return fields.model_copy(update=new)


def test_a_perfect_record_hits_every_slot(places: Places) -> None:
    result = score(finding(ULCER), recorded(ULCER), places)
    assert (result.all_slots.hits, result.all_slots.false, result.all_slots.missed) == (5, 0, 0)
    assert result.all_slots.f1 == 1.0
    assert result.all_critical.judged == 3
    assert result.all_critical.silent_errors == 0


def test_a_wrong_side_is_one_false_one_missed_and_silent(places: Places) -> None:
    """By hand: 4 hits, 1 false, 1 missed; F1 = 2*4 / (2*4 + 1 + 1) = 0.8."""
    result = score(finding(ULCER), recorded(change(ULCER, side="right")), places)
    assert result.all_slots.f1 == pytest.approx(0.8)
    assert result.critical["side"].silent_errors == 1
    assert result.critical["site"].silent_errors == 0
    assert result.critical["size"].silent_errors == 0


def test_an_error_that_is_asked_about_is_not_silent(places: Places) -> None:
    wrong = change(ULCER, size_mm=(12.0, 80.0))
    result = score(finding(ULCER), recorded(wrong, "size_mm"), places)
    assert result.critical["size"].silent_errors == 0
    assert result.critical["size"].flagged_errors == 1


def test_a_size_dropped_without_a_word_is_silent(places: Places) -> None:
    result = score(finding(ULCER), recorded(change(ULCER, size_mm=())), places)
    assert result.critical["size"].silent_errors == 1


def test_a_doubt_about_region_or_subsite_flags_the_site(places: Places) -> None:
    for doubted in ("region", "subsite"):
        wrong = change(ULCER, subsite="ventral surface")
        result = score(finding(ULCER), recorded(wrong, doubted), places)
        assert result.critical["site"].flagged_errors == 1
        assert result.critical["site"].silent_errors == 0


def test_a_needless_question_counts_as_a_flag_and_as_no_error(places: Places) -> None:
    critical = score(finding(ULCER), recorded(ULCER, "side"), places).all_critical
    assert (critical.judged, critical.flagged, critical.flagged_errors) == (3, 1, 0)


def test_a_question_about_what_was_not_said_is_counted_apart(places: Places) -> None:
    sideless = change(ULCER, side=None)
    for meant, unsaid in ((sideless, 1), (ULCER, 0)):
        critical = score(finding(meant), recorded(sideless, "side"), places).all_critical
        assert (critical.flagged, critical.flagged_unsaid) == (1, unsaid)


def test_the_order_of_a_size_matters(places: Places) -> None:
    result = score(finding(ULCER), recorded(change(ULCER, size_mm=(8.0, 12.0))), places)
    assert result.critical["size"].silent_errors == 1


def test_a_finding_out_of_nothing_is_a_silent_error_in_each_of_its_critical_slots(
    places: Places,
) -> None:
    outcome = Outcome(findings=[Recorded(ULCER), Recorded(change(ULCER, side="right"))])
    result = score(finding(ULCER), outcome, places)
    assert result.findings_invented == 1
    assert result.all_critical.silent_errors == 3


def test_a_missed_finding_loses_recall_and_is_counted(places: Places) -> None:
    result = score(finding(ULCER), Outcome(ignored=True), places)
    assert result.findings_missed == 1
    assert result.all_slots.missed == 5
    assert result.all_critical.judged == 0


def test_two_findings_are_compared_with_their_likest(places: Places) -> None:
    plaque = FindingFields(region="tongue", side="right", kind="plaque", colours=("white",))
    outcome = Outcome(findings=[Recorded(plaque), Recorded(ULCER)])
    assert score(finding(ULCER, plaque), outcome, places).all_slots.f1 == 1.0
    pairs = paired(places, (ULCER,), [Recorded(plaque), Recorded(ULCER)])
    assert pairs[0] == (ULCER, Recorded(ULCER))
    assert pairs[1] == (None, Recorded(plaque))


def test_lists_are_compared_value_by_value(places: Places) -> None:
    meant = FindingFields(surface=("raised", "granular"))
    tally = compare(places, meant, FindingFields(surface=("granular", "smooth")))["surface"]
    assert (tally.hits, tally.false, tally.missed) == (1, 1, 1)


def test_the_midline_of_a_single_part_says_nothing_new(places: Places) -> None:
    meant = FindingFields(region="soft palate", subsite="uvula", kind="papilloma")
    result = score(finding(meant), recorded(change(meant, side="midline")), places)
    assert result.all_slots.f1 == 1.0
    elsewhere = FindingFields(region="tongue", kind="ulcer")
    wrong = score(finding(elsewhere), recorded(change(elsewhere, side="midline")), places)
    assert wrong.critical["side"].silent_errors == 1


def test_a_region_wrongly_called_healthy_is_a_silent_error(places: Places) -> None:
    sentence = Sentence(
        id="x", kind="normal", accent="us", say="x", normal=(Marked(region="tongue"),)
    )
    wrong = Outcome(normal=[(Marked(region="lips"), False)])
    assert score(sentence, wrong, places).critical["site"].silent_errors == 1
    assert score(sentence, wrong, places).marks.f1 == 0.0
    asked = Outcome(normal=[(Marked(region="lips"), True)])
    assert score(sentence, asked, places).critical["site"].silent_errors == 0
    right = Outcome(normal=[(Marked(region="tongue", side="bilateral"), False)])
    assert score(sentence, right, places).marks.f1 == 1.0


def test_a_command_is_obeyed_only_when_it_alone_is_carried_out(places: Places) -> None:
    order = Order(do="correct", field="size_mm", value=[12.0])
    sentence = Sentence(id="x", kind="command", accent="us", say="x", commands=(order,))
    assert score(sentence, Outcome(orders=[(order, False)]), places).commands_obeyed == 1
    assert score(sentence, Outcome(), places).commands_obeyed == 0
    both = Outcome(orders=[(order, False)], findings=[Recorded(ULCER)])
    assert score(sentence, both, places).commands_obeyed == 0
    wrong = Outcome(orders=[(Order(do="correct", field="size_mm", value=[20.0]), False)])
    result = score(sentence, wrong, places)
    assert result.commands_obeyed == 0
    assert result.critical["size"].silent_errors == 1


def test_everyday_talk_must_do_nothing(places: Places) -> None:
    sentence = Sentence(id="x", kind="offtalk", accent="us", say="open wide")
    outcome = Outcome(
        findings=[Recorded(ULCER)],
        normal=[(Marked(region="lips"), False)],
        orders=[(Order(do="undo"), False)],
    )
    result = score(sentence, outcome, places)
    assert (result.offtalk, result.offtalk_findings) == (1, 1)
    assert (result.offtalk_marks, result.offtalk_commands) == (1, 1)
    assert result.all_slots.false == 0


def test_scores_add_up(places: Places) -> None:
    total = Score()
    total.merge(score(finding(ULCER), recorded(ULCER), places))
    total.merge(score(finding(ULCER), recorded(change(ULCER, side="right")), places))
    assert total.utterances == 2
    assert total.all_slots.f1 == pytest.approx(2 * 9 / (2 * 9 + 1 + 1))
    assert total.all_critical.judged == 6


def test_the_examination_s_own_doubts_count_as_asked(protocol: Protocol) -> None:
    """The matcher leaves the side open; the examination asks for it."""
    command = cmd.AddFinding(fields=FindingFields(region="tongue", kind="ulcer"))
    reading = Reading("finding", 1.0, "ulcer of the tongue", (command,))
    outcome = outcome_of(reading, Context(), protocol)
    assert "side" in outcome.findings[0].doubted


def test_a_detail_is_judged_by_the_finding_it_leaves_behind(protocol: Protocol) -> None:
    command = cmd.AddDetail(
        target="last",
        fields=FindingFields(tender=True, consistency=("firm",)),
        needs_review=(Doubt(field="consistency", why="heard unsure"),),
    )
    last = change(ULCER, consistency=("indurated",))
    outcome = outcome_of(Reading("finding", 1.0, "", (command,)), Context(last=last), protocol)
    (made,) = outcome.findings
    assert made.fields == change(last, tender=True, consistency=("indurated", "firm"))
    assert made.doubted == {"consistency"}


def test_commands_become_orders(protocol: Protocol) -> None:
    commands = (cmd.GoTo(region="tongue"), cmd.Undo(), cmd.Answer(yes=False), cmd.Save())
    outcome = outcome_of(Reading("command", 1.0, "", commands), Context(), protocol)
    assert [order.do for order, _ in outcome.orders] == ["go_to", "undo", "reject", "save"]
    assert outcome_of(None, Context(), protocol).ignored


def test_words_are_compared_in_one_spelling() -> None:
    spelling = load().spelling
    assert plain("A 14mm gray ulcer, doesn't bleed.", spelling) == (
        "a fourteen millimetres grey ulcer does not bleed"
    )
    assert plain("1.5 x 2 cm", Spelling()) == "one point five by two centimetres"


def test_the_error_rate_is_the_worked_one() -> None:
    """Seven reference words, one substituted, by hand 1/7; and jiwer's own figure over two."""
    reference, got = (
        "left lateral border of the tongue ulcer",
        "left lateral border of a tongue ulcer",
    )
    assert word_error_rate([(reference, got)]) == pytest.approx(1 / 7)
    pairs = [(reference, got), ("ten millimetres", "ten")]
    expected = jiwer.wer([reference, "ten millimetres"], [got, "ten"])
    assert word_error_rate(pairs) == pytest.approx(expected) == pytest.approx(2 / 9)
    assert word_error_rate([("", "um")]) is None


@settings(max_examples=60)
@given(st.integers(min_value=0, max_value=999))
def test_digits_and_words_of_a_number_are_the_same(number: int) -> None:
    spelling = Spelling()
    assert plain(str(number), spelling) == plain(num2words(number), spelling)
