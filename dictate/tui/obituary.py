"""What is printed when the screen itself fails: where, but none of the patient's data.

The usual traceback of a terminal application prints the variables of every frame, and so the
findings; and the text of an exception may quote what was said.
"""

from __future__ import annotations

import traceback
from pathlib import Path

_FRAMES = 12


def obituary(error: BaseException | None) -> str:
    """A few lines for the terminal: cause, remedy, and the places in the program's code."""
    kind = type(error).__name__ if error is not None else "an unknown fault"
    lines = [
        f"The screen has failed ({kind}) and was closed. What it showed as done is kept:",
        "`dictate exam --resume` goes on with it. For a report of the fault:",
    ]
    frames = traceback.extract_tb(error.__traceback__) if error is not None else []
    lines += [f"  {Path(f.filename).name}:{f.lineno} in {f.name}" for f in frames[-_FRAMES:]]
    return "\n".join(lines)
