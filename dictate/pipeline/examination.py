"""An examination under way: what is heard or typed goes through matcher, session and store."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Protocol, runtime_checkable

from dictate.errors import StoreError
from dictate.exam.commands import AddFinding, ChangeField, Command, Sign
from dictate.exam.events import KEYBOARD, VOICE, Event, UtteranceHeard
from dictate.exam.finding import FindingFields
from dictate.exam.session import Outcome, Session
from dictate.matching.matcher import Matcher
from dictate.matching.reading import Context, Reading
from dictate.speech.heard import Utterance, typed

if TYPE_CHECKING:  # text alone is read without a database
    from dictate.store.roles import Roles


class Keeper(Protocol):
    """Where events are kept before they are shown as done."""

    def append(self, session_id: str, events: tuple[Event, ...]) -> None:
        """Make the events durable. Raises StoreError when that fails."""


@runtime_checkable
class Gate(Protocol):
    """A keeper that knows who acts, and whose database may be behind its journals."""

    behind: str | None

    @property
    def roles(self) -> Roles: ...


@dataclass(frozen=True, slots=True)
class Heard:
    """What was made of one utterance."""

    utterance: Utterance
    reading: Reading
    outcome: Outcome


def now() -> datetime:
    return datetime.now(UTC)


class Examination:
    """Joins a session with its matcher and its store. One thread owns it."""

    def __init__(
        self,
        session: Session,
        matcher: Matcher,
        keeper: Keeper | None = None,
        clock: Callable[[], datetime] = now,
    ) -> None:
        self.session = session
        self.problem: str | None = None
        """Why the latest events are only in memory; None while all is kept."""
        self.warning: str | None = None
        """What to look at before beginning."""
        self._matcher = matcher
        self._keeper = keeper
        self._clock = clock
        self._unkept: list[Event] = []
        self._gate = keeper if isinstance(keeper, Gate) else None
        self._roles = self._gate.roles if self._gate is not None else None
        if self._roles is not None:
            session.names = self._roles.names

    @property
    def behind(self) -> str | None:
        """Why the latest events are on this machine's disk and not in the database yet."""
        return self._gate.behind if self._gate is not None else None

    @property
    def signer(self) -> str | None:
        """Whose name a signature would be, where somebody is named."""
        return self._roles.user if self._roles is not None else None

    def why_unsigned(self) -> str | None:
        """Why whoever acts cannot sign, and who can; None where they can."""
        name = self.signer or ""
        if self._roles is None:
            return None
        try:
            self._roles.may_sign(name)
        except StoreError as error:
            examiners = ", ".join(self._roles.examiners())
            return f"{error} Examiners here: {examiners}." if examiners else str(error)
        return None

    def hear(self, utterance: Utterance, actor: str = VOICE) -> Heard:
        """Match an utterance and carry out what it says. ExamError once the record is final."""
        context = self.context()
        if actor != VOICE:  # a pause stops the microphone's words, not the keyboard's
            context = replace(context, paused=False)
        reading = self._matcher.read(utterance, context)
        body = UtteranceHeard(
            id="",
            text=reading.text,
            start_s=utterance.start_s,
            end_s=utterance.end_s,
            kind=reading.kind,
            confidence=reading.confidence,
            why=reading.why,
            not_understood=reading.not_understood,
        )
        outcome = self.session.hear(body, reading.commands, at=self._clock(), actor=actor)
        self._keep(outcome.events)
        return Heard(utterance, reading, outcome)

    def put_aside(self, utterance: Utterance, why: str) -> None:
        """Keep what was said without acting on it. ExamError once the record is final."""
        body = UtteranceHeard(
            id="",
            text=utterance.text,
            start_s=utterance.start_s,
            end_s=utterance.end_s,
            confidence=utterance.confidence,
            why=why,
        )
        self._keep(self.session.hear(body, (), at=self._clock()).events)

    def obeyed(self, utterance: Utterance) -> None:
        """Keep words that asked something of the screen. ExamError once the record is final."""
        body = UtteranceHeard(
            id="",
            text=utterance.text,
            start_s=utterance.start_s,
            end_s=utterance.end_s,
            kind="command",
            confidence=utterance.confidence,
        )
        self._keep(self.session.hear(body, (), at=self._clock()).events)

    def as_value(self, words: tuple[str, ...], utterance: Utterance) -> ChangeField | None:
        """What the utterance is as a field's value, said after `words` ("correct", "size").

        None if it is none. Nothing is changed.
        """
        lead = typed(" ".join(words)).words
        readings = tuple(replace(h, words=(*lead, *h.words)) for h in utterance.hypotheses)
        whole = replace(utterance, hypotheses=readings, free_text=None, command=(), instead=False)
        commands = self._matcher.read(whole, Context(on=self.session.examined_on)).commands
        found = commands[0] if len(commands) == 1 else None
        return found if isinstance(found, ChangeField) else None

    def described(self, text: str) -> FindingFields | None:
        """The one finding that the words alone describe; fields in doubt are left empty."""
        commands = self._matcher.read(typed(text), Context(on=self.session.examined_on)).commands
        added = [each for each in commands if isinstance(each, AddFinding)]
        if len(added) != 1 or len(commands) != 1:
            return None
        doubted = {doubt.field for doubt in added[0].needs_review}
        said = added[0].fields.model_dump(exclude=doubted)
        return FindingFields.model_validate(said)

    def miss(self, start_s: float, end_s: float, why: str) -> Outcome:
        """Record that something may have been said that left no words."""
        body = UtteranceHeard(
            id="", text="", start_s=start_s, end_s=end_s, kind="ignored", confidence=0.0, why=why
        )
        outcome = self.session.hear(body, (), at=self._clock())
        self._keep(outcome.events)
        return outcome

    def do(self, command: Command, actor: str = KEYBOARD) -> Outcome:
        """Carry out one command. Raises ExamError when it does not fit.

        Raises StoreError, nothing being done, for the signature of somebody who may not sign.
        """
        if isinstance(command, Sign) and self._roles is not None:
            command = Sign(examiner=self._roles.may_sign(command.examiner))
        outcome = self.session.do(command, actor=actor, at=self._clock())
        self._keep(outcome.events)
        return outcome

    def context(self) -> Context:
        """Where the examination stands, in the matcher's terms."""
        at, review = self.session.position, self.session.review
        asked = review.current if review is not None else None
        return Context(
            region=at.region,
            subsite=at.subsite,
            side=at.side,
            last=at.last,
            reviewing=at.reviewing,
            paused=at.paused,
            gone_to=at.gone_to,
            lesions=self.session.lesions,
            asked_lesion=asked.lesion if asked else None,
            on=self.session.examined_on,
        )

    def retry(self) -> bool:
        """Try to keep what could not be kept before, if anything. True once all is kept."""
        self._keep(())
        return self.problem is None

    def _keep(self, events: tuple[Event, ...]) -> None:
        """Keep these and whatever could not be kept before; never lose one from memory."""
        if self._keeper is None:
            return
        self._unkept += events
        if not self._unkept and self.problem is None:
            return
        try:
            self._keeper.append(self.session.id, tuple(self._unkept))
        except StoreError as error:
            self.problem = str(error)
        else:
            self._unkept.clear()
            self.problem = None
