"""`dictate export`: a session as a document."""

from __future__ import annotations

from pathlib import Path

import click

from dictate.cli.options import home_option
from dictate.cli.output import note
from dictate.errors import DictateError
from dictate.export.formats import WRITERS
from dictate.pipeline.opening import find
from dictate.store.store import Store


@click.command()
@click.argument("session")
@click.option(
    "--format", "form", type=click.Choice(sorted(WRITERS)), default="text", show_default=True
)
@click.option(
    "--output",
    type=click.Path(path_type=Path, dir_okay=False),
    help="File to write, which must not exist yet [default: stdout].",
)
@home_option
def export(session: str, form: str, output: Path | None, home: Path | None) -> None:
    """Write a SESSION (an id, the start of one, or "latest") as a document."""
    with Store(home) as store:
        found = store.load(find(store, session))
    document = WRITERS[form](found)
    if output is None:
        click.echo(document, nl=False)
        return
    _write(output, document)
    note(f"written to {output}, outside the program's own store: keep it as you keep records")


def _write(path: Path, document: str) -> None:
    """Create the file for its owner alone; an existing one is left alone."""
    try:
        path.touch(mode=0o600, exist_ok=False)
        path.write_text(document, encoding="utf-8")
    except FileExistsError:
        raise DictateError(f"{path} exists already; choose another name.") from None
    except OSError as error:
        raise DictateError(f"Cannot write {path}: {error.strerror}; choose another.") from None
