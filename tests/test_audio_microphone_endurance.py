"""A clinic's day of listening in small: nothing may grow from its first part to its last."""

from __future__ import annotations

import pytest

from dictate.audio.source import FRAME
from tests.clinic_day import OVERFLOW, UNPLUGGED, Day, Deafened


def test_a_day_of_listening_does_not_grow_or_drift() -> None:
    """Four parts of two minutes, each with an overflow and a pulled plug; the third is silent.

    `python -m tests.clinic_day` does the same for eight hours.
    """
    day = Day(hours=4, hour_s=120.0, every_s=10.0)
    day.run(Deafened())
    parts = day.hours
    assert [part.utterances > 0 for part in parts] == [True, True, False, True]
    assert sum(part.deaf for part in parts) >= 4
    for part in parts:
        assert part.waiting_s < 3.0
        assert part.clock_error_s < 2.0
        assert part.lost_s == pytest.approx(UNPLUGGED * 6.0 + 2 * OVERFLOW / 16_000, abs=4.0)
    assert parts[3].memory_mb - parts[1].memory_mb < 20.0
    heard = sum(part.frames for part in parts) * FRAME / 16_000
    lost = sum(part.lost_s for part in parts)
    assert heard + lost == pytest.approx(4 * 120.0, abs=10.0)
