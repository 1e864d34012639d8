"""The referral letter: chosen findings of a signed session, addressed as the sender says."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from dictate.errors import ExportError
from dictate.exam.readback import and_words
from dictate.exam.record import Record
from dictate.export.chart import Chart, Entry, capital
from dictate.export.extras import NOTHING, Extras
from dictate.export.note import (
    decision_lines,
    earlier_lines,
    prompts,
    recheck_lines,
    size_lines,
)
from dictate.export.text import WIDTH, wrapped

BLANK = "_" * 34
"""Where something was not given: to be filled in by hand, never made up."""
CAUTION = (
    "This letter describes what was seen and felt. It makes no diagnosis: the assessment is the"
    " recipient's."
)


@dataclass(frozen=True, slots=True)
class LetterDetails:
    """What only the sender knows; what is left out is left blank in the letter."""

    recipient: tuple[str, ...] = ()
    """Name and address, line by line."""
    sender: tuple[str, ...] = ()
    written: date | None = None
    request: str = ""
    """What is asked of the recipient, in the sender's words."""
    findings: tuple[str, ...] = ()
    """Ids of the findings to refer; all abnormal ones when empty."""


@dataclass(frozen=True, slots=True)
class Letter:
    """The letter's parts, in order."""

    sender: tuple[str, ...]
    recipient: tuple[str, ...]
    written: str
    subject: tuple[tuple[str, str], ...]
    opening: tuple[str, ...]
    findings: tuple[str, ...]
    history: tuple[str, ...]
    closing: tuple[str, ...]
    signature: str


def letter(session: Record, details: LetterDetails, extras: Extras = NOTHING) -> Letter:
    """The letter of a signed session.

    Raises ExportError for a draft, an unknown finding, and when there is nothing to refer.
    """
    if not session.is_final:
        raise ExportError("A letter needs a signed session; go through the review and sign first.")
    chart = Chart(session, extras)
    chosen = _chosen(chart, details.findings)
    return Letter(
        sender=details.sender or (BLANK,),
        recipient=details.recipient or (BLANK,),
        written=str(details.written) if details.written else BLANK,
        subject=chart.patient_lines or (("Patient", BLANK),),
        opening=(
            "Dear colleague,",
            f"On {chart.examined} this patient's face, neck and mouth were examined."
            f" {_asked(details.request)}",
        ),
        findings=tuple(f"{entry.number}. {entry.sentence}" for entry in chosen),
        history=tuple(_history(chart, chosen)),
        closing=(_not_examined(chart), CAUTION, "With thanks and kind regards,"),
        signature=chart.signature,
    )


def letter_text(session: Record, details: LetterDetails, extras: Extras = NOTHING) -> str:
    """The letter as plain text, ending in a newline. Raises ExportError as `letter` does."""
    made = letter(session, details, extras)
    blocks: list[Sequence[str]] = [
        ["From:", *made.sender],
        ["To:", *made.recipient],
        [f"Date: {made.written}"],
        [f"{label}: {value}" for label, value in made.subject],
        *([each] for each in made.opening),
        made.findings,
        ["Background:", *made.history] if made.history else [],
        *([each] for each in made.closing),
        [BLANK],
        [made.signature],
    ]
    lines = ["\n".join(line for each in block for line in wrapped(each, 0)) for block in blocks]
    return f"REFERRAL\n{'=' * WIDTH}\n\n" + "\n\n".join(filter(None, lines)) + "\n"


def _chosen(chart: Chart, wanted: Sequence[str]) -> list[Entry]:
    known = {each.finding.id: each for each in chart.entries}
    unknown = [name for name in wanted if name not in known]
    if unknown:
        names = and_words(known) or "none"
        raise ExportError(f"There is no finding {unknown[0]} in the session; there are {names}.")
    chosen = [
        each
        for each in chart.entries
        if (each.finding.id in wanted if wanted else not each.finding.normal_variant)
    ]
    if not chosen:
        raise ExportError("The session has no abnormal finding to refer; name the findings meant.")
    return chosen


def _asked(request: str) -> str:
    return (
        f"{capital(request.strip().rstrip('.'))}."
        if request.strip()
        else ("Please assess what is described here:")
    )


def _history(chart: Chart, chosen: Sequence[Entry]) -> list[str]:
    """Sizes, what should not wait, decisions and risks, as far as they concern the referral."""
    numbers = {each.number for each in chosen}
    lines = [*size_lines(chart), *(words for each, words in prompts(chart) if each.urgent)]
    lines += [*decision_lines(chart), *recheck_lines(chart)]
    kept = [each for each in lines if _concerns(each, numbers)]
    kept += _earlier(chart, numbers)
    kept += [f"{capital(each.topic)}: {each.words}" for each in chart.extras.risks]
    return kept


def _earlier(chart: Chart, numbers: set[int]) -> list[str]:
    """Earlier lesions that were not described today, and those that are referred."""
    told = zip(chart.extras.earlier, earlier_lines(chart), strict=True)
    return [line for each, line in told if (chart.number(each.finding) or 0) in {0, *numbers}]


def _concerns(line: str, numbers: set[int]) -> bool:
    """True for a line about one of these findings, or about none in particular."""
    before, found, rest = line.partition("Finding ")
    if not found or before not in ("", "DO NOT WAIT: "):
        return True
    number = rest.partition(":")[0]
    return not number.isdigit() or int(number) in numbers


def _not_examined(chart: Chart) -> str:
    left = [each.region for each, _ in chart.coverage if not each.examined]
    half = [
        f"{each.region} ({each.unmentioned} side)"
        for each, _ in chart.coverage
        if each.examined and each.unmentioned
    ]
    parts = [f"Not examined: {and_words(left)}." if left else ""]
    parts.append(f"Nothing was said of: {and_words(half)}." if half else "")
    return " ".join(filter(None, parts)) or "Every region of the protocol was examined."
