"""Every key of every screen has a spoken form, or a reason why it needs none."""

from __future__ import annotations

import importlib
import pkgutil

import pytest
from textual.binding import Binding

from dictate.tui import desk_app, keys, screens
from dictate.tui.key_forms import SPOKEN, is_reason
from dictate.tui.screens.base import Shown
from dictate.vocabulary.schema import Slot
from tests.tui_samples import LEXICON


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


PHRASES = sorted({x for table in SPOKEN.values() for x in table.values() if not is_reason(x)})


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
