"""What speech asks of the screens themselves: opening, closing, answering a dialog."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast, get_args

from dictate.exam.commands import DeleteFinding, ScreenAct
from dictate.exam.events import KEYBOARD, VOICE
from dictate.exam.readback import finding_words
from dictate.tui.bridge import UtteranceHeard
from dictate.tui.screens.amending import AmendingScreen
from dictate.tui.screens.aside import AsideDialog
from dictate.tui.screens.asking import SpokenAskingDialog
from dictate.tui.screens.base import Dialog, Shown, Speech
from dictate.tui.screens.examining import ExaminingScreen
from dictate.tui.screens.exporting import ExportDialog
from dictate.tui.screens.finding import SpokenDraftDialog
from dictate.tui.screens.helping import HelpDialog
from dictate.tui.screens.records import Attentive, RecordsScreen
from dictate.tui.screens.reviewing import ReviewingScreen
from dictate.tui.screens.typing import TypingDialog
from dictate.tui.spoken import Said

if TYPE_CHECKING:
    from dictate.tui.app import ExamApp

ACTS = frozenset(get_args(ScreenAct))
_EARLY = "it was said before this dialog was on the screen; say it again"
_UNSURE = "it was not heard well, and something hangs on it: say it again"
_LOSING = frozenset({"confirm", "close"})
"""Answers that do or lose something: they count only when they were heard well."""


def heeded(app: ExamApp, event: UtteranceHeard, said: Said) -> bool:
    """Let the screen on top take what has a meaning on it alone; False when nothing has."""
    screen = app.screen
    if app.desk.session.paused or not isinstance(screen, Shown) or isinstance(screen, Attentive):
        return False
    amending = any(isinstance(each, AmendingScreen) for each in app.screen_stack)
    over = any(isinstance(each, RecordsScreen) for each in app.screen_stack)
    if over and not amending and not isinstance(screen, HelpDialog):
        return False  # what lies over a record belongs to it
    since = screen.asked_at if isinstance(screen, ReviewingScreen) else screen.opened_at
    if event.began_at is not None and event.began_at < since:
        return False
    act = screen.meaning(said)
    if act is None:
        return False
    if not said.sure and (screen.cautious or said.value in _LOSING):
        app.desk.hold(said.utterance, _UNSURE)
        return True
    if amending:
        app.desk.pass_on(said.utterance)
    else:
        app.desk.obey(said.utterance)
    act()
    return True


def take(app: ExamApp, event: UtteranceHeard, said: Said) -> bool:
    """Act on an utterance that is meant for the screen; False when it is none."""
    screen, value = app.screen, said.value
    if value is None or app.desk.session.paused:
        return False
    if value == "delete" and not said.sure and not isinstance(screen, Attentive):
        app.desk.obey(said.utterance)
        _ask_to_delete(app)
        return True
    if value == "lock" and not said.sure:  # gloved hands cannot unlock it
        app.desk.hold(said.utterance, _UNSURE)
        return True
    if value in ACTS:
        app.desk.obey(said.utterance)
        perform(app, cast("ScreenAct", value))
        return True
    if not isinstance(screen, Dialog) or value not in screen.answers:
        return False
    early = event.began_at is not None and event.began_at < screen.opened_at
    if early or (value in _LOSING | {"delete"} and not said.sure):
        app.desk.hold(said.utterance, _EARLY if early else _UNSURE)
        return True
    app.desk.obey(said.utterance)
    screen.answer(value)
    return True


def perform(app: ExamApp, act: ScreenAct) -> None:
    """Do it; what does not fit the screen is told."""
    match act:
        case "export" if not _open(app, ExportDialog):
            app.action_export()
        case "set_aside" if not _open(app, AsideDialog):
            app.action_aside()
        case "close":
            _close(app)
        case "promote":
            _promote(app)
        case "read_aloud":
            app.switch_aloud(True)
        case "read_silent":
            app.switch_aloud(False)
        case "leave_rest":
            _leave_rest(app)
        case "edit" | "mark" | "keep":
            _of_examination(app, act)
        case "look":
            app.action_look()
        case "lock":
            app.action_lock()
        case "leave":
            _leave(app)


def _open(app: ExamApp, kind: type[Shown]) -> bool:
    return any(isinstance(screen, kind) for screen in app.screen_stack)


def _close(app: ExamApp) -> None:
    screen = app.screen
    if isinstance(screen, Dialog) and screen.speech is not Speech.HELD:
        screen.dismiss(None)
    else:
        app.desk.tell("There is nothing to close.", warning=True)


def _promote(app: ExamApp) -> None:
    screen = app.screen
    if isinstance(screen, SpokenDraftDialog):
        app.desk.tell("Say “yes” to record the finding shown, or “close”.", warning=True)
        return
    waiting = [each for each in app.desk.session.set_aside if each.text]
    heard = screen.chosen() if isinstance(screen, AsideDialog) else None
    if heard is None and waiting:
        heard = waiting[-1]
    if heard is None or not heard.text:
        app.desk.tell("Nothing was put aside that could be made a finding.", warning=True)
    else:
        app.push_screen(SpokenDraftDialog.of(app.desk, heard))


def _leave_rest(app: ExamApp) -> None:
    if isinstance(app.screen, ReviewingScreen):
        app.screen.action_leave_out_all()
    else:
        app.desk.tell("Regions are left out in the confirmation pass.", warning=True)


def _of_examination(app: ExamApp, act: ScreenAct) -> None:
    """Typed, it is asked of the screen that the line lies over; spoken, the screen heeded it."""
    under = next(each for each in reversed(app.screen_stack) if not isinstance(each, TypingDialog))
    if act == "mark" and isinstance(under, ExaminingScreen):
        under.action_mark()
    elif act == "edit" and isinstance(under, ExaminingScreen):
        under.action_edit()
    elif act == "edit" and isinstance(under, ReviewingScreen):
        under.action_change()
    else:
        app.desk.tell("There is nothing of that kind on the screen.", warning=True)


def _leave(app: ExamApp) -> None:
    """Ask as the key does, and take the answer by voice too."""
    for screen in app.screen_stack:
        if isinstance(screen, RecordsScreen) and screen.unsaved():
            app.desk.tell(f"First record or drop {screen.unsaved()} by keyboard.", warning=True)
            return
    question = SpokenAskingDialog("Leave the examination?", app.what_is_kept())
    app.push_screen(question, lambda yes: app.exit() if yes else None)


def _ask_to_delete(app: ExamApp) -> None:
    finding = next(iter(reversed(app.desk.session.findings)), None)
    if finding is None:
        app.desk.tell("There is no finding to delete.", warning=True)
        return
    question = SpokenAskingDialog(f"Delete {finding.id}?", finding_words(finding))

    def answered(yes: bool | None) -> None:
        if yes:
            app.desk.do(DeleteFinding(target=finding.id), VOICE if question.spoken else KEYBOARD)

    app.push_screen(question, answered)
