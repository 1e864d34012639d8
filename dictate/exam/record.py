"""A record: what the events of an examination amount to, to be read."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Self

from dictate.errors import ExamError
from dictate.exam import events as ev
from dictate.exam.assessing import assessment
from dictate.exam.coverage import RegionCoverage, coverage
from dictate.exam.decisions import Decision
from dictate.exam.events import Event
from dictate.exam.finding import Finding, FindingFields
from dictate.exam.following import LesionToday, today
from dictate.exam.followup import Assessment, Prompt
from dictate.exam.protocol import Protocol
from dictate.exam.review import Review, review, set_aside
from dictate.exam.risks import Risk
from dictate.exam.state import State, apply, fold
from dictate.exam.steps import Steps


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
    gone_to: bool
    """True if the region was gone to, and nothing was said of another one since."""


class Record:
    """The reading side of a session."""

    def __init__(self, events: Iterable[Event] = ()) -> None:
        self.names: Mapping[str, str] = {}
        """Who speaks ("voice") and who types ("keyboard") from now on, where they are named."""
        self._events: list[Event] = []
        self._state = State()
        self._steps = Steps()
        self._utterances: list[ev.UtteranceHeard] = []
        self._findings_made = 0
        for event in events:
            self._take(event)

    @classmethod
    def from_events(cls, events: Iterable[Event]) -> Self:
        """The record that these events make. Raises ExamError when they make none."""
        try:
            record = cls(events)
        except (ValueError, KeyError) as error:
            raise ExamError(
                f"The events make no examination ({error}); restore the record from a backup."
            ) from None
        if not record._events:
            raise ExamError("The record is empty; restore it from a backup.")
        if record._events[-1].more:
            raise ExamError("The record ends in the middle of an act; restore it from a backup.")
        return record

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
    def examined_on(self) -> date:
        """The day of the visit."""
        return self._state.on

    @property
    def lesions(self) -> tuple[LesionToday, ...]:
        """The patient's open lesions of earlier visits, and what was said of each today."""
        return today(self._state.following, self.findings)

    @property
    def risks(self) -> tuple[Risk, ...]:
        """The risk history as told at this visit."""
        return tuple(self._state.following.risks.values())

    def assessment(self, finding: str) -> Assessment:
        """What the record's follow-up rules say of a finding. KeyError for an unknown one."""
        found = self._state.finding(finding)
        if found is None:
            raise KeyError(finding)
        return assessment(self._state, found)

    @property
    def alarms(self) -> tuple[tuple[str, Prompt], ...]:
        """What should not wait: (finding's id, prompt), as long as nobody has decided on it."""
        if self._state.followup is None:
            return ()
        return tuple(
            (finding.id, prompt)
            for finding in self.findings
            for prompt in assessment(self._state, finding).prompts
            if prompt.urgency == "at once" and self.decision(finding.id) is None
        )

    def decision(self, target: str) -> Decision | None:
        """The decision on a finding (or lesion) of that id, if one was made."""
        made = self._state.following.decisions.get(target)
        return made.decision if made else None

    def called(self, target: str) -> str:
        """What a finding or lesion of that id is called: "f1", "L2"."""
        lesion = self._state.following.lesion(target)
        return lesion.label if lesion else target.removeprefix(f"{self.id}/")

    def finding_of(self, lesion: str) -> str | None:
        """The finding of this record that is that lesion; None where it was not described."""
        own = self.finding(lesion.removeprefix(f"{self.id}/"))
        return own.id if own else self._state.following.finding_of(lesion)

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
            gone_to=self._state.gone_to,
        )

    def at_version(self, version: int) -> Self:
        """The final record as signed (1) or as an amendment left it. ExamError if it has none."""
        ends = {
            each.body.version if isinstance(each.body, ev.Amended) else 1: each.seq
            for each in self._events
            if isinstance(each.body, ev.Signed | ev.Amended)
        }
        if version not in ends:
            known = f"has versions 1 to {self.version}" if ends else "is a draft"
            raise ExamError(f"There is no version {version}: the record {known}.")
        return type(self)(self._events[: ends[version]])

    def _take(self, event: Event) -> None:
        if event.seq != len(self._events) + 1:
            raise ValueError(f"event {event.seq} stands where {len(self._events) + 1} belongs")
        if (event.seq == 1) != isinstance(event.body, ev.SessionStarted):
            raise ValueError("it does not begin with its start")
        if event.seq == 1:
            self._state = _before(event.at)
        self._events.append(event)
        self._count(event.body)
        if self._steps.take(event):
            self._state = fold(self._steps.standing(self._events), _before(self.created))
        else:
            self._state = apply(event.body, self._state)

    def _count(self, body: ev.AnyBody) -> None:
        if isinstance(body, ev.UtteranceHeard):
            self._utterances.append(body)
        elif isinstance(body, ev.FindingAdded):
            self._findings_made += 1
        elif isinstance(body, ev.Amended):
            self._findings_made += len(body.added)


def _before(start: datetime) -> State:
    """What is known before the first event counts: the day, which old records tell no other way."""
    return State(on=start.date())
