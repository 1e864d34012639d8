"""What is said for each key of each screen, or why nothing is.

The help page shows it. A phrase is one of the vocabulary's; a reason stands in brackets.
"""

from __future__ import annotations

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
    "Dialog": {"close": "close", "app.help": "help"},
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


def is_reason(form: str) -> bool:
    """True for a reason why nothing is said for the key."""
    return form.startswith("(")
