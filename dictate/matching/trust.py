"""Whether an utterance can be trusted as a whole."""

from __future__ import annotations

from dictate.matching import thresholds
from dictate.speech.heard import Utterance


def mistrusted(utterance: Utterance) -> str:
    """Why nothing critical in it is taken without a question; empty where it can be."""
    if utterance.confidence < thresholds.WEAK_UTTERANCE:
        return "it was not heard well as a whole"
    clearance = utterance.clearance_db
    if clearance is not None and clearance < thresholds.NOISY_DB:
        return "the noise was nearly as loud as the voice"
    return ""
