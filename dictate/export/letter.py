"""The referral letter: chosen findings of a signed session, addressed as the sender says."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from dictate.errors import ExportError
from dictate.exam.decisions import AWAITED
from dictate.exam.readback import and_words
from dictate.exam.record import Record
from dictate.export.chart import Chart, Entry, capital
from dictate.export.extras import NOTHING, Extras
from dictate.export.note import (
    decision_lines,
    earlier_lines,
    prompts,
    size_lines,
)
from dictate.export.text import WIDTH, wrapped

_FINDING = re.compile(r"(?:DO NOT WAIT: )?Finding (\d+):")
OTHERS = "Also found, and not what is asked about"
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
    """Ids of the findings to refer; when empty, those decided to be, else all abnormal ones."""


@dataclass(frozen=True, slots=True)
class Letter:
    """The letter's parts, in order."""

    sender: tuple[str, ...]
    recipient: tuple[str, ...]
    written: str
    subject: tuple[tuple[str, str], ...]
    opening: tuple[str, ...]
    findings: tuple[str, ...]
    others: tuple[str, ...]
    """What else is abnormal, where the findings were not chosen one by one."""
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
        findings=_told(chosen),
        others=() if details.findings else _told(_others(chart, chosen)),
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
        [f"{OTHERS}:", *made.others] if made.others else [],
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
        there = and_words(known) or "none"
        raise ExportError(f"There is no finding {unknown[0]} in the session; there are {there}.")
    abnormal = [each.finding.id for each in chart.entries if not each.finding.normal_variant]
    decided = [each.finding for each in chart.decisions if each.kind in AWAITED]
    referred = [name for name in abnormal if name in decided]
    names = wanted or referred or abnormal
    chosen = [each for each in chart.entries if each.finding.id in names]
    if not chosen:
        raise ExportError("The session has no abnormal finding to refer; name the findings meant.")
    return chosen


def _others(chart: Chart, chosen: Sequence[Entry]) -> Iterator[Entry]:
    return (x for x in chart.entries if x not in chosen and not x.finding.normal_variant)


def _told(entries: Iterable[Entry]) -> tuple[str, ...]:
    return tuple(f"{each.number}. {each.sentence}" for each in entries)


def _asked(request: str) -> str:
    said = capital(request.strip())
    if not said:
        return "Please assess what is described here:"
    return said if said.endswith((".", "!", "?", ":")) else f"{said}."


def _history(chart: Chart, chosen: Sequence[Entry]) -> Iterator[str]:
    """What should not wait, sizes, decisions, earlier visits and risks, finding by finding.

    The day of a re-check stands in its decision.
    """
    lines = [words for each, words in prompts(chart) if each.urgent]
    lines += [*size_lines(chart), *decision_lines(chart)]
    earlier = list(zip(chart.extras.earlier, earlier_lines(chart), strict=True))
    for entry in chosen:
        yield from (each for each in lines if _about(each) == entry.number)
        yield from (line for each, line in earlier if each.finding == entry.finding.id)
    yield from (each for each in lines if _about(each) is None)
    yield from (line for each, line in earlier if chart.number(each.finding) is None)
    yield from (f"{capital(each.topic)}: {each.words}" for each in chart.extras.risks)


def _about(line: str) -> int | None:
    """The number of the finding that a line is about; None for one about none in particular."""
    found = _FINDING.match(line)
    return int(found[1]) if found else None


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
