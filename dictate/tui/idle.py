"""When the screen locks by itself, and how long wrong passphrases make one wait."""

from __future__ import annotations

from dataclasses import dataclass

FREE_TRIES = 3
FIRST_WAIT_S, LONGEST_WAIT_S = 10.0, 300.0
"""After the free tries each wrong one doubles the wait. Common practice, no source."""


@dataclass(slots=True)
class Idle:
    """How long nobody has done anything."""

    after_s: float | None
    """Seconds without a key or a word after which it is over; None: never."""
    since: float
    """When somebody last did something, on the screen's clock."""

    def stir(self, now: float) -> None:
        """Somebody did something."""
        self.since = now

    def is_over(self, now: float) -> bool:
        """True once nobody has done anything for that long."""
        return self.after_s is not None and now - self.since >= self.after_s


@dataclass(slots=True)
class Tries:
    """Wrong passphrases in a row."""

    wrong: int = 0
    until: float = 0.0
    """When the next one is taken, on the screen's clock."""

    def failed(self, now: float) -> None:
        """One more was wrong."""
        self.wrong += 1
        if self.wrong >= FREE_TRIES:
            doubled = FIRST_WAIT_S * 2 ** min(self.wrong - FREE_TRIES, 10)
            self.until = now + min(doubled, LONGEST_WAIT_S)

    def wait_s(self, now: float) -> float:
        """Seconds until the next one is taken; 0 for none."""
        return max(0.0, self.until - now)
