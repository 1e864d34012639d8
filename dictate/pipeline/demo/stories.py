"""The stories of the invented clinic, from `vocab/demo.toml`."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from random import Random

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from dictate.errors import VocabularyError
from dictate.exam.patients import Patient
from dictate.vocabulary.files import read_toml
from dictate.vocabulary.loader import default_folder

FILE = "demo.toml"
SEED = 5
"""The same clinic every time."""


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class VisitStory(_Strict):
    """One visit: what is dictated, and how findings that meet a rule are decided."""

    days_ago: int = Field(ge=0)
    say: tuple[str, ...] = ()
    decide: tuple[str, ...] = ()
    amend: str | None = None
    """A field that is corrected the day after, and why: "f2 size_mm 7 mm: reason"."""
    answer: str | None = None
    """What comes back on the referral, thirty days later."""
    recheck_in: int | None = None
    """Days from that answer to the next look."""


class Story(_Strict):
    """What happens to some of the patients."""

    patients: int = Field(ge=1)
    draft: bool = False
    """True if the last visit is left unsigned."""
    visits: tuple[VisitStory, ...] = Field(min_length=1)


class _File(_Strict):
    given: tuple[str, ...]
    family: tuple[str, ...]
    examiners: tuple[str, ...]
    stories: tuple[Story, ...]


@dataclass(frozen=True, slots=True)
class Told:
    """One patient, and the story with its blanks filled in."""

    patient: Patient
    examiner: str
    story: Story
    blanks: dict[str, str]

    def lines(self, visit: VisitStory) -> list[str]:
        """What is dictated at that visit."""
        return [line.format(**self.blanks) for line in visit.say]


def stories() -> tuple[Told, ...]:
    """Every patient of the clinic, the same each time. Raises VocabularyError."""
    data = read_toml(default_folder() / FILE, FILE)
    try:
        file = _File.model_validate(data)
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        where = ".".join(str(step) for step in first["loc"])
        raise VocabularyError(f"{FILE}: {where}: {' '.join(first['msg'].split())}") from None
    return tuple(_told(file))


def _told(file: _File) -> Iterator[Told]:
    rng = Random(SEED)
    every = [story for story in file.stories for _ in range(story.patients)]
    family = list(file.family) * (len(every) // len(file.family) + 1)
    rng.shuffle(family)
    for place, story in enumerate(every):
        name = f"{file.given[place % len(file.given)]} {family[place]}"
        side = rng.choice(("left", "right"))
        yield Told(
            patient=Patient.of(f"D-{place + 1:03}", name, rng.randint(1938, 2006)),
            examiner=rng.choice(file.examiners),
            story=story,
            blanks={
                "side": side,
                "other": "right" if side == "left" else "left",
                "a": rng.choice(("nine", "ten", "eleven", "twelve")),
                "b": rng.choice(("five", "six", "seven", "eight")),
            },
        )
