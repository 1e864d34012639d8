"""A small clinic in a store, and the application opened over it."""

from __future__ import annotations

from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager, contextmanager
from pathlib import Path

from dictate.exam.commands import Decide, FollowLesion, ResolveLesion
from dictate.exam.finding import FindingFields
from dictate.exam.patients import Patient
from dictate.exam.session import Session
from dictate.export.formats import BY_ENDING
from dictate.matching.matcher import Matcher
from dictate.pipeline.clinic import Clinic
from dictate.pipeline.examination import Examination
from dictate.store.patients import PatientBook
from dictate.store.store import Store
from dictate.store.worklist import Worklist
from dictate.tui.aloud import Aloud
from dictate.tui.app import ExamApp
from tests.exam_samples import Chair
from tests.tui_samples import LEXICON, SMALL, START, Clock, HandFed, Scene
from tests.visit_samples import FIRST, LATER, RULES, at, chair, days

TODAY = LATER + days(3)
MATCHER = Matcher(LEXICON)


@contextmanager
def small_clinic(folder: Path) -> Iterator[Store]:
    """P-1, whose lesion shrank and is overdue; P-2, whose answer is missing; P-3, healed."""
    with Store(folder) as store:
        book = PatientBook(store)
        book.register(Patient.of("P-1", "Ada Rowan", 1961))
        book.register(Patient.of("P-2", "Bram Thistle", 1950))
        book.register(Patient.of("P-3", "Cleo Rowan"))
        _visit(store, "P-1", Decide(target="f1", decision="recheck", reason="trauma likely"))
        _visit(store, "P-2", Decide(target="f1", decision="refer", reason="indurated"))
        _visit(store, "P-3", Decide(target="f1", decision="recheck", reason="sharp tooth"))
        _again(store, "P-1")
        _healed(store, "P-3")
        yield store


def _visit(store: Store, patient: str, decision: Decide) -> None:
    made = chair(FIRST, patient=patient, followup=RULES, session=f"s1-{patient}")
    made.plaque(colours=())
    made.key(decision)
    made.signed()
    store.create(made.session)


def _again(store: Store, patient: str) -> None:
    made = _second(store, patient)
    size = FindingFields(size_mm=(6.0, 4.0))
    made.key(FollowLesion(lesion="L1", what="changed", fields=size))
    made.key(Decide(target="f1", decision="recheck", reason="shrinking", due=LATER + days(1)))
    made.signed()
    store.create(made.session)


def _healed(store: Store, patient: str) -> None:
    made = _second(store, patient)
    made.key(ResolveLesion(lesion="L1"))
    made.signed()
    store.create(made.session)


def _second(store: Store, patient: str) -> Chair:
    lesions = Worklist(store).open_lesions(patient)
    return chair(LATER, patient=patient, followup=RULES, session=f"s2-{patient}", open_=lesions)


@asynccontextmanager
async def beside(
    store: Store,
    size: tuple[int, int] = SMALL,
    patient: str | None = "P-1",
    newcomer: str | None = None,
) -> AsyncIterator[Scene]:
    """An examination of that patient is going on, and the store's records can be opened."""
    session = Session.start(
        "s9",
        LEXICON,
        START,
        patient=patient,
        newcomer=newcomer,
        on=TODAY,
        lesions=Worklist(store).open_lesions(patient) if patient else (),
        followup=LEXICON.followup.chosen(),
    )
    store.create(session)
    clock = Clock()
    app = ExamApp(
        Examination(session, MATCHER, store, clock=lambda: at(TODAY)),
        LEXICON,
        HandFed,
        BY_ENDING,
        aloud=Aloud(command=None),
        clock=clock,
        clinic=Clinic(store, lambda: TODAY),
    )
    async with app.run_test(size=size) as pilot:
        scene = Scene(app, pilot, clock, store)
        await scene.settle()
        yield scene
