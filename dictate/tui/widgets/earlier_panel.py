"""The open lesions of the last visits, first thing on the screen until each was spoken of."""

from __future__ import annotations

from textual.content import Content
from textual.widgets import Static

from dictate.exam.following import LesionToday
from dictate.tui.desk import Desk
from dictate.tui.earlier import place_and_kind, side, size_then
from dictate.tui.wording import counted

_SHOWN, _SHOWN_WIDE = 3, 6


class EarlierPanel(Static):
    """Lesions that nothing was said of yet; gone when all were spoken of.

    Those of the region being examined come first and are marked.
    """

    DEFAULT_CSS = """
    EarlierPanel { height: auto; padding: 0 1; display: none; }
    EarlierPanel { border-left: thick $warning; background: $surface; }
    """

    def show_record(self, desk: Desk) -> None:
        waiting = [x for x in desk.session.lesions if x.status == "not mentioned"]
        self.display = bool(waiting) and not desk.session.is_final
        if not self.display:
            return
        room = _SHOWN_WIDE if self.screen.has_class("-wide") else _SHOWN
        here = desk.session.current_region
        waiting.sort(key=lambda each: each.lesion.fields.region != here)
        # One row is never spent on saying that one more lesion is there.
        shown = waiting if len(waiting) <= room else waiting[: room - 1]
        lines = [_head(len(waiting)), *(_line(each, here) for each in shown)]
        if len(shown) < len(waiting):
            lines.append(Content.styled(f"   and {len(waiting) - len(shown)} more", "$muted"))
        self.update(Content("\n").join(lines))


def _head(count: int) -> Content:
    title = f"OPEN FROM EARLIER VISITS: {counted(count, 'lesion')} to look at"
    return Content.assemble((title, "bold $warning"), ("   l lists them", "$muted"))


def _line(each: LesionToday, region: str | None) -> Content:
    lesion = each.lesion
    here = "▶" if lesion.fields.region == region else " "
    then = f"  {size_then(lesion)} on {lesion.latest.on}"
    return Content.assemble(
        (f"{here}{lesion.label:>3} ", "bold $primary"),
        side(lesion),
        f" {place_and_kind(lesion)}",
        (then, "$muted"),
    )
