"""Every kind of event has its line in the audit trail, and says old and new."""

from __future__ import annotations

from typing import get_args

from dictate.exam import events as ev
from dictate.exam.commands import AddFinding, Amend, ChangeField, Undo
from dictate.exam.doings import _WORDS, doing
from tests.exam_samples import PLAQUE, START, Chair


def test_every_kind_of_event_has_its_words() -> None:
    union = get_args(get_args(ev.AnyBody)[0])
    kinds = {get_args(each.model_fields["type"].annotation)[0] for each in union}
    assert kinds == {*_WORDS, "utterance_heard"}


def lines(chair: Chair) -> list[str]:
    return [f"{d.verb} {d.words}".strip() for d in map(doing, chair.session.events)]


def test_a_session_told_act_by_act() -> None:
    chair = Chair()
    chair.plaque()
    chair.key(ChangeField(target="f1", field="side", value="right"))
    chair.key(ChangeField(target="f1", field="size_mm", value=[4.0, 15.0]))
    chair.key(Undo())
    chair.signed()
    change = ChangeField(target="f1", field="colours", value=["red", "white"])
    chair.key(Amend(examiner="C. Dahl", why="seen again", changes=(change,)))
    told = lines(chair)
    assert told[:5] == [
        "begun",
        'dictated "a plaque"',
        "recorded f1 Left lateral border of the tongue: one 10 by 6 mm white plaque.",
        "corrected f1 side: left -> right",
        "corrected f1 size: 10 by 6 mm -> 4 by 15 mm",
    ]
    assert told[5] == "undid step 3"
    assert "confirmed f1" in told
    assert told[-2] == "signed as A. Berg"
    assert (
        told[-1] == "amended version 2 by C. Dahl (seen again): f1 colours: white -> red and white"
    )


def test_named_people_stand_with_what_they_said_and_typed() -> None:
    chair = Chair()
    chair.session.names = {"voice": "A. Berg", "keyboard": "E. Fell"}
    chair.plaque(side=None)
    chair.hear("hello", kind="ignored")
    chair.session.hear(
        ev.UtteranceHeard(id="", text="typed"), (AddFinding(fields=PLAQUE),), at=START,
        actor="keyboard",
    )  # fmt: skip
    chair.key(ChangeField(target="f1", field="side", value="right"))
    events = chair.session.events[1:]
    assert [(each.actor, each.via, doing(each).verb) for each in events] == [
        ("A. Berg", "voice", "dictated"),
        ("A. Berg", "voice", "recorded"),
        ("A. Berg", "voice", "dictated"),
        ("E. Fell", "keyboard", "typed"),
        ("E. Fell", "keyboard", "recorded"),
        ("E. Fell", "keyboard", "corrected"),
    ]


def test_naming_people_changes_nothing_in_what_is_recorded() -> None:
    """What is spoken is doubted as before; a name must not take a question away."""
    named, unnamed = Chair(), Chair()
    named.session.names = {"voice": "A. Berg", "keyboard": "E. Fell"}
    for chair in (named, unnamed):
        chair.plaque(side=None)
        chair.voice(ChangeField(target="f1", field="side", value="left"))
        chair.confirm_all()
    assert named.session.state == unnamed.session.state
    assert [each.body for each in named.session.events] == [
        each.body for each in unnamed.session.events
    ]
