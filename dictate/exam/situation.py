"""What a rule may look at when it decides on a command, and what it answers."""

from __future__ import annotations

from dataclasses import dataclass

from dictate.errors import ExamError
from dictate.exam import events as ev
from dictate.exam.finding import Finding
from dictate.exam.protocol import Station
from dictate.exam.review import review
from dictate.exam.state import State


@dataclass(frozen=True, slots=True)
class Situation:
    """The session at one moment, and who is acting."""

    state: State
    actor: str
    next_finding: str
    """The id that a new finding gets."""
    utterance: str | None = None
    """The utterance that the command was heard in."""
    utterances: tuple[ev.UtteranceHeard, ...] = ()
    done: tuple[int, ...] = ()
    """Steps that can be undone, the latest last."""
    undone: tuple[int, ...] = ()
    """Steps that can be redone, the next one last."""

    @property
    def by_voice(self) -> bool:
        return self.actor == ev.VOICE

    def region(self, name: str) -> Station:
        """The station of that name. Raises ExamError when the protocol has none."""
        station = self.state.protocol.station(name)
        if station is None:
            raise ExamError(f"No region is called {name}; use a name from the list of regions.")
        return station


@dataclass(frozen=True, slots=True)
class Result:
    """Events to record, and a line for the screen."""

    bodies: tuple[ev.AnyBody, ...]
    message: str


def target(name: str, now: Situation) -> Finding:
    """The finding meant: by id, or the last; in the review, the one being asked about.

    Raises ExamError when it is not there.
    """
    findings = now.state.findings
    if not findings:
        raise ExamError("There is no finding yet; dictate one first.")
    if name == "last" and now.state.reviewing:
        name = _asked_about(now)
    if name == "last":
        return findings[-1]
    finding = now.state.finding(name)
    if finding is None:
        known = ", ".join(each.id for each in findings)
        raise ExamError(f"There is no finding {name}; there are {known}.")
    return finding


def _asked_about(now: Situation) -> str:
    """Words said in the review mean the finding on the screen, not the one dictated last."""
    question = review(now.state, now.utterances).current
    if question is None or question.finding is None:
        raise ExamError("The question asks of no finding; choose the finding by keyboard.")
    return question.finding
