"""The next step of the examination in words: what to look at, what to feel, what is normal."""

from __future__ import annotations

from textual.content import Content
from textual.widgets import Static

from dictate.tui.desk import Desk
from dictate.tui.regions import mark_of
from dictate.vocabulary.schema import Region


class StepPrompt(Static):
    """The current region and its instructions; run together on a small terminal."""

    DEFAULT_CSS = """
    StepPrompt { height: auto; padding: 0 1; background: $surface; border-left: thick $primary; }
    """

    def show_record(self, desk: Desk) -> None:
        current = desk.session.current_region
        region = next((each for each in desk.lexicon.regions if each.value == current), None)
        if region is None:
            self.update(_opening(desk))
            return
        wide = self.screen.has_class("-wide")
        steps = Content("\n" if wide else "  ").join(_steps(region, wide))
        head = _heading(region, desk)
        self.update(Content("\n").join([head, steps]))


def _opening(desk: Desk) -> Content:
    order = desk.session.protocol.order
    if not order:
        return Content("The protocol has no regions.")
    return Content.assemble(
        ("Begin with ", ""),
        (order[0].upper(), "bold $primary"),
        (': say "next region", or press n.', ""),
    )


def _heading(region: Region, desk: Desk) -> Content:
    order = desk.session.protocol.order
    place = f" {order.index(region.value) + 1} of {len(order)} " if region.value in order else " "
    parts = [(region.value.upper(), "bold $primary"), (place, "$muted")]
    here = next((each for each in desk.session.coverage if each.region == region.value), None)
    if here is not None:
        mark, words = mark_of(here)
        parts.append((f"  {mark.symbol} {words}", mark.style))
        if here.unmentioned and here.examined:
            parts.append((f"   {here.unmentioned} side not mentioned", "bold $warning"))
    if region.high_risk:
        parts.append(("   ▲ HIGH-RISK SITE", "bold $warning"))
    elif any(part.high_risk for part in region.subsites):
        parts.append(("   ▲ HIGH-RISK PARTS", "bold $warning"))
    return Content.assemble(*parts)


def _steps(region: Region, wide: bool) -> list[Content]:
    hands = "FEEL, BOTH HANDS" if region.bimanual else "FEEL"
    risky = "" if region.high_risk else ", ".join(p.value for p in region.subsites if p.high_risk)
    steps = (
        ("LOOK", region.inspect),
        (hands, region.palpate),
        ("HEALTHY", region.normal),
        ("HIGH RISK", risky if wide else ""),
    )
    return [
        Content.assemble((f"{name}  ", "bold $secondary"), text) for name, text in steps if text
    ]
