"""The examination as the screens see it: one place to read it from and to change it through."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from dataclasses import dataclass

from dictate.errors import DictateError
from dictate.exam.commands import Command
from dictate.exam.events import KEYBOARD, VOICE
from dictate.exam.events import UtteranceHeard as Recorded
from dictate.exam.session import Outcome, Session
from dictate.pipeline.examination import Examination
from dictate.speech.heard import Utterance, typed
from dictate.vocabulary.schema import Lexicon

_KEPT = 200
"""Lines of the conversation kept for the screen; the record itself keeps all."""


@dataclass(frozen=True, slots=True)
class Line:
    """Something said or typed, and what was made of it."""

    text: str
    kind: str
    """An utterance's kind, or "held" for speech that was not passed on."""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Notice:
    """The latest answer of the program."""

    text: str
    warning: bool = False
    in_lines: bool = False
    """True if the conversation shows the same words."""


class Desk:
    """Carries out what keys and speech ask for, and tells when something changed."""

    def __init__(self, examination: Examination, lexicon: Lexicon) -> None:
        self.examination = examination
        self.lexicon = lexicon
        self.lines: deque[Line] = deque(map(_line, examination.session.utterances), _KEPT)
        new = examination.session.state.newcomer
        first = " ".join(filter(None, (new, examination.warning)))
        self.notice = Notice(first, warning=bool(first))
        self.changed: Callable[[], None] = lambda: None
        """Called after every change; the application sets it."""

    @property
    def session(self) -> Session:
        return self.examination.session

    @property
    def problem(self) -> str | None:
        """Why the latest events are only in memory; None while all is kept."""
        return self.examination.problem

    def tell(self, text: str, *, warning: bool = False, in_lines: bool = False) -> None:
        """Show a line."""
        self.notice = Notice(text, warning, in_lines)
        self.changed()

    def do(self, command: Command, actor: str = KEYBOARD) -> Outcome | None:
        """Carry out a command of a screen; None when it does not fit, which is then told."""
        try:
            outcome = self.examination.do(command, actor)
        except DictateError as error:
            self.tell(str(error), warning=True)
            return None
        self.tell(tidy(outcome.message))
        return outcome

    def hear(self, utterance: Utterance) -> tuple[Command, ...]:
        """Take what was said; answers with the commands it was read as."""
        return self._take(utterance, VOICE)

    def type(self, text: str) -> tuple[Command, ...]:
        """Take a typed line as if it had been said."""
        return self._take(typed(text), KEYBOARD)

    def hold(self, utterance: Utterance, why: str) -> None:
        """Put aside, unread, what was said to a screen that must not act on it.

        After signing it is no part of the record, and only shown.
        """
        if not self.session.is_final:
            self.examination.put_aside(utterance, why)
        self.lines.append(Line(utterance.text, "held", why))
        self.tell(f'Not taken: "{utterance.text}" ({why})', warning=True)

    def refuse(self, utterance: Utterance, why: str) -> None:
        """Show that what was said is not recorded, as in a pause."""
        self.lines.append(Line(utterance.text, "held", why))
        self.changed()

    def obey(self, utterance: Utterance) -> None:
        """Keep and show words that a screen acts upon; after signing they are only shown."""
        if not self.session.is_final:
            self.examination.obeyed(utterance)
        self.lines.append(Line(utterance.text, "command"))
        self.changed()

    def pass_on(self, utterance: Utterance) -> None:
        """Show words that went into a kept record, which need not be of the chair's patient."""
        self.lines.append(Line(utterance.text, "command", "for the record on the screen"))
        self.changed()

    def miss(self, start_s: float, end_s: float, why: str) -> None:
        """Record and tell that something may have been said of which no word is known."""
        if not self.session.is_final:
            self.examination.miss(start_s, end_s, why)
        self.lines.append(Line("", "held", why))
        self.tell(why[0].upper() + why[1:], warning=True)

    def overhear(self, why: str) -> None:
        """Tell of speech that is no part of the record; its words are not shown either."""
        self.lines.append(Line("", "held", why))
        self.tell(why[0].upper() + why[1:], warning=True)

    def _take(self, utterance: Utterance, actor: str) -> tuple[Command, ...]:
        events = len(self.session.events)
        try:
            heard = self.examination.hear(utterance, actor)
        except DictateError as error:
            self.lines.append(Line(utterance.text, "held", str(error)))
            self.tell(str(error), warning=True)
            return ()
        except Exception as error:
            # A fault in reading one utterance must not end the examination.
            if len(self.session.events) != events:
                raise
            self.hold(utterance, f"the program failed on these words ({type(error).__name__})")
            return ()
        outcome = heard.outcome
        recorded = any(isinstance(event.body, Recorded) for event in outcome.events)
        kind = self.session.utterances[-1].kind if recorded else "held"
        note = tidy(outcome.message) or heard.reading.why
        self.lines.append(Line(heard.reading.text, kind, note))
        doubtful = bool(outcome.failed) or kind in ("ignored", "held")
        self.tell(note, warning=doubtful, in_lines=True)
        return heard.reading.commands


def tidy(message: str) -> str:
    """Several sentences joined to one line, without "normal.; ..."."""
    return message.replace(".; ", ". ")


def _line(heard: Recorded) -> Line:
    return Line(heard.text, heard.kind, heard.why)
