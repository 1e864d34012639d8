"""The entry point: commands, and what a person sees when one fails."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence

import click

from dictate.cli.lazy import LazyGroup
from dictate.errors import DictateError

COMMANDS = {
    "exam": "dictate.cli.exam:exam",
    "replay": "dictate.cli.replay:replay",
    "parse": "dictate.cli.parse:parse",
    "review": "dictate.cli.review:review",
    "list": "dictate.cli.sessions:list_sessions",
    "show": "dictate.cli.sessions:show",
    "export": "dictate.cli.export:export",
    "due": "dictate.cli.due:due",
    "patients": "dictate.cli.patients:patients",
    "patient": "dictate.cli.patients:patient",
    "answer": "dictate.cli.patients:answer",
    "passphrase": "dictate.cli.passphrase:passphrase",
    "backup": "dictate.cli.backup:backup",
    "restore": "dictate.cli.backup:restore",
    "report": "dictate.cli.report:report",
    "desk": "dictate.cli.desk:desk",
    "hand-over": "dictate.cli.erase:hand_over",
    "erase": "dictate.cli.erase:erase",
    "demo": "dictate.cli.demo:demo",
    "models": "dictate.cli.models:models",
    "vocab": "dictate.cli.vocab:vocab",
    "bench": "dictate.cli.bench:bench",
}
"""Loaded when asked for: `--help` and `parse` need no sound library and no screen."""

BAD_INPUT = 2
INTERRUPTED = 130


@click.group(
    cls=LazyGroup,
    commands_at=COMMANDS,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
@click.version_option(package_name="dictate")
def cli() -> None:
    """Dictate findings of a head, neck and oral examination; nothing leaves this machine.

    A record and a reminder, not a diagnosis: licensed clinicians and local guidelines decide.
    """


def main(arguments: Sequence[str] | None = None) -> None:
    """Run, and exit: 0 when done, 2 with one line on stderr for bad input."""
    try:
        cli.main(arguments, prog_name="dictate", standalone_mode=False)
    except click.ClickException as error:
        _fail(f"{error.format_message()} (try `dictate --help`)")
    except DictateError as error:
        _fail(str(error))
    except (click.Abort, KeyboardInterrupt):
        sys.exit(INTERRUPTED)
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(0)


def _fail(message: str) -> None:
    line = " ".join(message.split())
    click.echo(f"dictate: {line}", err=True)
    sys.exit(BAD_INPUT)
