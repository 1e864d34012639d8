"""A small protocol and short ways to drive a session, for the tests of exam and store."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from dictate.exam.commands import AddFinding, Answer, Command, Sign, StartReview
from dictate.exam.events import UtteranceHeard, UtteranceKind
from dictate.exam.finding import FindingFields
from dictate.exam.protocol import Protocol, Station
from dictate.exam.session import Outcome, Session

START = datetime(2031, 3, 4, 9, 30, tzinfo=UTC)
PROTOCOL = Protocol(
    stations=(
        Station(region="face", zone="extraoral"),
        Station(region="buccal mucosa"),
        Station(
            region="tongue",
            subsites=("dorsum", "lateral border", "ventral surface"),
            midline=("dorsum",),
            high_risk=True,
        ),
        Station(region="hard palate", paired=False),
    )
)
PLAQUE = FindingFields(
    region="tongue",
    subsite="lateral border",
    side="left",
    kind="plaque",
    count=1,
    size_mm=(10.0, 6.0),
    colours=("white",),
)


class Chair:
    """A session with a clock that moves a second at each act."""

    def __init__(self, session: Session | None = None) -> None:
        self.session = session or Session.start("s1", PROTOCOL, START)
        self.now = START

    def tick(self) -> datetime:
        self.now += timedelta(seconds=1)
        return self.now

    def key(self, command: Command) -> Outcome:
        """By keyboard."""
        return self.session.do(command, actor="keyboard", at=self.tick())

    def voice(self, command: Command) -> Outcome:
        return self.session.do(command, actor="voice", at=self.tick())

    def hear(
        self, text: str, *commands: Command, kind: UtteranceKind = "finding", **more: object
    ) -> Outcome:
        heard = UtteranceHeard.model_validate(
            {"id": "", "text": text, "kind": kind, "confidence": 0.9, **more}
        )
        return self.session.hear(heard, commands, at=self.tick())

    def plaque(self, **changes: object) -> Outcome:
        """Dictate the usual finding, with other fields where given."""
        fields = FindingFields.model_validate({**PLAQUE.model_dump(), **changes})
        return self.hear("a plaque", AddFinding(fields=fields, said="a plaque"))

    def confirm_all(self) -> None:
        """Start the review and say yes to everything."""
        self.key(StartReview())
        while (review := self.session.review) is not None and review.open:
            self.voice(Answer(yes=True))

    def signed(self) -> None:
        self.confirm_all()
        self.key(Sign(examiner="A. Berg"))
