"""Plays the stories: dictated, reviewed, decided, signed and kept like any examination."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, time, timedelta

from dictate.errors import DictateError
from dictate.exam.commands import (
    Amend,
    Answer,
    ChangeField,
    Decide,
    MarkRegion,
    Sign,
    StartReview,
)
from dictate.exam.events import KEYBOARD
from dictate.exam.parse import parse_field
from dictate.exam.question import Question
from dictate.exam.session import Session
from dictate.matching.deciding import read_decision
from dictate.matching.matcher import Matcher
from dictate.matching.visit_words import VisitWords
from dictate.pipeline.answers import record_answer
from dictate.pipeline.demo.stories import Told, VisitStory
from dictate.pipeline.examination import Examination
from dictate.speech.heard import typed
from dictate.store.patients import PatientBook
from dictate.store.store import Store
from dictate.store.worklist import Worklist
from dictate.vocabulary.schema import Lexicon

ANSWERED_AFTER = timedelta(days=30)
_BEGINS, _PACE = time(8, 0), timedelta(seconds=4)
_BEGUN = timedelta(minutes=20)
YES = Answer(yes=True)


class DemoClinic:
    """Fills a store. Raises DictateError when it holds sessions already."""

    def __init__(self, store: Store, lexicon: Lexicon, today: date) -> None:
        if store.list():
            raise DictateError(
                f"{store.home} holds records already; give an empty folder with --home."
            )
        self._store = store
        self._lexicon = lexicon
        self._today = today
        self._matcher = Matcher(lexicon)
        self._terms = VisitWords(lexicon, {})
        self._made = 0

    def play(self, told: Told) -> None:
        """All visits of one patient."""
        PatientBook(self._store).register(told.patient)
        for visit in told.story.visits:
            draft = told.story.draft and visit is told.story.visits[-1]
            self._visit(told, visit, draft=draft)
            if visit.amend is not None:
                self._amended(told, visit, visit.amend)
            if visit.answer is not None:
                self._answered(told, visit, visit.answer)

    def _visit(self, told: Told, visit: VisitStory, *, draft: bool) -> None:
        on = self._today - timedelta(days=visit.days_ago)
        clock = _clock(on, self._made)
        self._made += 1
        began = clock()
        session = Session.start(
            f"{began:%Y%m%d-%H%M%S}-{self._made:04x}",
            self._lexicon,
            began,
            patient=told.patient.id,
            on=on,
            lesions=Worklist(self._store).open_lesions(told.patient.id),
            followup=self._lexicon.followup.chosen(),
        )
        examination = Examination(session, self._matcher, clock=clock)
        for line in told.lines(visit):
            examination.hear(typed(line))
        if not draft:
            self._finish(examination, list(visit.decide), told.examiner)
        self._store.create(session)

    def _finish(self, examination: Examination, decisions: list[str], examiner: str) -> None:
        """Call the rest normal, answer every question, and sign."""
        session = examination.session
        for region in [each.region for each in session.coverage if not each.examined]:
            examination.do(MarkRegion(region=region, state="normal"))
        examination.do(StartReview())
        while (review := session.review) is not None and review.current is not None:
            self._answer(examination, review.current, decisions)
        examination.do(Sign(examiner=examiner))

    def _answer(self, examination: Examination, asked: Question, decisions: list[str]) -> None:
        session = examination.session
        if asked.kind != "decision" or not decisions:
            examination.do(YES)  # raises ExamError where a rule wants a decision
            return
        words, _, reason = decisions.pop(0).partition(":")
        examination.do(self._decision(words, reason.strip(), session))

    def _decision(self, words: str, reason: str, session: Session) -> Decide:
        """ "recheck 14" is a re-check in fourteen days; else the words of the vocabulary."""
        kind, _, days = words.partition(" ") if words.startswith("recheck") else (words, "", "")
        spoken = read_decision(tuple(kind.split()), self._terms, None, free_reason=False)
        if spoken is None:
            raise DictateError(f"{words!r} is no decision.")
        due = session.examined_on + timedelta(days=int(days)) if days else None
        return Decide(target="last", decision=spoken.decision, reason=reason, due=due)

    def _amended(self, told: Told, visit: VisitStory, words: str) -> None:
        change, _, why = words.partition(":")
        target, field, value = change.split(maxsplit=2)
        new = parse_field(field, value, self._lexicon)
        command = Amend(
            examiner=told.examiner,
            why=why.strip(),
            changes=(ChangeField(target=target, field=field, value=new),),
        )
        on = self._today - timedelta(days=visit.days_ago - 1)
        latest = Worklist(self._store).visits(told.patient.id)[-1].session
        self._store.amend(latest, command, actor=KEYBOARD, at=_clock(on, self._made)())

    def _answered(self, told: Told, visit: VisitStory, words: str) -> None:
        on = self._today - timedelta(days=visit.days_ago) + ANSWERED_AFTER
        recheck = on + timedelta(days=visit.recheck_in) if visit.recheck_in else None
        record_answer(
            self._store,
            told.patient.id,
            "L1",
            words,
            by=told.examiner,
            on=on,
            recheck=recheck,
            at=_clock(on, self._made)(),
        )


def _clock(on: date, turn: int) -> Callable[[], datetime]:
    """Moves on a few seconds with each look; each visit of a day has an hour of its own.

    Today's have begun already: a record from later today would read as a clock set back.
    """
    start = datetime.combine(on, _BEGINS, UTC) + timedelta(minutes=17 * (turn % 30))
    if on == date.today():
        start = min(start, datetime.now(UTC) - _BEGUN)
    moments = _moments(start)
    return lambda: next(moments)


def _moments(start: datetime) -> Iterator[datetime]:
    while True:
        yield start
        start += _PACE
