"""`python -m dictate.bench`: the benchmark from the command line."""

from __future__ import annotations

import sys
from pathlib import Path

import click
from rich.console import Console

from dictate.bench.options import ENGINES, Options
from dictate.bench.run import run
from dictate.bench.table import show
from dictate.errors import DictateError

_DEFAULT = Options()


@click.command(name="bench")
@click.option(
    "--split",
    type=click.Choice(["dev", "eval"]),
    default="dev",
    show_default=True,
    help="Which sentences and voices: dev to tune on, eval to judge by.",
)
@click.option("--quick", is_flag=True, help="Every ninth sentence, clean and with noise at 10 dB.")
@click.option("--engines", metavar="A,B", default=",".join(ENGINES), show_default=True)
@click.option("--model", "models", multiple=True, type=click.Path(path_type=Path), metavar="DIR",
              help="Also our engine with the model in DIR.")  # fmt: skip
@click.option("--conditions", metavar="A,B", default="", help="Only these (clean, whine-10 ...).")
@click.option("--voices", metavar="A,B", default="", help="Only these voices of the split.")
@click.option("--noisy-share", type=click.FloatRange(0, 1), default=1.0, show_default=True,
              help="Share of the clips that are heard in noise.")  # fmt: skip
@click.option("--jobs", type=click.IntRange(min=1), default=1, show_default=True)
@click.option("--json", "json_path", type=click.Path(path_type=Path, dir_okay=False))
@click.option("--recordings", type=click.Path(path_type=Path), default=_DEFAULT.recordings,
              help="The project's folder recordings_synthetic.")  # fmt: skip
@click.option("--cache", type=click.Path(path_type=Path), default=_DEFAULT.cache,
              help="Where spoken clips are kept.")  # fmt: skip
@click.option("--no-human", is_flag=True, help="Leave real human speech out.")
@click.option("--no-timing", is_flag=True, help="Leave latency, start-up and memory out.")
@click.option("--show-errors", is_flag=True, help="Print each wrong sentence (dev only).")
def bench(
    split: str,
    quick: bool,
    engines: str,
    models: tuple[Path, ...],
    conditions: str,
    voices: str,
    noisy_share: float,
    jobs: int,
    json_path: Path | None,
    recordings: Path,
    cache: Path,
    no_human: bool,
    no_timing: bool,
    show_errors: bool,
) -> None:
    """Measure hearing and matching against exact ground truth, in quiet and in noise."""
    options = Options(
        split="eval" if split == "eval" else "dev",
        engines=(*_names(engines), *(f"packaged:{folder}" for folder in models)),
        conditions=_names(conditions),
        voices=_names(voices),
        quick=quick,
        noisy_share=noisy_share,
        jobs=jobs,
        json_path=json_path,
        recordings=recordings,
        cache=cache,
        human=not no_human,
        timing=not no_timing,
        show_errors=show_errors,
    )
    report = run(options, tell=lambda line: click.echo(line, err=True))
    show(report, Console(width=None if sys.stdout.isatty() else 190))


def _names(text: str) -> tuple[str, ...]:
    return tuple(name.strip() for name in text.split(",") if name.strip())


def main() -> None:
    """Run it; an expected failure is one line and exit code 2."""
    try:
        bench(standalone_mode=False)
    except click.ClickException as error:
        error.show()
        sys.exit(error.exit_code)
    except DictateError as error:
        click.echo(str(error), err=True)
        sys.exit(2)


if __name__ == "__main__":
    main()
