"""`dictate parse`: text to findings, without sound."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from dictate.cli.options import json_option, vocab_option
from dictate.cli.output import print_json, print_summary
from dictate.exam.contract import (
    coverage_document,
    finding_document,
    session_document,
    utterance_document,
)
from dictate.pipeline.examination import Examination
from dictate.pipeline.text import parse_line, read_lines, unkept
from dictate.vocabulary.loader import load


@click.command()
@click.argument("text", required=False)
@click.option(
    "--lines",
    "lines_file",
    type=click.Path(path_type=Path),
    help="A text file: each line is one utterance of one session.",
)
@json_option
@vocab_option
def parse(
    text: str | None, lines_file: Path | None, as_json: bool, vocab_files: tuple[Path, ...]
) -> None:
    """Read TEXT as if it had been dictated, and show what is recorded of it.

    With --lines and --json, each line gives one JSON object: its utterance, the findings it
    made or changed, and the coverage so far.
    """
    if (text is None) == (lines_file is None):
        raise click.UsageError("Give either a TEXT or --lines FILE.")
    lines = read_lines(lines_file) if lines_file else [text or ""]
    examination = unkept(load(vocab_files))
    for line in lines:
        if lines_file and as_json:
            print_json(_line_document(examination, line))
        else:
            parse_line(examination, line.strip())
    if not as_json:
        print_summary(examination.session)
    elif not lines_file:
        print_json(session_document(examination.session))


def _line_document(examination: Examination, line: str) -> dict[str, Any]:
    read = parse_line(examination, line)
    return {
        "utterances": [utterance_document(read.heard)] if read.heard else [],
        "findings": [finding_document(each) for each in read.findings],
        "coverage": coverage_document(examination.session.coverage),
    }
