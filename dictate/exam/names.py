"""Names of people, as typed."""

from __future__ import annotations

import unicodedata

from dictate.errors import ExamError

LONGEST = 80


def person(name: str) -> str:
    """The name or initials without stray spaces.

    Raises ExamError for an empty or overlong one, and for control and direction
    characters, which could make a signature read as another.
    """
    clean = " ".join(unicodedata.normalize("NFC", name).split())
    if not clean:
        raise ExamError("A name is missing; type the examiner's name or initials.")
    if len(clean) > LONGEST:
        raise ExamError(f"That name is longer than {LONGEST} characters; use initials.")
    if any(unicodedata.category(each) in ("Cc", "Cf", "Cs", "Co", "Cn") for each in clean):
        raise ExamError("The name has characters that cannot be printed; type it again.")
    return clean
