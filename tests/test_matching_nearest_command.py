"""A command that the sound is very near to, beside the words that were heard."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from dictate.exam import commands as cmd
from dictate.exam.session import Session
from dictate.matching.reading import Context, Reading
from dictate.pipeline.examination import Examination
from dictate.speech.heard import typed
from dictate.vocabulary.loader import load
from tests.matching_helpers import AFTER_ULCER, MATCHER

REVIEW = Context(region="tongue", reviewing=True, last=AFTER_ULCER.last)


def near(
    words: str,
    command: str,
    context: Context = AFTER_ULCER,
    free: str = "",
    *,
    instead: bool = False,
) -> Reading:
    meant = tuple(command.split())
    heard = replace(typed(words), command=meant, free_text=free or words, instead=instead)
    return MATCHER.read(heard, context)


@pytest.mark.parametrize(
    ("words", "command", "meant"),
    [
        ("and do that", "undo that", cmd.Undo()),
        ("where do", "redo", cmd.Redo()),
        ("the race that", "erase that", cmd.DeleteFinding(target="last")),
        ("read you everything", "review everything", cmd.StartReview()),
    ],
)
def test_it_is_obeyed_where_the_words_say_nothing(
    words: str, command: str, meant: cmd.Command
) -> None:
    assert near(words, command).commands == (meant,)


def test_without_it_these_words_are_put_aside() -> None:
    assert near("and do that", "").kind == "ignored"


def test_a_finding_is_a_finding() -> None:
    reading = near("ulcer on the right lateral tongue six millimetres", "undo")
    assert [type(each) for each in reading.commands] == [cmd.AddFinding]


def test_it_does_not_stand_for_words_that_name_a_place_or_a_lesion() -> None:
    assert near("tonsil", "cancel that").commands != (cmd.Undo(),)


@pytest.mark.parametrize("free", ["do not save it", "Don't save it."])
def test_a_denial_is_not_turned_into_a_command(free: str) -> None:
    assert near("do not save it", "done save it", REVIEW, free).commands == ()


def test_an_answer_is_taken_from_several_words_only() -> None:
    """A lone word like "yes" would confirm what nobody confirmed."""
    assert near("he has confirmed", "yes confirm", REVIEW).commands == (cmd.Answer(yes=True),)
    assert near("except", "accept", REVIEW).commands == ()
    assert near("he has confirmed", "yes confirm").commands == ()


def test_in_the_review_a_value_that_may_be_a_command_changes_nothing() -> None:
    assert near("one small", "", REVIEW).kind != "ignored"
    reading = near("one small", "once more", REVIEW)
    assert reading.kind == "ignored"
    assert "command" in reading.why


@pytest.mark.parametrize(
    ("words", "other", "taken"),
    [
        ("correct", "incorrect", False),
        ("that is right", "that is not right", False),
        ("yes", "yes please", True),
        ("incorrect", "in correct", True),
    ],
)
def test_an_answer_that_may_be_its_opposite_is_asked_for_again(
    words: str, other: str, taken: bool
) -> None:
    by_ear = replace(typed(words), free_text=other)
    second = replace(typed(other).hypotheses[0], score=-1.0)
    by_witness = replace(typed(words), hypotheses=(*typed(words).hypotheses, second))
    for heard in (by_ear, by_witness):
        assert bool(MATCHER.read(heard, REVIEW).commands) == taken


def test_it_and_that_name_no_lesion_here() -> None:
    assert near("read it a last one", "redo the last one").commands == (cmd.Redo(),)


def test_what_it_takes_back_is_told_in_the_review() -> None:
    session = Session.start("s", load(), datetime(2026, 5, 4, 9, tzinfo=UTC))
    examination = Examination(session, MATCHER, clock=lambda: datetime(2026, 5, 4, 9, tzinfo=UTC))
    examination.hear(typed("ulcer on the right lateral tongue six millimetres"))
    examination.hear(replace(typed("and do that"), command=("undo", "that")))
    assert session.findings == ()
    [aside] = session.set_aside
    assert (aside.text, aside.why) == ("and do that", "taken as “undo that”")
    examination.hear(typed("redo that"))
    assert len(session.findings) == 1


def test_one_that_changes_nothing_is_not_asked_about() -> None:
    assert near("read you everything", "review everything").not_understood == ()


@pytest.mark.parametrize(
    ("words", "command", "meant"),
    [
        ("read the last one", "redo the last one", cmd.Redo()),
        ("change that to one", "erase that one", cmd.DeleteFinding(target="last")),
    ],
)
def test_one_that_fits_better_is_obeyed_before_what_the_words_ask(
    words: str, command: str, meant: cmd.Command
) -> None:
    assert near(words, command).commands != (meant,)
    assert near(words, command, instead=True).commands == (meant,)


@pytest.mark.parametrize(
    ("words", "command", "context"),
    [
        ("on the left", "undo last", AFTER_ULCER),
        ("do not save it", "done save it", REVIEW),
        ("yet", "yes", REVIEW),
    ],
)
def test_where_the_words_forbid_it_nothing_is_done_and_that_is_said(
    words: str, command: str, context: Context
) -> None:
    reading = near(words, command, context, instead=True)
    assert reading.commands == ()
    assert reading.kind == "ignored"
    assert "command" in reading.why


def test_nothing_but_resuming_is_heard_while_paused() -> None:
    paused = Context(region="tongue", paused=True, last=AFTER_ULCER.last)
    assert near("read the last one", "redo the last one", paused, instead=True).commands == ()
