"""Fields of free words that speech writes into: read and corrected by keyboard, never signed."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, cast

from textual.widgets import Input

from dictate.tui.spoken import Said

if TYPE_CHECKING:
    from textual.screen import Screen


class TakesDown:
    """Mixed into a screen with text fields. What is said goes to the field with the focus."""

    _earlier: tuple[Input, str] | None = None
    """The field written into last, and what it held before."""

    free: ClassVar[tuple[str, ...]] = ()
    """Ids of the fields that free words are written into."""

    def taken_down(self, said: Said) -> bool:
        """Write the words after what the field holds; False when no such field has the focus.

        A command is no text. Nothing is cut off: what does not fit is left out whole, and told.
        """
        field = self.focused_field()
        if field is None or field.id not in self.free or said.value is not None:
            return False
        text = (said.utterance.free_text or said.utterance.text).strip()
        whole = f"{field.value} {text}".strip()
        if field.max_length is not None and len(whole) > field.max_length:
            self._screen.app.bell()
            return False
        self._earlier = (field, field.value)
        field.value = whole
        field.cursor_position = len(whole)
        return True

    def take_back(self) -> bool:
        """The field as it was before the last words; False when nothing was taken down."""
        if self._earlier is None:
            return False
        (field, before), self._earlier = self._earlier, None
        field.value = before
        return True

    def focused_field(self) -> Input | None:
        """The text field that has the focus."""
        field = self._screen.focused
        return field if isinstance(field, Input) else None

    @property
    def _screen(self) -> Screen[object]:
        return cast("Screen[object]", self)
