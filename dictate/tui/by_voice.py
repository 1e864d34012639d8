"""What speech asks of the screens themselves: opening, closing, answering a dialog."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast, get_args

from dictate.exam.commands import ScreenAct
from dictate.tui.bridge import UtteranceHeard
from dictate.tui.screens.aside import AsideDialog
from dictate.tui.screens.base import Dialog, Shown, Speech
from dictate.tui.screens.exporting import ExportDialog
from dictate.tui.screens.finding import SpokenDraftDialog
from dictate.tui.screens.reviewing import ReviewingScreen

if TYPE_CHECKING:
    from dictate.tui.app import ExamApp

ACTS = frozenset(get_args(ScreenAct))
_EARLY = "it was said before this dialog was on the screen; say it again"


def take(app: ExamApp, event: UtteranceHeard, value: str | None) -> bool:
    """Act on an utterance that is meant for the screen; False when it is none."""
    screen = app.screen
    if value is None or app.desk.session.paused:
        return False
    if value in ACTS:
        app.desk.obey(event.utterance)
        perform(app, cast("ScreenAct", value))
        return True
    if not isinstance(screen, Dialog) or value not in screen.answers:
        return False
    if event.began_at is not None and event.began_at < screen.opened_at:
        app.desk.hold(event.utterance, _EARLY)
        return True
    app.desk.obey(event.utterance)
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
        app.screen.ask_to_leave_rest()
    else:
        app.desk.tell("Regions are left out in the confirmation pass.", warning=True)
