"""A source that hands what is heard to somebody who keeps it, too."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from dictate.audio.source import AudioSource, Frame, Samples


class Kept:
    """The source itself, as far as anybody who listens can tell."""

    def __init__(self, source: AudioSource, keep: Callable[[Samples], None]) -> None:
        self.name = source.name
        self._source = source
        self._keep = keep

    def frames(self) -> Iterator[Frame]:
        """Frames as they come, each one kept before it is heard."""
        for frame in self._source.frames():
            self._keep(frame.samples)
            yield frame

    def close(self) -> None:
        self._source.close()
