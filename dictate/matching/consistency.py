"""What the outcomes of one utterance say together: no region is healthy that holds a lesion."""

from __future__ import annotations

from collections.abc import Sequence

from dictate.exam.commands import MarkRegion
from dictate.exam.finding import BOTH
from dictate.matching.draft import Draft
from dictate.matching.outcome import Outcome


def agree(outcomes: Sequence[Outcome]) -> None:
    """Take back, in place, what a region is called in health that a lesion lies in."""
    drafts = [each.draft for each in outcomes if each.what == "finding" and each.draft is not None]
    for outcome in outcomes:
        mark = outcome.command
        if not isinstance(mark, MarkRegion) or mark.state != "normal":
            continue
        if any(_lies_in(draft, mark) for draft in drafts):
            # "Palate normal but for an ulcer": looked at, and not healthy as a whole.
            outcome.command = mark.model_copy(update={"state": "inspected"})


def _lies_in(draft: Draft, mark: MarkRegion) -> bool:
    if draft.get("region") != mark.region or draft.get("normal_variant") is not None:
        return False
    sides = {draft.get("side"), mark.side}
    return not sides <= set(BOTH) or len(sides) == 1
