"""Keys and spoken commands."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.widgets import Static

from dictate.tui.columns import GAP, lay_out
from dictate.tui.key_forms import CURSOR, SPOKEN, is_reason
from dictate.tui.screens.base import Dialog, Shown, Speech
from dictate.tui.spoken import Said
from dictate.tui.wording import CAUTION
from dictate.vocabulary.schema import CommandTerm

_MEANINGS = {
    "undo": "take back the last step",
    "redo": "bring it back",
    "delete": "delete the last finding",
    "correct": "change a field: “correct size ten by six”",
    "next_region": "next region",
    "previous_region": "previous region",
    "go_to": "go to a region: “go to the tongue”",
    "pause": "pause listening",
    "resume": "listen again",
    "review": "start the confirmation pass",
    "confirm": "yes, in the confirmation pass",
    "reject": "no, in the confirmation pass",
    "skip": "leave a question for later",
    "repeat": "read a question again",
    "save": "finish: review, then sign by keyboard",
    "help": "this page",
    "export": "write a summary to a file, after a yes",
    "set_aside": "what was said but made no finding",
    "close": "close what is open on the screen",
    "promote": "make a finding of what was put aside last, after a yes",
    "read_aloud": "read questions aloud",
    "read_silent": "no more",
    "leave_rest": "in the confirmation pass: all regions not spoken of, after a yes",
    "worklist": "who is due, and whose answer is missing",
    "export_list": "in the worklist: write it to a file, after a yes",
    "register": "a patient's name and year of birth, or a new patient",
    "patients": "find a patient: “find patient seven”",
    "kept": "every record that is kept",
    "this_patient": "this patient's visits and lesions",
    "earlier_lesions": "open lesions of earlier visits",
    "decide": "decide what becomes of a finding, after a yes",
    "amendments": "in a record: what was amended",
    "amend": "in a record: put an amendment together; a typed name makes it",
    "record_answer": "in the worklist: an answer that has come",
    "open_row": "open what is under the cursor",
    "row": "open a row, take an alternative, open a finding: “row three”",
    "row_down": "down in a list or a page",
    "row_up": "up",
    "to_examination": "close all that lies over the examination; leave the confirmation pass",
    "edit": "the fields of a finding; in the confirmation pass, change what is asked about",
    "keep": "in a finding's fields: keep a doubted one",
    "mark": "mark the region: “inspected”, “palpated”, “normal”, “not examined”",
    "look": "dark or light screen",
    "lock": "lock the screen; the keyboard unlocks it",
    "leave": "leave, after a yes; a draft is kept",
    "not_for_record": "what follows is not recorded",
}
_KEY, _SAY = 11, 34
_FRAME = 6
"""Cells that the frame and the scroll bar take."""
_SHOWN = {"escape": "esc", "question_mark": "?", "slash": "/"}


class HelpDialog(Dialog[None]):
    """Closes on the next word said, so that help asked for by voice is left by voice."""

    speech: ClassVar[Speech] = Speech.CLOSES
    DEFAULT_CSS = """
    HelpDialog > .box { width: 120; height: 100%; max-height: 110; }
    HelpDialog VerticalScroll { height: 1fr; }
    """

    def __init__(self, beneath: Shown) -> None:
        """`beneath`: the screen that it was asked for on."""
        super().__init__()
        self._beneath = beneath

    def compose(self) -> ComposeResult:
        with Vertical(classes="box"):
            yield Static(Content("Keys and spoken commands"), classes="title")
            with VerticalScroll(can_focus=True):
                yield Static(id="page")
            yield Static(
                Content("arrows or “scroll down”   escape or any other word goes back"),
                classes="hint",
            )

    def show_record(self) -> None:
        self._lay_out(self.size.width)

    def on_resize(self, event: events.Resize) -> None:
        self._lay_out(event.size.width)

    def _lay_out(self, width: int) -> None:
        room = min(120, width) - _FRAME
        blocks = (
            _keys(type(self._beneath), room),
            _dictation(),
            _spoken(self.desk.lexicon.commands, room),
            Content.styled(CAUTION, "$muted"),
        )
        self.query_one("#page", Static).update(Content("\n\n").join(blocks))

    def meaning(self, said: Said) -> Callable[[], object] | None:
        page = self.query_one(VerticalScroll)
        if said.value == "row_down":
            return page.action_page_down
        return page.action_page_up if said.value == "row_up" else None


def _keys(screen: type[Shown], room: int) -> Content:
    """The keys of a screen, what each does, and what is said for it or why nothing is."""
    widths = (_KEY, room - _KEY - _SAY - 2 * GAP, _SAY)
    lines = [Content.styled("On this screen", "bold $secondary")]
    for keys, does, form in _bound(screen):
        shown = Content.styled(" ".join(map(_shown, keys.split(","))), "bold $primary")
        said = Content(form) if is_reason(form) else Content.styled(f"“{form}”", "bold $primary")
        lines.append(lay_out((shown, Content(does), said), widths))
    moving = Content("arrows and tab move between rows and fields, enter opens or takes")
    return Content("\n").join([*lines, moving])


def _bound(screen: type[Shown]) -> Iterator[tuple[str, str, str]]:
    """Keys, what they do, and the spoken form: those of the screen itself first."""
    for kind in screen.__mro__:
        forms = SPOKEN.get(kind.__name__, {})
        for each in kind.__dict__.get("BINDINGS", ()):
            form = forms.get(each.action) if isinstance(each, Binding) else None
            if form is not None and form != CURSOR and each.description:
                yield each.key, each.description, form


def _shown(key: str) -> str:
    return _SHOWN.get(key, key.upper() if key[:1] == "f" and key[1:].isdigit() else key)


def _spoken(commands: tuple[CommandTerm, ...], room: int) -> Content:
    lines = [Content.styled("All spoken commands, one form of each", "bold $secondary")]
    for each in commands:
        meaning = _MEANINGS.get(each.value, each.value.replace("_", " "))
        form = Content.styled(f"“{each.say[0]}”", "bold $primary")
        lines.append(lay_out((form, Content(meaning)), (_SAY, room - _SAY - GAP)))
    return Content("\n").join(lines)


def _dictation() -> Content:
    return Content.assemble(
        ("Dictating\n", "bold $secondary"),
        "Say site, side, size, colour and kind in any order, then what else there is:\n",
        ("“white plaque, left lateral border of the tongue, ten by six millimetres,\n", "bold"),
        (" firm, not tender, three weeks”\n", "bold"),
        "“buccal mucosa within normal limits” closes a region.\n",
        "Signing is never by voice.",
    )
