"""Talk that was forced into the vocabulary is known by what was heard freely."""

from __future__ import annotations

import pytest

from dictate.speech.packaged.readings import OFF_DICTATION, _bound
from dictate.speech.packaged.weights import Weights

ADAPTED = Weights(apart=(50, 68))


@pytest.mark.parametrize(
    ("held", "free", "least", "most"),
    [
        (
            "left uvula of the buccal mucosae on the right",
            "Lift your tongue up to the roof of your mouth.",
            0.0,
            OFF_DICTATION,
        ),
        ("there are thirteen years ago", "There are thirty calms in the hall.", 0.3, 0.5),
        (
            "right buccal mucosa ulcer ten by six millimetres",
            "Right buccal mucosa, ulcer, 10 by 6 mm.",
            1.0,
            1.0,
        ),
        ("torus palatinus", "Tallest part of it.", 1.0, 1.0),
    ],
)
def test_readings_that_say_different_things(
    held: str, free: str, least: float, most: float
) -> None:
    assert least <= _bound(held.split(), free, ADAPTED) <= most


def test_a_model_that_hears_little_by_itself_is_not_asked() -> None:
    held = ["left", "uvula", "of", "the", "buccal", "mucosae", "on", "the", "right"]
    assert _bound(held, "Lift your tongue up to the roof of your mouth.", Weights()) == 1.0
