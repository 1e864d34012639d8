"""The conditions under which every dictation is heard."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from dictate.bench.clips import Clip
from dictate.bench.noise import FloatWave, babble, mixed, suction, whine
from dictate.bench.problems import BenchError
from dictate.bench.room import reverberant
from dictate.bench.synthesis import Wave

Sound = Literal["clean", "room", "suction", "whine", "babble"]
_MADE: dict[str, Callable[[int, np.random.Generator], FloatWave]] = {
    "suction": suction,
    "whine": whine,
}


@dataclass(frozen=True, slots=True)
class Condition:
    """A noise and how far it lies below the speech; no ratio for clean and for the room."""

    sound: Sound
    snr_db: float | None = None

    @property
    def name(self) -> str:
        return self.sound if self.snr_db is None else f"{self.sound}-{self.snr_db:g}"


ALL: tuple[Condition, ...] = (
    Condition("clean"),
    *(Condition(s, db) for s in ("suction", "whine", "babble") for db in (20.0, 10.0, 5.0)),
    Condition("room"),
)
QUICK: tuple[Condition, ...] = (Condition("clean"), Condition("suction", 10.0))


def named(names: Sequence[str]) -> tuple[Condition, ...]:
    """Conditions by name; BenchError for one that there is not."""
    known = {condition.name: condition for condition in ALL}
    wrong = [name for name in names if name not in known]
    if wrong:
        raise BenchError(f"no condition {wrong[0]!r}; choose from: {', '.join(known)}")
    return tuple(known[name] for name in names)


def heard(clip: Clip, condition: Condition, talkers: Sequence[Wave]) -> Wave:
    """The clip under that condition; the same samples every time.

    `talkers` are the voices of the babble; none of them may be the clip's own.
    """
    if condition.sound == "clean":
        return clip.samples
    seed = f"{clip.sentence.id}/{clip.voice.id}/{condition.sound}"
    random = np.random.default_rng(list(hashlib.sha256(seed.encode()).digest()[:8]))
    if condition.sound == "room":
        return reverberant(clip.samples, random)
    assert condition.snr_db is not None
    if condition.sound == "babble":
        noise = babble(len(clip.samples), talkers, random)
    else:
        noise = _MADE[condition.sound](len(clip.samples), random)
    return mixed(clip.samples, noise, condition.snr_db)
