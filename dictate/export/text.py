"""The summary of a session as plain text."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from dictate.exam.coverage import RegionCoverage
from dictate.exam.events import Amended, Signed
from dictate.exam.finding import Finding
from dictate.exam.readback import finding_words, title
from dictate.exam.session import Session

CAUTION = (
    "A record and a reminder, not a diagnosis. Licensed clinicians and local guidelines decide.\n"
    "Anything abnormal that has not healed in two weeks is looked at again or referred."
)
WIDTH = 72


def summary(session: Session) -> str:
    """The whole session in words, ending in a newline; a draft says so at both ends."""
    blocks = [
        _head(session),
        _section("Findings", _findings(session)),
        _section("Regions", [_region(each) for each in session.coverage]),
        _section("Put aside (no finding was made of it)", _aside(session)),
        CAUTION,
        _foot(session),
    ]
    return "\n\n".join(block for block in blocks if block) + "\n"


def _head(session: Session) -> str:
    lines = ["EXAMINATION OF FACE, NECK AND MOUTH", "=" * WIDTH]
    if not session.is_final:
        lines.append("DRAFT: not confirmed, not signed, not for use in care")
    lines.append(f"Session   {session.id}")
    if session.patient:
        lines.append(f"Patient   {session.patient}")
    lines.append(f"Examined  {_when(session.created)}")
    return "\n".join(lines)


def _section(name: str, lines: list[str]) -> str:
    return "\n".join([name, "-" * len(name), *lines]) if lines else ""


def _findings(session: Session) -> list[str]:
    if not session.findings:
        return ["No finding was recorded."]
    order = session.protocol.order
    place = {region: index for index, region in enumerate(order)}
    ordered = sorted(session.findings, key=lambda each: place.get(each.region or "", len(order)))
    return [line for index, each in enumerate(ordered, 1) for line in _finding(index, each)]


def _finding(index: int, finding: Finding) -> Iterator[str]:
    yield f"{index}. {finding_words(finding)}"
    for doubt in finding.needs_review:
        yield f"   TO CONFIRM: {title(doubt.field)} ({doubt.why})"


def _region(each: RegionCoverage) -> str:
    words: str = each.status
    if each.findings:
        words += f" ({len(each.findings)})"
    if each.status == "not examined" and each.reason:
        words += f": {each.reason}"
    return f"{each.region:<28}{words}"


def _aside(session: Session) -> list[str]:
    return [f'"{each.text}"' + (f" ({each.why})" if each.why else "") for each in session.set_aside]


def _foot(session: Session) -> str:
    if not session.is_final:
        return "DRAFT: not confirmed, not signed"
    version = f", version {session.version}" if session.version > 1 else ""
    return f"Confirmed and signed by {session.examiner} on {_when(_signed(session))}{version}"


def _signed(session: Session) -> datetime:
    """When it was signed, or amended last."""
    closing = (Signed, Amended)
    return next(each.at for each in reversed(session.events) if isinstance(each.body, closing))


def _when(at: datetime) -> str:
    """Local time with its offset, to the minute."""
    return at.astimezone().strftime("%Y-%m-%d %H:%M %z")
