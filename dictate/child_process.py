"""A child process for native code that may crash, hang or print: the session outlives it."""

from __future__ import annotations

import collections
import contextlib
import json
import os
import queue
import struct
import subprocess
import sys
import threading
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO, Any, BinaryIO

_HEAD = struct.Struct(">II")
_LARGEST = 64 * 2**20
_STDERR_LINES = 40


@dataclass(frozen=True, slots=True)
class Message:
    """What goes over the pipe: a small JSON object and raw bytes."""

    head: dict[str, Any]
    body: bytes = field(default=b"", repr=False)


class ChildGoneError(Exception):
    """The child process has ended; `str(error)` says how."""


def write_message(stream: IO[bytes], message: Message) -> None:
    """Write one message. Raises BrokenPipeError when nobody reads."""
    head = json.dumps(message.head, ensure_ascii=False).encode()
    stream.write(_HEAD.pack(len(head), len(message.body)) + head + message.body)
    stream.flush()


def read_message(stream: IO[bytes]) -> Message | None:
    """Read one message; None at the end of the stream or when it is cut or garbled."""
    sizes = stream.read(_HEAD.size)
    if len(sizes) < _HEAD.size:
        return None
    head_size, body_size = _HEAD.unpack(sizes)
    if head_size > _LARGEST or body_size > _LARGEST:
        return None
    head, body = stream.read(head_size), stream.read(body_size)
    if len(head) < head_size or len(body) < body_size:
        return None
    try:
        return Message(json.loads(head), body)
    except ValueError:
        return None


def own_pipes() -> tuple[BinaryIO, BinaryIO]:
    """In the child: the two pipes to the parent, out of reach of anything that prints.

    A library that writes to standard output would garble the messages, so file
    descriptor 1 is pointed at standard error afterwards.
    """
    receive = os.fdopen(os.dup(0), "rb")
    send = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    return receive, send


class Child:
    """A Python module run in its own process, with messages both ways.

    Whatever it prints is kept (the last lines) and never reaches the screen. It lives in
    a session of its own, so Ctrl-C in the terminal does not reach it, and it is expected
    to end when its standard input does, so it never outlives this process.
    """

    def __init__(self, module: str, *args: str, waiting: int = 64) -> None:
        """Start `python -m module args`; at most `waiting` messages wait to be received."""
        self._process = subprocess.Popen(
            [sys.executable, "-P", "-m", module, *args],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            env=_environment(),
            start_new_session=True,
        )
        self._messages: queue.Queue[Message | None] = queue.Queue(waiting)
        self._to_send: queue.Queue[Message | None] = queue.Queue()
        self._printed: collections.deque[str] = collections.deque(maxlen=_STDERR_LINES)
        self._stopping = threading.Event()
        self._threads = [
            threading.Thread(target=target, daemon=True, name=f"{module} {target.__name__}")
            for target in (self._write_messages, self._read_messages, self._read_stderr)
        ]
        for thread in self._threads:
            thread.start()

    def send(self, message: Message) -> None:
        """Have one message sent; never blocks, even when the child hangs.

        Raises ChildGoneError when the child has ended already.
        """
        if self._process.poll() is not None:
            raise ChildGoneError(self._how_it_ended())
        self._to_send.put(message)

    def receive(self, timeout_s: float) -> Message | None:
        """The next message, or None after `timeout_s` seconds. Raises ChildGoneError."""
        try:
            message = self._messages.get(timeout=timeout_s)
        except queue.Empty:
            return None
        if message is None:
            self._messages.put(None)  # for whoever asks next
            raise ChildGoneError(self._how_it_ended())
        return message

    def printed(self) -> str:
        """The last lines the child wrote to standard output or error."""
        return "\n".join(self._printed)

    @property
    def exit_code(self) -> int | None:
        """None while it runs; minus the signal's number when a signal ended it."""
        return self._process.poll()

    def stop(self, patience_s: float = 0.5) -> None:
        """End the child, by force after `patience_s` seconds; may be called twice."""
        self._stopping.set()
        self._to_send.put(None)
        try:
            self._process.wait(patience_s)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait()
        for thread in self._threads:
            thread.join(timeout=1.0)
        _close(self._process.stdout)
        _close(self._process.stderr)

    def _how_it_ended(self) -> str:
        try:
            code = self._process.wait(1.0)
        except subprocess.TimeoutExpired:
            return "the process closed its pipe"
        return f"the process was killed by signal {-code}" if code < 0 else f"exit code {code}"

    def _write_messages(self) -> None:
        assert self._process.stdin is not None
        with contextlib.suppress(OSError, ValueError):
            while (message := self._to_send.get()) is not None:
                write_message(self._process.stdin, message)
        _close(self._process.stdin)

    def _read_messages(self) -> None:
        assert self._process.stdout is not None
        message: Message | None = Message({})
        while message is not None and not self._stopping.is_set():
            try:
                message = read_message(self._process.stdout)
            except (OSError, ValueError):
                message = None
            self._hand_over(message)

    def _hand_over(self, message: Message | None) -> None:
        while not self._stopping.is_set():
            try:
                return self._messages.put(message, timeout=0.2)
            except queue.Full:
                continue

    def _read_stderr(self) -> None:
        assert self._process.stderr is not None
        try:
            for line in self._process.stderr:
                self._printed.append(line.decode(errors="replace").rstrip())
        except (OSError, ValueError):
            return


def _environment() -> dict[str, str]:
    """The environment, with this package importable whatever the current folder is."""
    root = str(Path(__file__).resolve().parent.parent)
    others = os.environ.get("PYTHONPATH")
    return os.environ | {"PYTHONPATH": os.pathsep.join([root, others] if others else [root])}


def _close(stream: Any) -> None:
    with contextlib.suppress(OSError):
        stream.close()
