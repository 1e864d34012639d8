"""Kills a process of its own at the n-th call that changes something on the disk."""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Sequence
from typing import Any

from sqlalchemy import Engine, event

KILLED = -signal.SIGKILL
CALLS = ("fsync", "ftruncate", "unlink", "replace", "rename", "link", "pwrite", "rmdir")


class KillAt:
    """Before and after each such call, in the middle of a write, and before a commit.

    A write is cut in half first, so that a torn line is left on the disk.
    """

    def __init__(self, nth: int, calls: Sequence[str] = CALLS) -> None:
        self.left = nth
        self._write = os.write
        for name in calls:
            setattr(os, name, self._around(getattr(os, name)))
        os.write = self._half  # type: ignore[assignment]
        event.listen(Engine, "commit", lambda _: self._count())

    def _around(self, call: Callable[..., Any]) -> Callable[..., Any]:
        def counted(*args: Any, **named: Any) -> Any:
            self._count()
            done = call(*args, **named)
            self._count()
            return done

        return counted

    def _half(self, descriptor: int, data: bytes) -> int:
        self.left -= 1
        if self.left == 0:
            self._write(descriptor, data[: len(data) // 2])
            os.kill(os.getpid(), signal.SIGKILL)
        return self._write(descriptor, data)

    def _count(self) -> None:
        self.left -= 1
        if self.left == 0:
            os.kill(os.getpid(), signal.SIGKILL)


def killed_at(nth: int, act: Callable[[], object]) -> int:
    """Runs `act` in a child that is killed at point `nth`; its exit status, 0 when it got done."""
    child = os.fork()
    if child == 0:  # pragma: no cover
        try:
            KillAt(nth)
            act()
        except BaseException:
            os._exit(1)
        os._exit(0)
    _, status = os.waitpid(child, 0)
    return os.waitstatus_to_exitcode(status)
