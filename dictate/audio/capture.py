"""The process that listens: PortAudio on one side, messages to `microphone` on the other.

`python -m dictate.audio.capture [--list | --device NAME]` is started by
`dictate.audio.microphone`, never by a person. It sends, in order: `{"ready": ...}`, then one
`{"lost": n}` with the samples of each block; or `{"error": "cause; remedy"}` and ends.
"""

from __future__ import annotations

import argparse
import os
import queue
import sys
import threading
import time
from collections.abc import Callable
from typing import Any, BinaryIO

from dictate.audio import portaudio
from dictate.child_process import Message, own_pipes, write_message
from dictate.errors import AudioError

WAITING = 320
"""Blocks (about 10 s) kept while the parent is busy; beyond that they count as lost."""
_LINGER_S = 1.0


class Blocks:
    """What PortAudio's thread hands to the sending thread: bounded, with losses counted."""

    def __init__(self, waiting: int = WAITING) -> None:
        self._queue: queue.Queue[tuple[int, bytes]] = queue.Queue(waiting)
        self._lost = 0
        self.fault: str | None = None
        """Why no more blocks will come, or None."""

    def on_block(self, data: Any, frames: int, _time: Any, status: Any) -> None:
        """PortAudio's callback: copy and return, never block, never raise."""
        try:
            if status.input_overflow:
                # How much was lost is not told: one block is the least it can be.
                self._lost += frames
            self._queue.put_nowait((self._lost, bytes(data)))
            self._lost = 0
        except queue.Full:
            self._lost += frames
        except Exception as error:
            self.fault = f"the sound could not be read ({error})"

    def on_finished(self) -> None:
        """PortAudio's word that the stream has ended: only noted, closing here would hang."""
        self.fault = self.fault or "the microphone stopped; was it unplugged?"

    def get(self, timeout_s: float) -> tuple[int, bytes] | None:
        """(samples lost just before, block), or None when none came in time."""
        try:
            return self._queue.get(timeout=timeout_s)
        except queue.Empty:
            return None


def listen(
    sd: Any, wanted: str | None, send: Callable[[Message], None], stop: threading.Event
) -> None:
    """Send what the microphone hears until `stop`. Raises AudioError when it goes deaf."""
    index, device = portaudio.choose(portaudio.microphones(sd), wanted)
    blocks = Blocks()
    opened = portaudio.open_stream(sd, index, device, blocks.on_block, blocks.on_finished)
    try:
        about = {"device": device.name, "rate": opened.rate, "channels": opened.channels}
        send(Message({"ready": about}))
        while not stop.is_set():
            block = blocks.get(0.1)
            if block is not None:
                send(Message({"lost": block[0]}, block[1]))
            elif blocks.fault or not opened.stream.active:
                raise AudioError(blocks.fault or "the microphone stopped; was it unplugged?")
    finally:
        opened.stream.close()


def list_devices(sd: Any) -> Message:
    """The microphones there are, as one message."""
    return Message({"devices": [device.as_dict() for _, device in portaudio.microphones(sd)]})


def main(argv: list[str] | None = None) -> None:
    """Run until standard input ends."""
    parser = argparse.ArgumentParser(prog="dictate.audio.capture")
    parser.add_argument("--list", action="store_true")
    parser.add_argument("--device")
    arguments = parser.parse_args(argv)
    receive, send_to = own_pipes()
    stop = threading.Event()
    threading.Thread(target=_end_with_parent, args=(receive, stop), daemon=True).start()

    def send(message: Message) -> None:
        write_message(send_to, message)

    try:
        sd = portaudio.load()
        if arguments.list:
            send(list_devices(sd))
        else:
            listen(sd, arguments.device, send, stop)
    except AudioError as error:
        send(Message({"error": str(error)}))
    except BrokenPipeError:
        return


def _end_with_parent(receive: BinaryIO, stop: threading.Event) -> None:
    """Stop when the parent closes its end or dies, even amid a call that hangs."""
    while receive.read(4096):
        pass
    stop.set()
    time.sleep(_LINGER_S)
    os._exit(0)


if __name__ == "__main__":
    main(sys.argv[1:])
