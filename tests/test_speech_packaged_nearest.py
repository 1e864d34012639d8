"""Commands found by a search of their own, where the first search wrote other words.

Outside references: what synthesisers were told to say, and a human voice (Debian's
asterisk-core-sounds-en-wav) that says numbers, letters and single words, but gives no command.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from dictate.bench.human import PROMPTS
from dictate.speech.heard import Utterance
from dictate.speech.packaged.engine import PackagedRecogniser
from dictate.speech.packaged.model_files import find_model
from dictate.speech.packaged.weights import read_weights
from dictate.vocabulary.loader import load
from dictate.vocabulary.schema import Slot
from tests.speech_samples import read, silence, speak

SAID = [
    ("flite-rms", "undo"),
    ("flite-rms", "no undo that"),
    ("flite-awb", "redo that"),
    ("flite-awb", "back a region"),
    ("flite-awb", "review everything"),
]
DICTATED = ("neck normal", "no tenderness", "right tonsil swelling", "sore", "lips normal")
COMMANDS = {p.words: p.value for p in load().phrases if p.slot is Slot.COMMAND}


@cache
def engine(looking: bool = True) -> PackagedRecogniser:
    weights = read_weights(find_model(None).folder)
    if not looking:
        weights = weights.model_copy(update={"command": None})
    return PackagedRecogniser(load(), weights=weights)


def hear(voice: str, text: str, looking: bool = True) -> Utterance:
    recogniser = engine(looking)
    recogniser.begin(0.0)
    recogniser.hear(np.concatenate([silence(0.3), speak(text + ".", voice), silence(0.3)]))
    heard = recogniser.finish()
    assert heard is not None
    return heard


@pytest.mark.parametrize(("voice", "text"), SAID)
def test_a_command_heard_as_other_words_is_found(voice: str, text: str) -> None:
    heard = hear(voice, text)
    known = tuple(heard.text.split()) if heard.command == () else heard.command
    assert COMMANDS.get(known) == COMMANDS[tuple(text.split())]


def test_some_of_these_need_it() -> None:
    """So that the test above does not pass for a model that hears them all at once."""
    missed = [text for voice, text in SAID if tuple(hear(voice, text).text.split()) not in COMMANDS]
    assert missed


def test_it_changes_no_reading() -> None:
    for voice, text in SAID[:2]:
        with_it, without = hear(voice, text), hear(voice, text, looking=False)
        assert with_it.hypotheses == without.hypotheses
        assert without.command == ()


@pytest.mark.parametrize("voice", ["flite-slt", "flite-rms", "en-us", "en-gb"])
def test_dictation_is_near_no_command(voice: str) -> None:
    assert {text: hear(voice, text).command for text in DICTATED} == dict.fromkeys(DICTATED, ())


def test_a_human_voice_that_gives_no_command_is_near_none() -> None:
    near: dict[str, tuple[str, ...]] = {}
    for folder in ("digits", "phonetic", "letters"):
        for path in sorted((PROMPTS / folder).glob("*.wav")):
            recogniser = engine()
            recogniser.begin(0.0)
            recogniser.hear(np.concatenate([silence(0.3), read(path), silence(0.3)]))
            heard = recogniser.finish()
            if heard is not None and heard.command:
                near[path.stem] = heard.command
    assert near == {}
