"""One examination: commands go in, events come out, and the events are the record."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Self

from dictate.errors import ExamError
from dictate.exam import events as ev
from dictate.exam.commands import RECORDING, Amend, Command, Redo, Resume, Undo
from dictate.exam.events import Event
from dictate.exam.lesions import Lesion
from dictate.exam.protocol import Protocol
from dictate.exam.record import Record
from dictate.exam.rules import decide
from dictate.exam.situation import Situation
from dictate.vocabulary.followup import FollowUp
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


class Session(Record):
    """An examination, draft or final. Made by `start` or `from_events`; one thread owns it."""

    @classmethod
    def start(
        cls,
        id: str,  # noqa: A002
        protocol: Protocol | Lexicon,
        at: datetime,
        *,
        engine: str | None = None,
        patient: str | None = None,
        newcomer: str | None = None,
        on: date | None = None,
        lesions: Sequence[Lesion] = (),
        followup: FollowUp | None = None,
        actor: str = ev.SYSTEM,
    ) -> Self:
        """A new draft; `at` is aware. Its one event is in `events`, to be journalled.

        `newcomer`: why the patient's identifier is to be confirmed; `on`: the day where the clinic
        is; `lesions`: the patient's open ones; `followup`: the rules in use, without which no
        decision is asked for.
        """
        order = protocol if isinstance(protocol, Protocol) else Protocol.of(protocol)
        body = ev.SessionStarted(
            id=id,
            protocol=order,
            engine=engine,
            patient=patient,
            newcomer=newcomer,
            on=on or at.date(),
            lesions=tuple(lesions),
            followup=followup,
        )
        return cls([Event(seq=1, at=at, actor=actor, step=0, body=body)])

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
        name = self.names.get(actor)
        via = None if name is None else actor
        for body in bodies:
            seq = len(self._events) + 1
            self._take(Event(seq=seq, at=at, actor=name or actor, via=via, step=step, body=body))
