"""A dictation played into a real sound system, heard through the microphone, to findings."""

from __future__ import annotations

import queue
import time
from contextlib import suppress

from dictate.audio.hearing import Status
from dictate.audio.microphone import open_microphone
from dictate.pipeline.listening import ListeningThread
from dictate.pipeline.text import unkept
from dictate.speech.engines import choose_engine
from dictate.speech.heard import Utterance
from dictate.vocabulary.loader import load
from tests.pulse import NullSink, pulse_null_sink  # noqa: F401
from tests.test_end_to_end import CRITICAL, ROOT, meant

RECORDING = ROOT / "dev" / "dev-01.flac"
PATIENCE_S = 90.0


def test_a_played_dictation_becomes_findings(pulse_null_sink: NullSink) -> None:  # noqa: F811
    lexicon = load()
    recogniser = choose_engine("packaged", None, lexicon)
    events: queue.Queue[object] = queue.Queue()
    microphone = open_microphone()
    thread = ListeningThread(events.put, lambda _: microphone, lambda: recogniser)
    thread.start()
    try:
        pulse_null_sink.play(RECORDING)
        examination = unkept(lexicon)
        deadline = time.monotonic() + PATIENCE_S
        while len(examination.session.findings) < len(meant(RECORDING)):
            assert time.monotonic() < deadline, examination.session.utterances
            with suppress(queue.Empty):
                event = events.get(timeout=1)
                if isinstance(event, Utterance):
                    examination.hear(event)
    finally:
        thread.stop()
        thread.join(30)
    assert microphone.hearing.status is not Status.DEAF
    for heard, said in zip(examination.session.findings, meant(RECORDING), strict=True):
        doubted = heard.doubted()
        for name in set(CRITICAL) & set(said) - doubted:
            value = getattr(heard, name)
            assert (list(value) if isinstance(value, tuple) else value) == said[name]
