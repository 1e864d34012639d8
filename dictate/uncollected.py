"""No garbage collection while large tables are built.

Python's collector walks all objects again and again while hundreds of thousands are made, none
of them garbage: a fifth of the time until an examination listens went into that.
"""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def uncollected() -> Iterator[None]:
    """Collect nothing inside; as a decorator, not while the function runs."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()
