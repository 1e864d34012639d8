"""Keys and spoken commands."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.widgets import Static

from dictate.tui.keys import KEYS
from dictate.tui.screens.base import Dialog, Speech
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
_FORMS = 3


class HelpDialog(Dialog[None]):
    """Closes on the next word said, so that help asked for by voice is left by voice."""

    speech: ClassVar[Speech] = Speech.CLOSES
    DEFAULT_CSS = """
    HelpDialog > .box { width: 110; height: 100%; max-height: 110; }
    HelpDialog VerticalScroll { height: 1fr; }
    """

    def compose(self) -> ComposeResult:
        with Vertical(classes="box"):
            yield Static(Content("Keys and spoken commands"), classes="title")
            with VerticalScroll(can_focus=True):
                yield Static(_keys())
                yield Static(_spoken(self.desk.lexicon.commands))
                yield Static(_dictation())
            yield Static(
                Content("arrows or “scroll down”   escape or any other word goes back"),
                classes="hint",
            )

    def meaning(self, said: Said) -> Callable[[], object] | None:
        page = self.query_one(VerticalScroll)
        if said.value == "row_down":
            return page.action_page_down
        return page.action_page_up if said.value == "row_up" else None


def _keys() -> Content:
    lines = [Content.styled("Keys", "bold $secondary")]
    lines += [
        Content.assemble((f"  {key.shown.ljust(12)}", "bold $primary"), key.does) for key in KEYS
    ]
    return Content("\n").join(lines)


def _spoken(commands: tuple[CommandTerm, ...]) -> Content:
    lines = [Content.styled("\nSpoken commands", "bold $secondary")]
    for each in commands:
        forms = ", ".join(f"“{form}”" for form in each.say[:_FORMS])
        meaning = _MEANINGS.get(each.value, each.value.replace("_", " "))
        lines.append(
            Content.assemble(("  ", ""), (forms, "bold $primary"), (f"  {meaning}", "$muted"))
        )
    return Content("\n").join(lines)


def _dictation() -> Content:
    return Content.assemble(
        ("\nDictating\n", "bold $secondary"),
        "  Say site, side, size, colour and kind in any order, then what else there is:\n",
        ("  “white plaque, left lateral border of the tongue, ten by six millimetres,\n", "bold"),
        ("  firm, not tender, three weeks”\n", "bold"),
        "  “buccal mucosa within normal limits” closes a region. Signing is never by voice.\n\n",
        (CAUTION, "$muted"),
    )
