"""The keys of the main screen: one table for the bindings, the footer and the help page."""

from __future__ import annotations

from typing import NamedTuple

from textual.binding import Binding


class Key(NamedTuple):
    """A key, its action, its short name in the footer ("" keeps it out) and what it does."""

    keys: str
    shown: str
    action: str
    footer: str
    does: str


KEYS = (
    Key("t,slash", "t  /", "app.type", "Type", "type what could be said"),
    Key("p", "p", "app.pause", "Pause", "pause listening, or listen again"),
    Key("n", "n", "app.next_region", "Next", "next region"),
    Key("b", "b", "app.previous_region", "Back", "previous region"),
    Key("g", "g", "go", "Go", "list of regions, to go to one"),
    Key("m", "m", "mark", "Mark", "mark the region: looked at, felt, normal, not examined"),
    Key("e", "e  enter", "edit", "Edit", "edit the chosen finding, field by field"),
    Key("a", "a", "add", "", "add a finding by hand"),
    Key("d,delete", "d  delete", "delete", "", "delete the chosen finding"),
    Key("u", "u", "app.undo", "Undo", "undo the last step, voice or keyboard"),
    Key("r", "r", "app.redo", "", "redo"),
    Key("s", "s", "app.aside", "Aside", "what was said but made no finding"),
    Key("v", "v", "app.review", "Review", "confirmation pass, then signing"),
    Key("x", "x", "app.export", "Export", "write a summary to a file"),
    Key("l", "l", "app.earlier", "Earlier", "open lesions of earlier visits"),
    Key("c", "c", "app.decide", "Decide", "decide what becomes of the chosen finding"),
    Key("w", "w", "app.worklist", "Due", "who is due, and whose answer is missing"),
    Key("f", "f", "app.patients", "Find", "find a patient, open visits and records"),
    Key("k", "k", "app.kept", "", "every record that is kept, to read one"),
    Key("h", "h", "app.this_patient", "", "this patient's visits and lesions"),
    Key("o", "o", "app.aloud", "", "read questions aloud, on or off"),
    Key("question_mark,f1", "?  F1", "app.help", "", "this page"),
    Key("f2", "F2", "app.look", "", "dark or light screen"),
    Key("f9", "F9", "app.lock", "", "lock the screen, from anywhere"),
    Key("q,ctrl+q", "q", "app.leave", "", "leave; a draft is kept"),
)


def bindings() -> list[Binding]:
    """The main screen's bindings."""
    return [Binding(key.keys, key.action, key.does, show=False) for key in KEYS if key.action]


_BY_IMPORTANCE = (
    *("Type", "Next", "Mark", "Edit", "Undo", "Review", "Export"),
    *("Due", "Find", "Earlier", "Decide"),
    *("Pause", "Go", "Back", "Aside"),
)


def hints() -> tuple[tuple[str, str], ...]:
    """What the key line shows of them."""
    named = {key.footer: key.shown.split()[0] for key in KEYS}
    return tuple((named[word], word) for word in _BY_IMPORTANCE)


ALWAYS = (("?", "Help"), ("q", "Quit"))
"""Shown at the end of the key line, however small the terminal."""
