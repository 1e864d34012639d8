"""The end of the audit trail, kept in the home folder too: who cuts the trail off is found.

The file is of one machine. It is behind the database after a crash, and where other chairs have
added entries; what it names must be in the database for ever.
"""

from __future__ import annotations

from pathlib import Path

from pydantic import ValidationError

from dictate.errors import StoreError
from dictate.store.chain import FIRST
from dictate.store.failures import told
from dictate.store.replacing import replace_file
from dictate.store.sealing import Sealer
from dictate.store.trail import Head

FILE = "trail.head"


def read_head(home: Path, sealer: Sealer) -> Head:
    """The end as this machine knew it last. Raises StoreError for a file that was altered."""
    with told("read the end of the audit trail"):
        try:
            words, _, mark = (home / FILE).read_text("ascii").strip().rpartition(" ")
        except FileNotFoundError:
            return Head(seq=0, hash=FIRST)
        except UnicodeDecodeError:
            words, mark = "", ""
    try:
        if sealer.mark(f"trail head {words}") == mark:
            return Head.model_validate_json(words)
    except ValidationError:
        pass
    raise StoreError(f"{FILE}, the end of the audit trail, has been altered.")


def write_head(home: Path, sealer: Sealer, head: Head) -> None:
    """Keep it. Raises StoreError."""
    words = head.model_dump_json()
    mark = sealer.mark(f"trail head {words}")
    with told("keep the end of the audit trail"):
        replace_file(home / FILE, f"{words} {mark}\n".encode())
