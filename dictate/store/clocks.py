"""What a clock that was set back means for the order of sessions."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta

from dictate.errors import StoreError

SLACK = timedelta(minutes=5)
"""Clocks are corrected by seconds all the time, and chairs differ by as much."""


def set_back(now: datetime, last: datetime) -> str | None:
    """A line for an examination begun before the last one by this much; None for a right clock."""
    if now >= last - SLACK:
        return None
    return (
        f"The clock was set back: the last examination began on {last.astimezone():%Y-%m-%d %H:%M}"
        " by it. Put it right: days and times in this record will be as the clock says."
    )


def latest(times: Mapping[str, datetime], written: str | None, at: datetime | None) -> str:
    """The session that its clock says is the latest; `written` is the one put in last, `at` its
    latest time.

    Raises StoreError, naming both, where these differ because the clock was set back: the wrong
    one would be another patient's.
    """
    chosen = max(times, key=lambda each: times[each])
    if written in times and at is not None and at + SLACK < times[chosen]:
        raise StoreError(
            f"The clock was set back, so which session is the latest is not sure: {written}, which "
            f"was kept last, or {chosen}, by the clock; name the one that you mean."
        )
    return chosen
