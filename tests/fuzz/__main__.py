"""`python -m tests.fuzz TARGET --seconds 300`: look for inputs that break a reader.

Atheris (`pip install '.[fuzz]'`) steers by which lines an input reaches. A fault ends the run, is
shown, and its input is left in a file `crash-...` of `--folder`. At the end: how many were tried.
"""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path

import atheris

with atheris.instrument_imports(include=["dictate"]):
    from tests.fuzz.targets import TARGETS


class Count:
    """How many inputs a target was given, and the slowest of them."""

    def __init__(self, name: str) -> None:
        self.target = TARGETS[name]
        self.tried = self.taken = 0
        self.slowest_s = 0.0
        self._shown = time.monotonic()

    def one(self, data: bytes) -> None:
        began = time.process_time()
        self.taken += self.target.check(data)
        self.tried += 1
        self.slowest_s = max(self.slowest_s, time.process_time() - began)
        if time.monotonic() - self._shown > 10:
            self._shown = time.monotonic()
            self.show()

    def show(self) -> None:
        print(
            f"{self.target.name}: {self.tried} tried, {self.taken} taken, "
            f"slowest {self.slowest_s:.2f} s",
            flush=True,
        )


def main() -> None:
    """Fuzz one target."""
    parser = argparse.ArgumentParser(prog="tests.fuzz")
    parser.add_argument("target", choices=sorted(TARGETS))
    parser.add_argument("--seconds", type=int, default=300)
    parser.add_argument("--folder", type=Path, required=True, help="for inputs that were found")
    given = parser.parse_args()
    count = Count(given.target)
    corpus = given.folder / given.target
    corpus.mkdir(parents=True, exist_ok=True)
    for number, seed in enumerate(count.target.seeds):
        (corpus / f"seed-{number}").write_bytes(seed)
    options = [
        f"-max_total_time={given.seconds}",
        f"-artifact_prefix={given.folder}/",
        "-max_len=16384",
        "-verbosity=0",
    ]
    atheris.Setup([sys.argv[0], *options, str(corpus)], count.one)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
