"""A stand-in for the sounddevice module, with the faults that real sound cards show.

Put its folder on PYTHONPATH; FAKE_SOUND chooses the fault, or the file that FAKE_SOUND_FILE
names does, which may change at any time. A microphone here counts: each sample is one more
than the last, so that a test sees what is missing.
"""

from __future__ import annotations

import array
import os
import threading
import time
from pathlib import Path
from types import SimpleNamespace

NAME = os.environ.get("FAKE_SOUND_NAME", "Chairside USB")
ANY_TIME = "FAKE_SOUND_FILE" in os.environ
"""False: a stream that falls over does so after its tenth block."""


def fault():
    path = os.environ.get("FAKE_SOUND_FILE")
    return Path(path).read_text() if path else os.environ.get("FAKE_SOUND", "")


if fault() == "no portaudio":
    raise OSError("PortAudio library not found")


class PortAudioError(Exception):
    pass


def query_hostapis():
    return ({"name": "Fake"},)


def query_devices(device=None, kind=None):
    found = [
        {"name": name, "hostapi": 0, "max_input_channels": inputs, "default_samplerate": 48000.0}
        for name, inputs in ((NAME, 2), ("Loudspeaker", 0), ("Built-in", 2))
    ]
    if fault() == "no microphone":
        found = found[1:2]
    if kind is None:
        return found
    if fault() == "no microphone":
        raise PortAudioError("Error querying device -1")
    return found[0] | {"index": 0}


class RawInputStream:
    def __init__(self, samplerate, blocksize, channels, callback, finished_callback, **_others):
        if fault() == "hangs on opening":
            time.sleep(1000)
        if fault() == "refuses":
            raise PortAudioError("Device unavailable", -9985)
        if fault() == "refuses 16 kHz" and samplerate == 16000:
            raise PortAudioError("Invalid sample rate", -9997)
        self.active = True
        self._size = blocksize * channels
        self._frames = blocksize
        self._seconds = blocksize / samplerate
        self._callback = callback
        self._finished = finished_callback
        self._thread = threading.Thread(target=self._run, daemon=True)

    def start(self):
        self._thread.start()

    def close(self):
        if fault() == "hangs on closing":
            time.sleep(1000)
        self.active = False

    def _run(self):
        next_sample = 1
        blocks = 0
        while self.active:
            if fault() == "prints":
                os.write(1, b"ALSA lib pcm.c: noise on standard output\n")
                os.write(2, b"ALSA lib pcm.c: noise on standard error\n")
            if (blocks == 10 or ANY_TIME) and self._falls_over():
                return
            samples = array.array("h", ((next_sample + i) % 30000 for i in range(self._size)))
            next_sample += self._size
            overflow = fault() == "overflows" and (blocks == 5 or ANY_TIME)
            status = SimpleNamespace(input_overflow=overflow)
            self._callback(samples.tobytes(), self._frames, None, status)
            blocks += 1
            time.sleep(self._seconds)

    def _falls_over(self):
        if fault() == "crashes":
            os.abort()
        if fault() == "unplugged":
            self.active = False
            self._finished()
        return fault() in ("unplugged", "falls silent", "hangs on closing")
