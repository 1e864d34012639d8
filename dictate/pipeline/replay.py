"""A recording in, findings out, as fast as the machine can."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from dictate.audio.wav import open_recording
from dictate.pipeline.examination import Examination, Heard
from dictate.speech.heard import Utterance
from dictate.speech.listener import Lost, NotUnderstood, listen
from dictate.speech.port import Recogniser


def replay(
    path: Path,
    recogniser: Recogniser,
    examination: Examination,
    tell: Callable[[Heard], None] | None = None,
) -> None:
    """Hear a recording to its end. Raises AudioError when it is none."""
    source = open_recording(path)
    try:
        for event in listen(source.frames(), recogniser, partial_every_s=None, levels=False):
            if isinstance(event, Utterance):
                heard = examination.hear(event)
                if tell is not None:
                    tell(heard)
            elif isinstance(event, NotUnderstood):
                examination.miss(event.start_s, event.end_s, "no word was made out")
            elif isinstance(event, Lost):
                examination.miss(event.at_s, event.at_s + event.seconds, "sound was lost")
    finally:
        source.close()
