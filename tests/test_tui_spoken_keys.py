"""Every key of every screen has a spoken form, or a reason why it needs none."""

from __future__ import annotations

import importlib
import pkgutil

import pytest
from textual.binding import Binding

from dictate.tui import desk_app, keys, screens
from dictate.tui.screens.base import Shown
from dictate.vocabulary.schema import Slot
from tests.tui_samples import LEXICON

CURSOR = "(the cursor only: rows are opened by number, fields and regions by name)"
TYPING = "(typing stands for speaking: the words are said)"
AMENDING = "(an answer or an amendment is signed with a name: never by voice, as signing)"
NAMED = "(names and identifiers are typed: a misheard one would be somebody else's)"
AT_DESK = "(at the desk, where no microphone listens)"

EXAMINING = {
    "app.type": TYPING,
    "app.pause": "pause listening",
    "app.next_region": "next region",
    "app.previous_region": "previous region",
    "go": "go to",
    "mark": "mark this region",
    "edit": "open the finding",
    "add": "(a finding is dictated)",
    "delete": "delete that finding",
    "app.undo": "undo",
    "app.redo": "redo",
    "app.aside": "what was put aside",
    "app.review": "start review",
    "app.export": "export summary",
    "app.earlier": "show the open lesions",
    "app.decide": "show the decision",
    "app.worklist": "show the worklist",
    "app.patients": "find a patient",
    "app.kept": "show all records",
    "app.this_patient": "show earlier visits",
    "app.aloud": "read aloud",
    "app.help": "help",
    "app.look": "dark screen",
    "app.lock": "lock the screen",
    "app.leave": "leave the program",
}
SPOKEN: dict[str, dict[str, str]] = {
    "ExaminingScreen": EXAMINING,
    "DeskScreen": {
        "app.worklist": AT_DESK,
        "app.patients": AT_DESK,
        "app.kept": AT_DESK,
        "app.look": AT_DESK,
        "app.lock": AT_DESK,
        "app.leave": AT_DESK,
    },
    "Dialog": {"close": "close"},
    "AskingDialog": {
        "yes": "yes",
        "no": "no",
    },
    "AsideDialog": {"retype": TYPING},
    "AnswerScreen": {"take": AMENDING},
    "AmendingScreen": {
        "strike": "delete that finding",
        "add": "(a finding is dictated)",
        "decide": "show the decision",
        "drop": "undo",
        "amend": AMENDING,
    },
    "ChoosingDialog": {
        "move(1)": "row down",
        "move(-1)": "row up",
        "move(8)": CURSOR,
        "move(-8)": CURSOR,
        "take": "yes",
    },
    "DecisionDialog": {
        "take": "yes",
        "scroll(5)": "scroll down",
        "scroll(-5)": "scroll up",
    },
    "DraftDialog": {"take": "yes"},
    "EarlierDialog": {
        "same": "same as last time",
        "size": "larger",
        "resolved": "resolved",
        "left": "not looked at today",
        "words": TYPING,
        "app.undo": "undo",
    },
    "ExportDialog": {"protect": "(a passphrase is never spoken aloud)", "address": NAMED},
    "SavingDialog": {"kind": "next"},
    "LetterDialog": {"take": NAMED},
    "RegisteringDialog": {"take": NAMED},
    "FindingDialog": {"keep": "keep as heard", "undo": "undo"},
    "GoingDialog": {"mark": "mark this region"},
    "LesionScreen": {"answer": "record the answer"},
    "LockScreen": {"show_again": "(what locks the screen is not unlocked by a voice)"},
    "MarkingDialog": {
        "mark('i')": "inspected",
        "mark('p')": "palpated",
        "mark('n')": "within normal limits",
        "mark('x')": "not examined",
        "side": "both sides",
    },
    "PatientScreen": {"begin": AT_DESK, "edit": "register this patient"},
    "PatientsScreen": {
        **dict.fromkeys(("move(1)", "move(-1)", "move(8)", "move(-8)"), CURSOR),
        "register": "register a new patient",
    },
    "RecordScreen": {
        "export": "export summary",
        "versions": "show the amendments",
        "amend": "amend this record",
    },
    "RecordsScreen": {"to_examination": "back to the examination"},
    "ReviewingScreen": {
        "answer(True)": "yes",
        "answer(False)": "no",
        "change": "show the fields",
        "skip": "later",
        "repeat": "read that again",
        "leave_out_all": "leave the rest out",
        "sign": "(signing is never by voice)",
        "app.type": TYPING,
        "app.undo": "undo",
        "app.pause": "pause listening",
        "app.aloud": "read aloud",
        "back": "back to the examination",
        "app.help": "help",
        "app.look": "light screen",
        "move(-1)": "scroll up",
        "move(1)": "scroll down",
        **{f"take({number})": "option" for number in range(1, 10)},
    },
    "WorklistScreen": {
        "answer": "record the answer",
        "find": "find a patient",
        "export": "export the worklist",
    },
    "WritingDialog": {"move(1)": "option", "move(-1)": "option"},
}


def bound() -> dict[str, set[str]]:
    """Name of each screen's class, and the actions of the keys that it adds."""
    for module in pkgutil.iter_modules(screens.__path__):
        importlib.import_module(f"{screens.__name__}.{module.name}")
    assert desk_app.DESK_KEYS
    assert keys.KEYS
    found: dict[str, set[str]] = {}
    waiting = [*Shown.__subclasses__()]
    while waiting:
        each = waiting.pop()
        waiting += each.__subclasses__()
        own = each.__dict__.get("BINDINGS", ())
        if own:
            made = [bind if isinstance(bind, Binding) else Binding(*bind) for bind in own]
            found[each.__name__] = {bind.action for bind in made} - {""}
    return found


def test_every_key_of_every_screen_is_in_the_table_and_no_other() -> None:
    assert bound() == {name: set(table) for name, table in SPOKEN.items()}


PHRASES = sorted({each for table in SPOKEN.values() for each in table.values() if each[0] != "("})


@pytest.mark.parametrize("phrase", PHRASES)
def test_the_spoken_forms_are_in_the_vocabulary(phrase: str) -> None:
    words = tuple(phrase.split())
    known = {each.words for each in LEXICON.phrases} | {
        tuple(form.split()) for term in LEXICON.visits for form in term.say
    }
    assert words in known


def test_no_command_is_a_word_of_dictation_too() -> None:
    """Except those that only an answer may be."""
    commands = {
        each.words for each in LEXICON.phrases if each.slot is Slot.COMMAND and not each.review_only
    }
    others = {each.words for each in LEXICON.phrases if each.slot not in (Slot.COMMAND, Slot.FIELD)}
    assert not commands & others


def test_screens_are_screens() -> None:
    """The walk above has found the real ones."""
    assert len(bound()) > 15
    assert {"ExaminingScreen", "ReviewingScreen", "MarkingDialog"} <= set(bound())
