"""A PDF document that opens with a passphrase only."""

from __future__ import annotations

from io import BytesIO

from pypdf import PdfReader, PdfWriter

from dictate.errors import ExportError

SHORTEST = 8
"""Characters that a passphrase has at least: a file once sent can be tried without end."""


def protected(document: bytes, passphrase: str) -> bytes:
    """The document encrypted with AES-256 (PDF 2.0, revision 6), its information included.

    Raises ExportError for a passphrase that is too short.
    """
    if len(passphrase) < SHORTEST:
        raise ExportError(
            f"The passphrase is shorter than {SHORTEST} characters; choose a longer one."
        )
    writer = PdfWriter(clone_from=PdfReader(BytesIO(document)))
    writer.encrypt(passphrase, algorithm="AES-256")
    out = BytesIO()
    writer.write(out)
    return out.getvalue()
