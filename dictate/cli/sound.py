"""Keeps what is said in an examination, and gives it back: `dictate sound`."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import click

from dictate.audio.hearing import Hearing
from dictate.audio.kept import Kept
from dictate.audio.source import AudioSource, Samples
from dictate.cli.files import put
from dictate.cli.opening import open_store
from dictate.cli.options import home_option
from dictate.cli.output import note
from dictate.pipeline.listening import Listen
from dictate.pipeline.opening import find
from dictate.store.audio_chest import AudioChest, recording
from dictate.store.store import Store


class Sound:
    """What is said, kept from `begin` to `end`."""

    def __init__(self, store: Store) -> None:
        self._store = store
        self._chest: AudioChest | None = None

    def of(self, open_source: Listen) -> Listen:
        """The same source, from which everything is kept."""

        def opened(on_change: Callable[[Hearing], None]) -> AudioSource:
            return Kept(open_source(on_change), self._keep)

        return opened

    def begin(self, session: Callable[[], str | None]) -> None:
        """`session` tells whose it is, and when it is not to be kept; see `AudioChest`."""
        self._chest = AudioChest(self._store.home, self._store.unlocked(), session)
        note("what is said is kept, sealed; `dictate sound SESSION` gives it back")

    def end(self) -> None:
        """Keep the rest, and tell what could not be kept."""
        if self._chest:
            self._chest.close()
            if self._chest.problem:
                note(self._chest.problem)

    def _keep(self, samples: Samples) -> None:
        if self._chest:
            self._chest.add(samples)


@click.command()
@click.argument("session")
@click.option(
    "--output",
    required=True,
    type=click.Path(path_type=Path, dir_okay=False),
    help="FLAC file to write, which must not exist yet.",
)
@home_option
def sound(session: str, output: Path, home: Path | None) -> None:
    """Write what was said in a SESSION, where it was kept (`dictate exam --keep-audio`)."""
    with open_store(home) as store:
        found = find(store, session)
        content = recording(store.home, store.unlocked(), found)
        store.note("exported", session=found, detail="sound")
    put(content, output)
