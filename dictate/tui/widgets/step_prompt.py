"""The next step of the examination in words: what to look at, what to feel, what is normal."""

from __future__ import annotations

from textual.content import Content
from textual.widgets import Static

from dictate.tui.desk import Desk
from dictate.tui.regions import mark_of
from dictate.vocabulary.schema import Region


class StepPrompt(Static):
    """The current region and its instructions."""

    DEFAULT_CSS = """
    StepPrompt { height: auto; padding: 0 1; background: $surface; border-left: thick $primary; }
    """

    def show_record(self, desk: Desk) -> None:
        current = desk.session.current_region
        region = next((each for each in desk.lexicon.regions if each.value == current), None)
        self.update(_opening(desk) if region is None else _step(region, desk))


def _opening(desk: Desk) -> Content:
    order = desk.session.protocol.order
    if not order:
        return Content("The protocol has no regions.")
    return Content.assemble(
        ("Begin with ", ""),
        (order[0].upper(), "bold $primary"),
        (': say "next region", or press n.', ""),
    )


def _step(region: Region, desk: Desk) -> Content:
    order = desk.session.protocol.order
    place = f" {order.index(region.value) + 1}/{len(order)} " if region.value in order else " "
    here = next((each for each in desk.session.coverage if each.region == region.value), None)
    lines = [[(region.value.upper(), "bold $primary"), (place, "$muted")]]
    if here is not None:
        mark, note = mark_of(here)
        lines[0].append((f" {mark.symbol} {mark.word}{note}", mark.style))
    if region.high_risk or any(part.high_risk for part in region.subsites):
        lines[0].append(("  ▲ HIGH-RISK SITE", "bold $warning"))
    hands = "Feel, both hands" if region.bimanual else "Feel"
    instructions = (("Look", region.inspect), (hands, region.palpate), ("Healthy", region.normal))
    lines += [[(f"{name}  ", "bold $secondary"), (text, "")] for name, text in instructions if text]
    return Content("\n").join(Content.assemble(*line) for line in lines)
