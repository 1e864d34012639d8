"""A field for a passphrase."""

from __future__ import annotations

from textual.widgets import Input

_LONGEST = 1024


class PassphraseField(Input):
    """Shows dots, and gives nothing to the clipboard."""

    def __init__(self, placeholder: str) -> None:
        super().__init__(password=True, placeholder=placeholder, max_length=_LONGEST)

    def action_copy(self) -> None:
        """Not for others to have."""

    def action_cut(self) -> None:
        """Not for others to have."""
