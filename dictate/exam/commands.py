"""What a person can ask of the examination. Voice, keyboard and arguments all make these."""

from __future__ import annotations

from datetime import date
from typing import Literal

from pydantic import BaseModel, ConfigDict

from dictate.exam.decisions import DecisionKind
from dictate.exam.finding import Alternative, Doubt, FieldValue, FindingFields
from dictate.exam.risks import RiskAnswer

RegionState = Literal["inspected", "palpated", "normal", "not_examined"]
Target = str
"""A finding's id, or "last" for the latest one still there."""


class _Command(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class AddFinding(_Command):
    """Record a new finding."""

    fields: FindingFields
    needs_review: tuple[Doubt, ...] = ()
    alternatives: tuple[Alternative, ...] = ()
    confidence: float = 1.0
    said: str = ""


class ChangeField(_Command):
    """Set one field of a finding. From the keyboard the new value is settled by that."""

    target: Target
    field: str
    value: FieldValue
    doubt: str | None = None
    """Why the new value itself must be confirmed; None when it need not be."""
    said: str = ""
    alternatives: tuple[Alternative, ...] = ()


class AddDetail(_Command):
    """Further words about an existing finding ("it is tender"): only the fields said."""

    target: Target
    fields: FindingFields
    needs_review: tuple[Doubt, ...] = ()
    alternatives: tuple[Alternative, ...] = ()
    said: str = ""


class SettleField(_Command):
    """Confirm a doubted field as it stands."""

    target: Target
    field: str


class DeleteFinding(_Command):
    target: Target


class MarkRegion(_Command):
    """Say what was done at a region (`side` None: both sides or no sides)."""

    region: str
    state: RegionState
    side: str | None = None
    reason: str | None = None
    """Why it was not examined."""
    doubt: str | None = None
    """Why the statement itself must be confirmed; None when it need not be."""


class GoTo(_Command):
    region: str
    doubted: bool = False
    """True if the region was not heard well: what is dictated there without a place is asked."""


class NextRegion(_Command):
    pass


class PreviousRegion(_Command):
    pass


class Undo(_Command):
    pass


class Redo(_Command):
    pass


class Pause(_Command):
    """Stop listening for the record until `Resume`."""


class Resume(_Command):
    pass


class StartReview(_Command):
    """Begin (or go back to) the confirmation pass."""


class Answer(_Command):
    """A "confirm" or "reject" of what is being asked in the confirmation pass."""

    yes: bool


class Skip(_Command):
    """Leave the current question for later."""


class Repeat(_Command):
    """Read the current question again."""


class Help(_Command):
    pass


ScreenAct = Literal[
    "export",
    "set_aside",
    "close",
    "promote",
    "read_aloud",
    "read_silent",
    "leave_rest",
    "worklist",
    "export_list",
    "patients",
    "register",
    "kept",
    "this_patient",
    "earlier_lesions",
    "decide",
    "amendments",
    "amend",
    "record_answer",
    "open_row",
    "row_down",
    "row_up",
    "to_examination",
    "edit",
    "keep",
    "mark",
    "look",
    "lock",
    "leave",
]


class OnScreen(_Command):
    """Something asked of the screen: it changes no record before a further yes."""

    act: ScreenAct


class Save(_Command):
    """Ask to save as final: starts the confirmation pass unless it is complete."""


class Promote(_Command):
    """Make a finding of an utterance that was put aside."""

    utterance: str
    fields: FindingFields


class Sign(_Command):
    """The examiner's name or initials, after a complete confirmation pass. Never by voice."""

    examiner: str


class Acknowledge(_Command):
    """Take note, in the confirmation pass, of regions that were not examined."""

    regions: tuple[str, ...]
    reason: str | None = None


class FollowLesion(_Command):
    """Record what an open lesion of an earlier visit is like today, as a finding of its own."""

    lesion: str
    """Its id, or its label ("L2")."""
    what: Literal["same", "changed"] = "changed"
    """ "same": all that was described last time still holds."""
    fields: FindingFields = FindingFields()
    """What was said of it today; its place and kind are carried over."""
    needs_review: tuple[Doubt, ...] = ()
    alternatives: tuple[Alternative, ...] = ()
    confidence: float = 1.0
    said: str = ""
    doubt: str | None = None
    """Why it may be another lesion that was meant."""


class LinkFinding(_Command):
    """Say that a finding of today is an open lesion of an earlier visit."""

    finding: Target
    lesion: str


class TellApart(_Command):
    """Say that a finding of today is not that lesion of an earlier visit."""

    finding: Target
    lesion: str


class ResolveLesion(_Command):
    """Record that an open lesion is no longer there."""

    lesion: str
    doubt: str | None = None


class LeaveLesion(_Command):
    """Record that an open lesion was not looked at today."""

    lesion: str
    reason: str | None = None


class Decide(_Command):
    """What the clinician decides on a finding of today, or on an open lesion."""

    target: str
    """A finding's id, "last", or a lesion's id or label."""
    decision: DecisionKind
    reason: str = ""
    due: date | None = None
    """The day of the re-check or of asking after an answer; None: the clinic's default."""


class RecordAnswer(_Command):
    """What came back on a lesion that was referred or biopsied."""

    target: str
    """A lesion's id or label; in an amendment also a finding's id."""
    answer: str
    on: date
    recheck: date | None = None


class NoteRisk(_Command):
    """A line of the risk history."""

    factor: str
    answer: RiskAnswer
    words: str = ""
    doubt: str | None = None


class DropRisk(_Command):
    """Take a line of the risk history back."""

    factor: str


class Amend(_Command):
    """Correct a final record: makes a new version. Never by voice."""

    examiner: str
    """Who answers for the amendment."""
    why: str
    changes: tuple[ChangeField | DeleteFinding | AddFinding | Decide | RecordAnswer, ...]


Command = (
    AddFinding
    | ChangeField
    | AddDetail
    | SettleField
    | DeleteFinding
    | MarkRegion
    | GoTo
    | NextRegion
    | PreviousRegion
    | Undo
    | Redo
    | Pause
    | Resume
    | StartReview
    | Answer
    | Skip
    | Repeat
    | Help
    | OnScreen
    | Save
    | Promote
    | Sign
    | Acknowledge
    | FollowLesion
    | LinkFinding
    | TellApart
    | ResolveLesion
    | LeaveLesion
    | Decide
    | RecordAnswer
    | NoteRisk
    | DropRisk
    | Amend
)

RECORDING = (
    AddFinding,
    ChangeField,
    AddDetail,
    SettleField,
    DeleteFinding,
    MarkRegion,
    Promote,
    FollowLesion,
    LinkFinding,
    TellApart,
    ResolveLesion,
    LeaveLesion,
    Decide,
    RecordAnswer,
    NoteRisk,
    DropRisk,
)
"""Commands that change what is recorded: one of them that fails must not go unseen."""
