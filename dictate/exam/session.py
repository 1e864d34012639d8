"""One examination: commands go in, events come out, and the events are the record."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from dictate.errors import ExamError
from dictate.exam import events as ev
from dictate.exam.commands import RECORDING, Amend, Command, Redo, Resume, Undo
from dictate.exam.coverage import RegionCoverage, coverage
from dictate.exam.events import Event
from dictate.exam.finding import Finding, FindingFields
from dictate.exam.protocol import Protocol
from dictate.exam.review import Review, review, set_aside
from dictate.exam.rules import decide
from dictate.exam.situation import Situation
from dictate.exam.state import State, apply, fold
from dictate.exam.steps import Steps
from dictate.vocabulary.schema import Lexicon


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of a command or an utterance."""

    events: tuple[Event, ...]
    """New events, to be journalled before they are shown as done."""
    message: str
    """A line for the screen; empty when there is nothing to say."""
    failed: tuple[str, ...] = ()
    """For each command of an utterance that did not fit, why."""


@dataclass(frozen=True, slots=True)
class Position:
    """Where the examination stands, for the matcher to carry on from."""

    region: str | None
    subsite: str | None
    side: str | None
    last: FindingFields | None
    """The fields of the finding dictated last."""
    reviewing: bool
    paused: bool


class Session:
    """An examination, draft or final. Made by `start` or `from_events`; one thread owns it."""

    def __init__(self, events: Iterable[Event] = ()) -> None:
        self._events: list[Event] = []
        self._state = State()
        self._steps = Steps()
        self._utterances: list[ev.UtteranceHeard] = []
        self._findings_made = 0
        for event in events:
            self._take(event)

    @classmethod
    def start(
        cls,
        id: str,  # noqa: A002
        protocol: Protocol | Lexicon,
        at: datetime,
        *,
        engine: str | None = None,
        patient: str | None = None,
        actor: str = ev.SYSTEM,
    ) -> Session:
        """A new draft; `at` is aware. Its one event is in `events`, to be journalled."""
        order = protocol if isinstance(protocol, Protocol) else Protocol.of(protocol)
        body = ev.SessionStarted(id=id, protocol=order, engine=engine, patient=patient)
        return cls([Event(seq=1, at=at, actor=actor, step=0, body=body)])

    @classmethod
    def from_events(cls, events: Iterable[Event]) -> Session:
        """The session that these events make. Raises ExamError when they make none."""
        try:
            session = cls(events)
        except (ValueError, KeyError) as error:
            raise ExamError(
                f"The events make no examination ({error}); restore the record from a backup."
            ) from None
        if not session._events:
            raise ExamError("The record is empty; restore it from a backup.")
        if session._events[-1].more:
            raise ExamError("The record ends in the middle of an act; restore it from a backup.")
        return session

    # What it is

    @property
    def events(self) -> tuple[Event, ...]:
        return tuple(self._events)

    @property
    def state(self) -> State:
        return self._state

    @property
    def started(self) -> ev.SessionStarted:
        body = self._events[0].body
        assert isinstance(body, ev.SessionStarted)
        return body

    @property
    def id(self) -> str:
        return self.started.id

    @property
    def created(self) -> datetime:
        """In UTC."""
        return self._events[0].at

    @property
    def patient(self) -> str | None:
        return self.started.patient

    @property
    def protocol(self) -> Protocol:
        return self._state.protocol

    @property
    def findings(self) -> tuple[Finding, ...]:
        """In order of dictation."""
        return self._state.findings

    def finding(self, target: str) -> Finding | None:
        """The finding of that id, or None."""
        return self._state.finding(target)

    @property
    def utterances(self) -> tuple[ev.UtteranceHeard, ...]:
        """Everything heard for the record, in order; undo takes nothing out of it."""
        return tuple(self._utterances)

    @property
    def set_aside(self) -> tuple[ev.UtteranceHeard, ...]:
        """Utterances that left nothing in the record and were not promoted."""
        return set_aside(self._state, self.utterances)

    @property
    def coverage(self) -> tuple[RegionCoverage, ...]:
        """Every region in the order of the protocol."""
        return coverage(self._state)

    @property
    def current_region(self) -> str | None:
        return self._state.region

    @property
    def paused(self) -> bool:
        return self._state.paused

    @property
    def reviewing(self) -> bool:
        return self._state.reviewing

    @property
    def review(self) -> Review | None:
        """The confirmation pass, or None outside it."""
        return review(self._state, self.utterances) if self.reviewing else None

    @property
    def is_final(self) -> bool:
        return self._state.version > 0

    @property
    def version(self) -> int:
        """0 for a draft, 1 once signed, one more with each amendment."""
        return self._state.version

    @property
    def examiner(self) -> str | None:
        """Who signed it, or None for a draft."""
        return self._state.examiner

    @property
    def can_undo(self) -> bool:
        return bool(self._steps.done) and not self.is_final

    @property
    def can_redo(self) -> bool:
        return bool(self._steps.undone) and not self.is_final

    @property
    def position(self) -> Position:
        """Side and sub-site are the last finding's, as long as its region has not been left."""
        last = self.findings[-1] if self.findings else None
        here = last if last is not None and last.region == self.current_region else None
        return Position(
            region=self.current_region,
            subsite=here.subsite if here else None,
            side=here.side if here else None,
            last=last.fields if last else None,
            reviewing=self.reviewing,
            paused=self.paused,
        )

    def at_version(self, version: int) -> Session:
        """The final record as signed (1) or as an amendment left it. ExamError if it has none."""
        ends = {
            each.body.version if isinstance(each.body, ev.Amended) else 1: each.seq
            for each in self._events
            if isinstance(each.body, ev.Signed | ev.Amended)
        }
        if version not in ends:
            known = f"has versions 1 to {self.version}" if ends else "is a draft"
            raise ExamError(f"There is no version {version}: the record {known}.")
        return Session(self._events[: ends[version]])

    # What it does

    def do(
        self, command: Command, *, actor: str, at: datetime, utterance: str | None = None
    ) -> Outcome:
        """Carry out one command as one undoable step.

        Raises ExamError, leaving the session as it was, when the command does not fit.
        """
        if not isinstance(command, Amend):
            self._refuse_if_final()
        first = len(self._events)
        message = self._carry_out(command, actor, at, utterance, self._next_step())
        return Outcome(self._closed(first), message)

    def hear(
        self,
        heard: ev.UtteranceHeard,
        commands: Sequence[Command],
        *,
        at: datetime,
        actor: str = ev.VOICE,
    ) -> Outcome:
        """Record an utterance and carry out its commands, all as one undoable step.

        A command that does not fit keeps the others from nothing: its reason is kept with
        the utterance and returned in `failed`. `heard.id` may be "": then it is numbered.
        While listening is paused only an utterance that resumes it is recorded; what is
        typed is recorded all the same.
        """
        self._refuse_if_final()
        spoken = actor == ev.VOICE
        if spoken and self.paused and not any(isinstance(each, Resume) for each in commands):
            return Outcome((), "Listening is paused: this was not recorded")
        first, step = len(self._events), self._next_step()
        name = f"u{len(self._utterances) + 1}"
        self._record((heard.model_copy(update={"id": name}),), actor, at, step)
        messages: list[str] = []
        failed: list[tuple[Command, str]] = []
        for command in commands:
            try:
                messages.append(self._carry_out(command, actor, at, name, step))
            except ExamError as error:
                failed.append((command, str(error)))
            if isinstance(command, Undo | Redo):
                step = self._next_step()
        if failed:
            self._explain(first, failed, nothing_done=not messages)
        reasons = tuple(reason for _, reason in failed)
        return Outcome(self._closed(first), "; ".join(filter(None, [*messages, *reasons])), reasons)

    def _carry_out(
        self, command: Command, actor: str, at: datetime, utterance: str | None, step: int
    ) -> str:
        result = decide(command, self._situation(actor, utterance))
        self._record(result.bodies, actor, at, step)
        return result.message

    def _situation(self, actor: str, utterance: str | None) -> Situation:
        return Situation(
            state=self._state,
            actor=actor,
            next_finding=f"f{self._findings_made + 1}",
            utterance=utterance,
            utterances=self.utterances,
            done=self._steps.done,
            undone=self._steps.undone,
        )

    def _explain(
        self, index: int, failed: list[tuple[Command, str]], *, nothing_done: bool
    ) -> None:
        """Keep with the utterance why commands of it failed; nothing depends on it yet."""
        event, heard = self._events[index], self._utterances[-1]
        update = {
            "why": "; ".join(filter(None, [heard.why, *(reason for _, reason in failed)])),
            "failed": tuple(reason for command, reason in failed if isinstance(command, RECORDING)),
        }
        if nothing_done and heard.kind in ("finding", "normal"):
            update["kind"] = "ignored"
        self._utterances[-1] = heard.model_copy(update=update)
        self._events[index] = event.model_copy(update={"body": self._utterances[-1]})

    def _closed(self, first: int) -> tuple[Event, ...]:
        """The events from that index on, marked as one act."""
        for index in range(first, len(self._events) - 1):
            self._events[index] = self._events[index].model_copy(update={"more": True})
        return tuple(self._events[first:])

    def _refuse_if_final(self) -> None:
        if self.is_final:
            raise ExamError("This record is final; make an amendment to correct it.")

    def _next_step(self) -> int:
        return self._events[-1].step + 1

    def _record(self, bodies: Sequence[ev.AnyBody], actor: str, at: datetime, step: int) -> None:
        for body in bodies:
            seq = len(self._events) + 1
            self._take(Event(seq=seq, at=at, actor=actor, step=step, body=body))

    def _take(self, event: Event) -> None:
        if event.seq != len(self._events) + 1:
            raise ValueError(f"event {event.seq} stands where {len(self._events) + 1} belongs")
        if (event.seq == 1) != isinstance(event.body, ev.SessionStarted):
            raise ValueError("it does not begin with its start")
        self._events.append(event)
        self._count(event.body)
        if self._steps.take(event):
            self._state = fold(self._steps.standing(self._events))
        else:
            self._state = apply(event.body, self._state)

    def _count(self, body: ev.AnyBody) -> None:
        if isinstance(body, ev.UtteranceHeard):
            self._utterances.append(body)
        elif isinstance(body, ev.FindingAdded):
            self._findings_made += 1
        elif isinstance(body, ev.Amended):
            self._findings_made += len(body.added)
