"""Where speech goes, by the screen that is on top: never to a question that nobody can see."""

from __future__ import annotations

from dictate.tui.screens.base import Shown, Speech

_WAITS = "a finding waits on the screen: say yes to record it, or close"


def why_held(
    screen: object, *, reviewing: bool, began_at: float | None, asked_at: float | None
) -> str | None:
    """Why the utterance must not be acted upon; None when it may be.

    `began_at`: when it began on the screen's clock, None when unknown. `asked_at`: when the
    question on top came to be on the screen, None when none is.
    """
    speech = screen.speech if isinstance(screen, Shown) else Speech.HELD
    if speech is Speech.WAITS:
        return getattr(screen, "why_waits", _WAITS)
    if not reviewing:
        return None
    if speech in (Speech.RECORD, Speech.HELD):
        return "a dialog covers the question"
    if speech is Speech.CLOSES:
        return "the help page covered the question"
    if began_at is not None and asked_at is not None and began_at < asked_at:
        return "it was said before this question was on the screen; say it again"
    return None
