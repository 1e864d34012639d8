"""The question of the confirmation pass, large and whole."""

from __future__ import annotations

from textual.content import Content
from textual.widgets import Static

from dictate.exam.finding import FieldValue, Finding
from dictate.exam.review import Question, Review
from dictate.tui.cells import critical, site
from dictate.tui.desk import Desk
from dictate.tui.plain import visible
from dictate.tui.screens.chosen import special_choices
from dictate.tui.values import show
from dictate.tui.wording import LABELS

_SAID = 300
"""Most characters shown of the words a finding was heard in."""
_HEADINGS = {
    "patient": "WHOSE RECORD IS THIS?",
    "field": "CHECK",
    "finding": "FINDING",
    "mark": "CHECK A REGION",
    "contradiction": "TWO STATEMENTS CLASH",
    "region": "NOT EXAMINED?",
    "aside": "PUT ASIDE",
    "link": "THE SAME LESION?",
    "lesion": "LESION OF AN EARLIER VISIT",
    "risk": "RISK HISTORY",
    "decision": "DECIDE",
}


class QuestionBox(Static):
    """What is asked, why, and what else was heard."""

    DEFAULT_CSS = """
    QuestionBox { height: auto; }
    """

    def show_review(self, desk: Desk, review: Review) -> None:
        question = review.current
        self.update(
            _complete(review) if question is None else Content("\n\n").join(_asked(desk, question))
        )


def heading(question: Question | None) -> str:
    """What kind of question it is, and of what; names of the vocabulary only."""
    if question is None:
        return "EVERYTHING IS DECIDED"
    about = (question.finding or question.region, LABELS.get(question.field or ""))
    return "  ".join(filter(None, (_HEADINGS[question.kind], *about)))


def others(desk: Desk, question: Question) -> tuple[FieldValue, ...]:
    """What else a doubted field may have been, in the order of the number keys."""
    finding = desk.session.finding(question.finding or "")
    if question.field is None or finding is None:
        return ()
    special = special_choices(question.field, finding)
    return tuple(each.value for each in special if not each.keep and each.value not in (None, []))


def _asked(desk: Desk, question: Question) -> list[Content]:
    finding = desk.session.finding(question.finding or "")
    parts = []
    if finding:
        row = (
            critical(finding, "side", "no side"),
            site(finding),
            critical(finding, "size_mm", ""),
        )
        parts.append(Content("    ").join(each for each in row if each))
    parts.append(Content.styled(visible(question.asked or question.text), "bold"))
    if question.asked:
        parts += _prompts(question)
    if question.field and finding:
        parts += _field(desk, question, finding)
    if finding and finding.said:
        parts.append(Content.styled(f"heard: “{visible(finding.said, _SAID)}”", "$muted"))
    if question.kind == "aside":
        parts.append(_aside(desk, question))
    return parts


def _prompts(question: Question) -> list[Content]:
    """Below what is asked, which a long list would push off the screen."""
    lines = [Content(f"– {visible(each)}") for each in question.items]
    return [Content("\n").join(lines)] if lines else []


def _field(desk: Desk, question: Question, finding: Finding) -> list[Content]:
    name = question.field or ""
    value = show(name, getattr(finding, name))
    lines = [Content.assemble((f"{LABELS[name]}:  ", "$secondary"), (value, "bold $warning"))]
    for key, other in enumerate(others(desk, question), 1):
        also = Content.assemble(
            (f"  {key}  ", "bold $primary"), f"also heard as {show(name, other)}"
        )
        lines.append(also)
    return [Content("\n").join(lines)]


def _aside(desk: Desk, question: Question) -> Content:
    heard = [each for each in desk.session.utterances if each.id in question.items]
    lines = [
        Content.assemble(
            (f"– “{visible(each.text)}”", "bold"), (f"  {visible(each.why)}", "$muted")
        )
        for each in heard
    ]
    return Content("\n").join(lines)


def _complete(review: Review) -> Content:
    looks = [Content.styled(f"! {visible(each)}", "$warning") for each in review.notices]
    return Content("\n").join([*looks, _signing()])


def _signing() -> Content:
    return Content.assemble(
        "Press ",
        ("enter", "bold $primary"),
        " and type the examiner's name or initials to make the record final.\n",
        ("Signing is never by voice.", "$muted"),
    )
