"""What a reading puts on record, in the same terms as the ground truth."""

from __future__ import annotations

from dataclasses import dataclass, field

from dictate.bench.sentences import CommandName, Marked, Order
from dictate.exam import commands as cmd
from dictate.exam.doubts import gaps
from dictate.exam.editing import joined, said_fields
from dictate.exam.finding import FIELD_NAMES, FindingFields
from dictate.exam.protocol import Protocol
from dictate.matching.reading import Context, Reading


@dataclass(frozen=True, slots=True)
class Recorded:
    """A finding as it stands after the utterance, and the fields a person will be asked about."""

    fields: FindingFields
    doubted: frozenset[str] = frozenset()


@dataclass(slots=True)
class Outcome:
    """Everything that one utterance did."""

    findings: list[Recorded] = field(default_factory=list)
    normal: list[tuple[Marked, bool]] = field(default_factory=list)
    """Each with True where the statement itself will be asked about."""
    not_examined: list[tuple[Marked, bool]] = field(default_factory=list)
    orders: list[tuple[Order, bool]] = field(default_factory=list)
    ignored: bool = False


def outcome_of(reading: Reading | None, context: Context, protocol: Protocol) -> Outcome:
    """The outcome of a reading; None (nothing was heard) leaves everything as it was."""
    outcome = Outcome(ignored=reading is None or reading.kind == "ignored")
    for command in reading.commands if reading else ():
        _add(outcome, command, context.last or FindingFields(), protocol)
    return outcome


def _add(outcome: Outcome, command: cmd.Command, last: FindingFields, protocol: Protocol) -> None:
    match command:
        case cmd.AddFinding():
            doubts = (*command.needs_review, *gaps(command.fields, protocol))
            outcome.findings.append(Recorded(command.fields, frozenset(d.field for d in doubts)))
        case cmd.AddDetail():
            _detail(outcome, command, last, protocol)
        case cmd.MarkRegion(state="normal" | "not_examined"):
            _mark(outcome, command)
        case cmd.MarkRegion():
            pass
        case cmd.ChangeField():
            order = Order(do="correct", field=command.field, value=command.value)
            outcome.orders.append((order, command.doubt is not None))
        case cmd.GoTo():
            outcome.orders.append((Order(do="go_to", region=command.region), False))
        case cmd.Answer():
            outcome.orders.append((Order(do="confirm" if command.yes else "reject"), False))
        case _ if type(command) in _SIMPLE:
            outcome.orders.append((Order(do=_SIMPLE[type(command)]), False))


def _mark(outcome: Outcome, command: cmd.MarkRegion) -> None:
    said = {"region": command.region, "side": command.side, "reason": command.reason}
    kept = outcome.normal if command.state == "normal" else outcome.not_examined
    kept.append((Marked.model_validate(said), command.doubt is not None))


_SIMPLE: dict[type, CommandName] = {
    cmd.Undo: "undo",
    cmd.Redo: "redo",
    cmd.DeleteFinding: "delete",
    cmd.NextRegion: "next_region",
    cmd.PreviousRegion: "previous_region",
    cmd.Pause: "pause",
    cmd.Resume: "resume",
    cmd.StartReview: "review",
    cmd.Save: "save",
    cmd.Skip: "skip",
    cmd.Repeat: "repeat",
    cmd.Help: "help",
}


def _detail(
    outcome: Outcome, command: cmd.AddDetail, last: FindingFields, protocol: Protocol
) -> None:
    """A detail is judged by the finding it leaves behind."""
    doubted = frozenset(doubt.field for doubt in command.needs_review)
    if outcome.findings:
        earlier = outcome.findings.pop()
        last, doubted = earlier.fields, doubted | earlier.doubted
    values = {name: getattr(last, name) for name in FIELD_NAMES}
    values.update(joined(last, said_fields(command.fields)))
    after = FindingFields.model_validate(values)
    opened = {d.field for d in gaps(after, protocol)} - {d.field for d in gaps(last, protocol)}
    outcome.findings.append(Recorded(after, doubted | opened))
