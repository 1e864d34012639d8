"""The entry point: commands, and what a person sees when one fails."""

from __future__ import annotations

import os
import resource
import sys
import traceback
from collections.abc import Sequence
from pathlib import Path

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
    "sound": "dictate.cli.sound:sound",
    "hand-over": "dictate.cli.erase:hand_over",
    "erase": "dictate.cli.erase:erase",
    "people": "dictate.cli.people:people",
    "audit": "dictate.cli.audit:audit",
    "demo": "dictate.cli.demo:demo",
    "models": "dictate.cli.models:models",
    "vocab": "dictate.cli.vocab:vocab",
    "bench": "dictate.cli.bench:bench",
}
"""Loaded when asked for: `--help` and `parse` need no sound library and no screen."""

BAD_INPUT = 2
INTERRUPTED = 130
FAULT = 70
"""EX_SOFTWARE of BSD's sysexits.h."""
FRAMES = 12


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
    _leave_no_dump()
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
    except Exception as error:
        click.echo(_fault(error), err=True)
        sys.exit(FAULT)


def _leave_no_dump() -> None:
    """A core dump would hold the records and their key."""
    _, hard = resource.getrlimit(resource.RLIMIT_CORE)
    resource.setrlimit(resource.RLIMIT_CORE, (0, hard))


def _fault(error: Exception) -> str:
    """Where the program failed. Not the words of the error: they may quote a record."""
    places = (
        f"  {Path(each.filename).name}:{each.lineno} in {each.name}"
        for each in traceback.extract_tb(error.__traceback__)[-FRAMES:]
    )
    first = f"dictate: a fault in the program ({type(error).__name__}); please report it:"
    return "\n".join((first, *places))


def _fail(message: str) -> None:
    line = " ".join(message.split())
    click.echo(f"dictate: {line}", err=True)
    sys.exit(BAD_INPUT)
