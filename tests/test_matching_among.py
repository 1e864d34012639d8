"""Plain commands among courtesy, reasons and closing words, and what only resembles them."""

from __future__ import annotations

import pytest

from dictate.exam import commands as cmd
from dictate.matching.reading import Context
from tests.matching_helpers import AFTER_ULCER, read

REVIEW = Context(region="tongue", reviewing=True, last=AFTER_ULCER.last)
PAUSED = Context(paused=True)


@pytest.mark.parametrize(
    ("text", "command"),
    [
        ("Lovely, that's everything. Please save it and finish.", cmd.Save()),
        ("Lovely that's everything please save the examination", cmd.Save()),
        ("I've forgotten something, go back to the last region.", cmd.PreviousRegion()),
        ("Oh, for goodness' sake, undo that.", cmd.Undo()),
        ("Sorry, that was for my student, delete that finding.", cmd.DeleteFinding(target="last")),
        ("I need to take a call so please stop listening", cmd.Pause()),
        ("That's all for the palate, next region, thanks.", cmd.NextRegion()),
    ],
)
def test_a_command_may_stand_among_courtesy_and_reasons(text: str, command: cmd.Command) -> None:
    assert read(text, AFTER_ULCER).commands == (command,)


@pytest.mark.parametrize(
    "text",
    [
        "Wait, hold on, Tammy, let me have the other retractor first.",
        "Could you go back a bit, please?",
        "Save that swab for me.",
        "Good, save it for later.",
        "There's a bit of gauze, remove it.",
        "You've got food there, remove it please.",
        "Stop me if it hurts. Undo.",
        "Undo that. No, wait.",
        "Do not, undo that.",
        "If it hurts, stop recording.",
        "When we are finished, save the record.",
        "My assistant said, undo that.",
        "Shall we stop? Pause recording.",
        "Show me your tongue.",
        "Open the lips a bit.",
    ],
)
def test_talk_conditions_and_what_is_taken_back_are_no_command(text: str) -> None:
    assert read(text, AFTER_ULCER).commands == ()


@pytest.mark.parametrize(
    ("text", "yes"),
    [
        ("Um, yeah, that's fine, confirm it.", True),
        ("Yep, that's the one, all good.", True),
        ("Hmm, no, I don't agree with that one, please reject it.", False),
    ],
)
def test_a_plain_answer_may_stand_among_courtesy(text: str, yes: bool) -> None:
    assert read(text, REVIEW).commands == (cmd.Answer(yes=yes),)


@pytest.mark.parametrize(
    "text",
    [
        "Yes, lovely.",
        "Okay, good.",
        "Yes. No.",
        "No no, that's right.",
        "He said yes, confirm.",
        "No, she's with a patient.",
        "No, to the right.",
        "Next, the mirror.",
    ],
)
def test_a_doubtful_answer_is_none(text: str) -> None:
    assert read(text, REVIEW).commands == ()


def test_listening_goes_on_after_courtesy_but_not_where_it_is_denied() -> None:
    text = "Right, thank you, you can start listening again."
    assert read(text, PAUSED).commands == (cmd.Resume(),)
    assert read("Do not resume recording. I am busy.", PAUSED).commands == ()
