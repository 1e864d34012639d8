"""Sessions for the tests of the documents: a dictated, a signed and an amended one."""

from __future__ import annotations

from datetime import date

from dictate.exam.commands import AddFinding, Amend, ChangeField, DeleteFinding, MarkRegion, Sign
from dictate.exam.finding import FindingFields
from dictate.exam.session import Session
from dictate.export.extras import (
    DecisionLine,
    EarlierLine,
    Extras,
    PatientDetails,
    PromptLine,
    RecheckLine,
    RiskLine,
    SizePoint,
)
from dictate.vocabulary.loader import load
from tests.exam_samples import START, Chair

EXTRAS = Extras(
    patient=PatientDetails("K-1042", "Alva Nyström-O'Brien", 1961),
    sizes={
        "f1": (
            SizePoint(date(2031, 1, 10), (6.0, 4.0)),
            SizePoint(date(2031, 2, 2), (8.0, 5.0)),
            SizePoint(date(2031, 3, 4), (10.0, 6.0)),
        )
    },
    prompts=(
        PromptLine("present longer than two weeks", "NIDCR, Detecting Oral Cancer", "f1"),
        PromptLine("indurated", "ADA 2017", "f1", urgent=True),
    ),
    decisions=(
        DecisionLine("refer to oral medicine", "indurated", "f1", "A. Berg", date(2031, 3, 4)),
    ),
    rechecks=(RecheckLine(date(2031, 3, 18), "look again", "f3"),),
    risks=(RiskLine("tobacco", "20 a day for 30 years"),),
    earlier=(EarlierLine("White patch of the tongue", date(2031, 1, 10), "larger"),),
)


def chair(patient: str | None = "K-1042") -> Chair:
    """A new session over the whole protocol."""
    return Chair(Session.start("s-2031", load(), START, patient=patient))


def dictated() -> Chair:
    """A draft: a plaque, a variant, a mole without a side, a normal region, small talk."""
    seat = chair()
    seat.hear("cheeks fine", MarkRegion(region="buccal mucosa", state="normal"), kind="normal")
    left_out = MarkRegion(region="oropharynx", state="not_examined", reason="gag reflex")
    seat.hear("throat later", left_out, kind="normal")
    seat.plaque(
        surface=("granular",),
        borders=("ill-defined",),
        consistency=("indurated",),
        tender=False,
        wipes_off=False,
        symptoms=("burning",),
        denied_symptoms=("numbness",),
        duration_days=21,
        note="near <b>tooth</b> & *crown*",
    )
    seat.plaque(
        region="hard palate",
        subsite="palatal midline",
        side=None,
        kind=None,
        normal_variant="torus palatinus",
        size_mm=(),
        colours=(),
    )
    seat.plaque(
        region="face", subsite="chin", side=None, kind="naevus", size_mm=(4.0,), colours=("brown",)
    )
    seat.hear("is the water warm enough", kind="ignored")
    return seat


def signed() -> Chair:
    """The same, confirmed and signed; the mole's side is settled first."""
    seat = dictated()
    seat.key(ChangeField(target="f3", field="side", value="right"))
    seat.confirm_all()
    seat.key(Sign(examiner="A. Berg"))
    return seat


def amended() -> Chair:
    """Signed, then corrected: the plaque's side, the mole struck out, a scar added."""
    seat = signed()
    scar = FindingFields(region="face", subsite="chin", side="left", kind="scar")
    changes = (
        ChangeField(target="f1", field="side", value="right"),
        DeleteFinding(target="f3"),
        AddFinding(fields=scar),
    )
    seat.key(Amend(examiner="C. Dahl", why="side mistaken", changes=changes))
    return seat
