"""A session as its documents tell it: findings numbered in the order of the protocol, in words."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime

from dictate.exam.coverage import RegionCoverage
from dictate.exam.decisions import decision_words
from dictate.exam.events import Amended, Signed
from dictate.exam.finding import Finding
from dictate.exam.readback import finding_words, place_words, title, value_words, without_place
from dictate.exam.record import Record
from dictate.export.coverage_words import coverage_words
from dictate.export.extras import NOTHING, DecisionLine, Extras, PatientDetails, RecheckLine

TITLE = "Examination of face, neck and mouth"
DRAFT = "DRAFT: not confirmed, not signed, not for use in care"
CAUTIONS = (
    "A record and a reminder, not a diagnosis. Licensed clinicians and local guidelines decide.",
    "Anything abnormal that has not healed in two weeks is looked at again or referred.",
)


@dataclass(frozen=True, slots=True)
class Entry:
    """One finding, numbered."""

    number: int
    finding: Finding
    place: str
    """Where, capitalised: "Left lateral border of the tongue"."""
    description: str
    """What, without the place; ends in a full stop."""
    high_risk: bool
    """True at a site that the protocol marks as of higher risk."""
    doubts: tuple[str, ...]
    """What is still to be confirmed: "side (no side was said)"."""

    @property
    def sentence(self) -> str:
        return f"{self.place}: {self.description}"


class Chart:
    """Everything the documents say of one session."""

    def __init__(self, session: Record, extras: Extras = NOTHING) -> None:
        self.session = session
        self.extras = extras
        self.entries = tuple(_entry(*each, session) for each in enumerate(_ordered(session), 1))
        self._numbers = {each.finding.id: each.number for each in self.entries}

    @property
    def is_draft(self) -> bool:
        return not self.session.is_final

    @property
    def patient(self) -> PatientDetails:
        """As given; else the identifier that the session carries."""
        return self.extras.patient or PatientDetails(identifier=self.session.patient)

    @property
    def examined(self) -> date:
        """The day of the visit."""
        return self.session.examined_on

    @property
    def signed(self) -> datetime | None:
        """When it was signed, or amended last; None for a draft."""
        closing = (Signed, Amended)
        events = reversed(self.session.events)
        return next((each.at for each in events if isinstance(each.body, closing)), None)

    @property
    def coverage(self) -> tuple[tuple[RegionCoverage, str], ...]:
        """Every region in the order of the protocol, with what became of it in words."""
        numbers = self._numbers
        return tuple((each, coverage_words(each, numbers)) for each in self.session.coverage)

    def number(self, finding: str | None) -> int | None:
        """The number of the finding with that id; None when it has none here."""
        return self._numbers.get(finding or "")

    def about(self, finding: str | None) -> str:
        """ "Finding 2: " before a line about one finding; nothing before a general one."""
        if finding is None:
            return ""
        number = self.number(finding)
        return f"Finding {number}: " if number else f"{finding}, no longer in the record: "

    @property
    def decisions(self) -> tuple[DecisionLine, ...]:
        """By the number of their finding; those on others come last."""
        last = len(self.entries) + 1
        told = self.extras.decisions
        return tuple(sorted(told, key=lambda each: self.number(each.finding) or last))

    @property
    def rechecks(self) -> tuple[RecheckLine, ...]:
        """The earliest first; of one day by the number of their finding."""
        last = len(self.entries) + 1
        told = self.extras.rechecks
        return tuple(sorted(told, key=lambda x: (x.due, self.number(x.finding) or last)))

    def present_days(self, entry: Entry) -> int | None:
        """How long it has been there: as said today, else as earlier visits tell. None: unknown."""
        finding = entry.finding
        if finding.duration_days is not None or self.first_seen(finding.id) is None:
            return finding.duration_days
        return self.session.assessment(finding.id).present_days

    def first_seen(self, finding: str) -> date | None:
        """When an earlier visit first recorded it; None for one that is new."""
        earlier = self.extras.earlier
        return next((each.first_seen for each in earlier if each.finding == finding), None)

    @property
    def patient_lines(self) -> tuple[tuple[str, str], ...]:
        """Label and value of what is known of the patient."""
        who = self.patient
        born = str(who.birth_year) if who.birth_year else None
        known = (("Patient", who.name), ("Identifier", who.identifier), ("Born", born))
        return tuple((label, value) for label, value in known if value)

    @property
    def signature(self) -> str:
        """The line that says who answers for it."""
        if self.signed is None:
            return "DRAFT: not confirmed, not signed"
        version = f", version {self.session.version}" if self.session.version > 1 else ""
        return f"Confirmed and signed by {self._last_examiner} on {moment(self.signed)}{version}"

    @property
    def _last_examiner(self) -> str:
        closing = (Signed, Amended)
        bodies = (each.body for each in reversed(self.session.events))
        return next(body.examiner for body in bodies if isinstance(body, closing))

    @property
    def amendments(self) -> tuple[str, ...]:
        """What changed after signing, one paragraph a version."""
        events = self.session.events
        return tuple(
            _amendment(e.at, e.body, self._called) for e in events if isinstance(e.body, Amended)
        )

    def _called(self, target: str) -> str:
        """By the number it has in the document: ids are counted in another order."""
        name = self.session.called(target)
        number = self.number(name)
        return f"finding {number}" if number else name

    @property
    def aside(self) -> str:
        """How many utterances made no finding; empty for none."""
        count = len(self.session.set_aside)
        if not count:
            return ""
        were = "1 utterance was" if count == 1 else f"{count} utterances were"
        return f"{were} put aside, whole or in part: kept with the record, in no finding."


def moment(at: datetime) -> str:
    """Local time with its offset, to the minute."""
    return at.astimezone().strftime("%Y-%m-%d %H:%M %z")


def capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _ordered(session: Record) -> list[Finding]:
    order = session.protocol.order
    place = {region: index for index, region in enumerate(order)}
    return sorted(session.findings, key=lambda each: place.get(each.region or "", len(order)))


def _entry(number: int, finding: Finding, session: Record) -> Entry:
    place = capital(place_words(finding))
    station = session.protocol.station(finding.region)
    return Entry(
        number=number,
        finding=finding,
        place=place,
        description=without_place(finding),
        high_risk=station is not None
        and (station.high_risk or finding.subsite in station.high_risk_subsites),
        doubts=tuple(f"{title(each.field)} ({each.why})" for each in finding.needs_review),
    )


def changes_words(body: Amended, called: Callable[[str], str]) -> tuple[str, ...]:
    """What an amendment changed, a phrase a change; `called`: what to call an id."""
    parts = [
        f"{called(each.target)} {title(each.field)}: {value_words(each.field, each.old)}"
        f" -> {value_words(each.field, each.new)}"
        for each in body.changed
    ]
    parts += [f"struck out as entered in error: {finding_words(each)}" for each in body.struck]
    parts += [f"added: {finding_words(each)}" for each in body.added]
    parts += [
        f"decided on {called(each.target)}: {decision_words(each.decision)}"
        for each in body.decided
    ]
    parts += [
        f"answer on {called(each.lesion)} of {each.on}: {each.answer}" for each in body.answered
    ]
    return tuple(parts)


def _amendment(at: datetime, body: Amended, called: Callable[[str], str]) -> str:
    changes = "; ".join(changes_words(body, called))
    return f"Version {body.version}, {moment(at)}, by {body.examiner}: {body.why}. {changes}"
