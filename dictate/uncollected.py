"""No garbage collection while large tables are built.

Python's collector walks all objects again and again while hundreds of thousands are made, none
of them garbage: a fifth of the time until an examination listens went into that.
"""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def uncollected(*, stays: bool = False) -> Iterator[None]:
    """Collect nothing inside; as a decorator, not while the function runs.

    `stays`: what there is then stays for as long as the program runs, and is passed by from then
    on. Else the first collections after it walk all that was made, in the middle of an utterance.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
        if stays:
            gc.freeze()
    finally:
        if was_on:
            gc.enable()
