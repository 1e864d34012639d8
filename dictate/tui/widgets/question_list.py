"""The questions still to come, on a wide screen."""

from __future__ import annotations

from textual.content import Content
from textual.widget import Widget

from dictate.exam.review import Question, Review
from dictate.tui.plain import visible
from dictate.tui.wording import LABELS


class QuestionList(Widget):
    """As many as there is room for; the current one is marked."""

    DEFAULT_CSS = "QuestionList { height: 1fr; padding: 0 1; background: $surface; }"

    def __init__(self) -> None:
        super().__init__()
        self._review = Review(())

    def show_review(self, review: Review) -> None:
        self._review = review
        self.refresh()

    def render(self) -> Content:
        room = max(2, self.content_size.height - 1)
        current = self._review.current
        lines = [Content.styled("To decide", "bold $secondary")]
        shown = self._review.open[: room - 1]
        lines += [_row(each, each is current, each.key in self._review.skipped) for each in shown]
        if len(self._review.open) > len(shown):
            lines.append(
                Content.styled(f"  and {len(self._review.open) - len(shown)} more", "$muted")
            )
        return Content("\n").join(lines)


def _row(question: Question, current: bool, skipped: bool) -> Content:
    name = {
        "patient": "the right patient?",
        "field": f"{question.finding}: {LABELS.get(question.field or '', '').lower()}?",
        "finding": f"{question.finding}: read back",
        "mark": f"{question.region}: as said?",
        "contradiction": f"{question.region}: statements clash",
        "region": f"{question.region}: not examined?",
        "aside": "what was put aside",
        "link": f"{question.finding}: the same lesion?",
        "lesion": f"{question.region}: earlier lesion",
        "risk": "risk history: as said?",
        "decision": f"{question.finding}: decide",
    }[question.kind]
    mark = "▶ " if current else "… " if skipped else "  "
    return Content.assemble((mark, "bold $primary"), (visible(name), "bold" if current else ""))
