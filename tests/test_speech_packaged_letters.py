"""The second hearing: paths through letters, readings ranked by both hearings, models without it.

Outside references: how likely a path is by definition (Graves, Fernández, Gomez and Schmidhuber,
2006, "Connectionist temporal classification", section 3), followed literally over all paths; what
synthesisers were told to say.
"""

from __future__ import annotations

import shutil
from functools import cache
from itertools import groupby, product
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dictate.errors import EngineError
from dictate.speech.packaged.decoder import Decoded
from dictate.speech.packaged.engine import PackagedRecogniser
from dictate.speech.packaged.expansion import Candidate
from dictate.speech.packaged.free import FreeReading
from dictate.speech.packaged.letters import LETTERS, HeardLetters, heard_letters
from dictate.speech.packaged.model_files import find_model
from dictate.speech.packaged.network import Floats, Network
from dictate.speech.packaged.readings import Span, utterance
from dictate.speech.packaged.tokens import Tokenizer
from dictate.speech.packaged.weights import Weights
from dictate.vocabulary.loader import load
from tests.speech_samples import silence, speak

ADAPTED = Path(__file__).resolve().parents[1] / "models" / "adapted-en"
SIZE = len(LETTERS) + 1
SAID = [
    ("flite-rms", "left lateral border of the tongue white patch fifteen millimetres"),
    ("flite-awb", "right buccal mucosa ulcer ten millimetres indurated"),
    ("en-gb", "firm node in the left neck twenty millimetres"),
]


def logs_of(chances: Floats) -> Floats:
    return np.log(chances / chances.sum(axis=1, keepdims=True)).astype(np.float32)


def drawn(states: int, seed: int) -> Floats:
    return logs_of(np.random.default_rng(seed).random((states, SIZE)).astype(np.float32) ** 4)


def by_definition(logs: Floats, text: str) -> float:
    """The likeliest of all paths that become the text once repeats and the empty class go."""
    used = sorted({0, *(LETTERS.index(letter) + 1 for letter in text)})
    best = -np.inf
    for path in product(used, repeat=len(logs)):
        said = "".join(LETTERS[each - 1] for each, _ in groupby(path) if each)
        if said == text:
            best = max(best, float(sum(row[each] for row, each in zip(logs, path, strict=True))))
    return best


@settings(deadline=None, max_examples=40)
@given(
    st.lists(st.text("ab", min_size=1, max_size=2), min_size=1, max_size=2),
    st.integers(2, 6),
    st.integers(0, 9),
)
def test_the_best_path_is_that_of_the_definition(words: list[str], states: int, seed: int) -> None:
    logs = drawn(states, seed)
    (fit,) = HeardLetters(logs).fits([words])
    wanted = by_definition(logs, " ".join(words))
    if np.isinf(wanted):
        assert fit is None  # "aa" needs three states: both letters with none between.
    else:
        assert fit is not None
        assert fit.score == pytest.approx(wanted, abs=1e-4)


def test_readings_put_together_fit_as_each_does_alone() -> None:
    letters = HeardLetters(drawn(40, 5))
    readings = [("left", "neck"), ("no",), ("right", "buccal", "mucosa"), ("x",) * 30, ()]
    alone = [letters.fits([each])[0] for each in readings]
    assert letters.fits(readings) == alone
    assert alone[-2:] == [None, None]


def test_what_words_lack_is_found_where_they_are_said() -> None:
    chances = np.full((9, SIZE), 1e-4, np.float32)
    for at, letter in enumerate("no left"):
        chances[at + 1, LETTERS.index(letter) + 1] = 1.0
    chances[[0, 8], 0] = 1.0
    letters = HeardLetters(logs_of(chances))
    assert letters.text == "no left"
    right, wrong = letters.fits([("no", "left"), ("no", "lift")])
    assert right is not None
    assert wrong is not None
    assert right.words == pytest.approx((0.0, 0.0), abs=1e-5)
    assert right.score == pytest.approx(letters.best)
    assert wrong.words[0] == pytest.approx(0.0, abs=1e-5)
    assert wrong.words[1] == pytest.approx(np.log(1e-4) / 4, rel=0.02)


def candidate(text: str, score: float) -> Candidate:
    words = tuple(text.split())
    return Candidate(words, tuple(-0.1 * n for n in range(1, len(words) + 1)), -1.0, -3.0, score)


def ranked(weights: Weights, letters: HeardLetters | None) -> list[str]:
    free = FreeReading()
    decoded = Decoded((candidate("no lift", -5.0), candidate("no left", -5.5)), free)
    heard = utterance(decoded, Tokenizer(("",)), Span(0.0, 1.0), weights, letters)
    assert heard is not None
    return [each.text for each in heard.hypotheses]


def test_readings_are_ranked_by_both_hearings() -> None:
    chances = np.full((9, SIZE), 1e-3, np.float32)
    for at, letter in enumerate(" no left "):
        chances[at, LETTERS.index(letter) + 1] = 1.0
    letters = HeardLetters(logs_of(chances))
    both = Weights(letters=(0.2, 0.3))
    assert ranked(both, None) == ["no lift", "no left"]
    assert ranked(Weights(), letters) == ["no lift", "no left"]
    assert ranked(both, letters) == ["no left", "no lift"]


@cache
def network() -> Network:
    return Network(find_model(ADAPTED), 1)


@pytest.mark.parametrize(("voice", "text"), SAID)
def test_what_was_said_fits_better_than_what_was_not(voice: str, text: str) -> None:
    sound = np.concatenate([silence(0.3), speak(text + ".", voice), silence(0.3)])
    letters = heard_letters(network(), network().listen(sound).states)
    assert letters is not None
    words = text.split()
    swaps = {"left": "right", "right": "left", "fifteen": "fifty", "ten": "twelve", "neck": "cheek"}
    for at, word in enumerate(words):
        if word in swaps:
            other = [*words[:at], swaps[word], *words[at + 1 :]]
            true, false = letters.fits([words, other])
            assert true is not None
            assert false is None or true.score > false.score


def test_a_model_without_a_second_hearing_hears(tmp_path: Path) -> None:
    folder = tmp_path / "alone"
    shutil.copytree(ADAPTED, folder, ignore=shutil.ignore_patterns("letters.onnx"))
    assert find_model(folder).letters is None
    alone = PackagedRecogniser(load(), model_dir=folder)
    voice, text = SAID[1]
    alone.hear(np.concatenate([silence(0.3), speak(text + ".", voice), silence(0.3)]))
    heard = alone.finish()
    assert heard is not None
    assert "buccal mucosa" in heard.text


def test_a_broken_second_hearing_is_an_error_that_says_which_file(tmp_path: Path) -> None:
    folder = shutil.copytree(ADAPTED, tmp_path / "broken")
    (folder / "letters.onnx").write_bytes(b"no network")
    with pytest.raises(EngineError, match=r"letters\.onnx"):
        Network(find_model(folder))
