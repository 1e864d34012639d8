"""What speech asks of the clinic's records: opening them, and moving in them."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, cast, get_args

from dictate.exam.commands import ScreenAct
from dictate.matching.numbers import read_number
from dictate.matching.text import Speller
from dictate.speech.heard import Utterance
from dictate.tui.bridge import UtteranceHeard
from dictate.tui.digits import identifier_digits
from dictate.tui.screens.base import Dialog, Speech
from dictate.tui.screens.records import Attentive, RecordsScreen
from dictate.tui.spoken import Said
from dictate.vocabulary.schema import Lexicon, Slot

if TYPE_CHECKING:
    from dictate.tui.app import ExamApp

ACTS = frozenset(get_args(ScreenAct))
ROW, PATIENTS = "row", "patients"
_PASSED_ON = frozenset(
    {
        "export",
        "set_aside",
        "read_aloud",
        "read_silent",
        "edit",
        "keep",
        "mark",
        "look",
        "lock",
        "leave",
    }
)
"""Commands of the screen that mean the same wherever they are said."""
_OPENING = frozenset(
    {
        "worklist",
        "patients",
        "register",
        "kept",
        "this_patient",
        "earlier_lesions",
        "decide",
        "to_examination",
    }
)
_OF_THE_EXAMINATION = frozenset({"earlier_lesions", "decide"})
_MOVING = frozenset(
    {"open_row", "row_down", "row_up", "record_answer", "amendments", "amend", "export_list"}
)
_COVERED = "the clinic's records are on the screen: go back to the examination to dictate"


class NumberWords:
    """Reads "row three" and "find patient seven": a command, and the number said after it."""

    def __init__(self, lexicon: Lexicon) -> None:
        self._speller = Speller.of(lexicon)
        self._forms = {
            each.words: str(each.value)
            for each in lexicon.phrases
            if each.slot is Slot.COMMAND and each.value in (ROW, PATIENTS)
        }

    def words(self, utterance: Utterance) -> tuple[str, ...]:
        """As the vocabulary spells them."""
        return tuple(token.text for token in self._speller.tokens(utterance.words))

    def number(self, words: tuple[str, ...], command: str) -> int | None:
        """The number that follows the command in all the words, or None."""
        return _whole(self._after(words, command))

    def identifier(self, words: tuple[str, ...]) -> str | None:
        """What is looked for in "find patient double oh seven"; None where no digits follow."""
        after = self._after(words, PATIENTS)
        digits = identifier_digits(after)
        if digits is None and (number := _whole(after)) is not None:
            return str(number)
        return digits

    def _after(self, words: tuple[str, ...], command: str) -> tuple[str, ...]:
        """The words after the longest form of the command that they begin with."""
        for length in range(len(words) - 1, 0, -1):
            if self._forms.get(words[:length]) == command:
                return words[length + (words[length] == "number") :]
        return ()


def _whole(words: tuple[str, ...]) -> int | None:
    """The whole number that all the words are."""
    found = read_number(words, 0) if words else None
    if found is None or found.why or found.end != len(words):
        return None
    return int(found.value) if found.value.is_integer() else None


def take(app: ExamApp, event: UtteranceHeard, said: Said, numbers: NumberWords) -> bool:
    """Act on an utterance while records are on the screen; False when others see to it."""
    screen, value = app.screen, said.value
    if app.desk.session.paused:
        return False
    patient = numbers.identifier(numbers.words(event.utterance))
    if patient is not None:
        app.desk.obey(event.utterance)
        app.find_patient(patient)
        return True
    if not isinstance(screen, Attentive):
        return _opened(app, event, value) or _covering(app, event, value)
    if value in screen.answers:
        return False  # checked and given to the dialog as everywhere
    if value == "close":
        app.desk.obey(event.utterance)
        screen.action_close()
    elif value == "help":
        app.desk.obey(event.utterance)
        app.action_help()
    elif value in ACTS:
        act = cast("ScreenAct", value)
        if act not in screen.acts and act in _PASSED_ON:
            return False
        app.desk.obey(event.utterance)
        perform(app, act)
    elif not _heard(app, screen, event, said):
        app.desk.hold(event.utterance, screen.why_waits)
    return True


def _opened(app: ExamApp, event: UtteranceHeard, value: str | None) -> bool:
    """Opening records from the examination or a dialog of it."""
    if value not in _OPENING | _MOVING:
        return False
    app.desk.obey(event.utterance)
    return perform(app, cast("ScreenAct", value))


def _over_records(app: ExamApp) -> bool:
    return any(isinstance(each, RecordsScreen) for each in app.screen_stack)


def _covering(app: ExamApp, event: UtteranceHeard, value: str | None) -> bool:
    """A plain dialog over records: what is dictated to it must not reach the examination."""
    screen = app.screen
    if not isinstance(screen, Dialog) or screen.speech not in (Speech.RECORD, Speech.CLOSES):
        return False
    if not _over_records(app) or value in ACTS:
        return False
    if value is not None and value in getattr(screen, "answers", ()):
        return False
    if screen.speech is Speech.CLOSES:
        screen.dismiss(None)
    app.desk.hold(event.utterance, _COVERED)
    return True


def _heard(app: ExamApp, screen: Attentive[Any], event: UtteranceHeard, said: Said) -> bool:
    """ "Row three", or words that the screen itself understands."""
    if said.number is not None:
        app.desk.obey(event.utterance)
        screen.open_numbered(said.number)
        return True
    if event.began_at is not None and event.began_at < screen.opened_at:
        return False
    if not screen.understand(said):
        return False
    if screen.of_another:
        app.desk.pass_on(event.utterance)
    else:
        app.desk.obey(event.utterance)
    return True


def perform(app: ExamApp, act: ScreenAct) -> bool:
    """Do what was asked of the records; False when it is no matter of theirs."""
    screen = app.screen
    if isinstance(screen, Attentive) and act in screen.acts:
        screen.act(act)
        return True
    opening: dict[str, Callable[[], None]] = {
        "worklist": app.action_worklist,
        "patients": app.action_patients,
        "register": app.register_patient,
        "kept": app.action_kept,
        "this_patient": app.action_this_patient,
        "earlier_lesions": app.action_earlier,
        "decide": app.action_decide,
        "to_examination": app.to_examination,
    }
    if act in opening:
        if act in _OF_THE_EXAMINATION and _over_records(app):
            app.to_examination()  # never a question about one patient over another's record
        if act not in _OF_THE_EXAMINATION or not _over_records(app):
            opening[act]()
        return True
    if act in _MOVING:
        app.desk.tell("There is nothing of that kind on the screen.", warning=True)
        return True
    return False
