"""A patient, as a clinic knows one: its own identifier, a name if wanted, a year of birth."""

from __future__ import annotations

import re
import unicodedata
from typing import Self

from pydantic import BaseModel, ConfigDict, Field

from dictate.errors import ExamError
from dictate.exam.names import person

LONGEST = 64
_YEARS = range(1880, 2200)


class Patient(BaseModel):
    """Made by `of`, which checks what is typed."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    id: str = Field(min_length=1, max_length=LONGEST)
    """The clinic's own identifier."""
    name: str | None = None
    birth_year: int | None = None

    @classmethod
    def of(cls, identifier: str, name: str | None = None, birth_year: int | None = None) -> Self:
        """The patient that these words name. Raises ExamError for ones that cannot be kept."""
        if birth_year is not None and birth_year not in _YEARS:
            raise ExamError(f"{birth_year} is no year of birth; give four digits.")
        return cls(
            id=patient_id(identifier),
            name=person(name) if name is not None and name.strip() else None,
            birth_year=birth_year,
        )


def who(patient: Patient) -> str:
    """ "D-007 Greta Pennywort, born 1986"."""
    born = f"born {patient.birth_year}" if patient.birth_year else ""
    details = ", ".join(filter(None, (patient.name, born)))
    return " ".join(filter(None, (patient.id, details)))


def patient_id(text: str) -> str:
    """The identifier without stray spaces.

    Raises ExamError for an empty or overlong one, and for characters that cannot be seen:
    two patients must never look like one.
    """
    clean = re.sub(r"\s+", " ", unicodedata.normalize("NFC", text)).strip()
    if not clean:
        raise ExamError("The patient's identifier is missing; give the clinic's own.")
    if len(clean) > LONGEST:
        raise ExamError(f"A patient's identifier has at most {LONGEST} characters; shorten it.")
    if any(unicodedata.category(each) in ("Cc", "Cf", "Cs", "Co", "Cn") for each in clean):
        raise ExamError("The identifier has characters that cannot be printed; type it again.")
    return clean
