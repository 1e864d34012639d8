"""Text in, findings out: each line is read as one utterance of one session."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from dictate.errors import DictateError
from dictate.exam.events import UtteranceHeard
from dictate.exam.finding import Finding
from dictate.exam.session import Session
from dictate.matching.matcher import Matcher
from dictate.pipeline.examination import Examination, now
from dictate.speech.heard import typed
from dictate.vocabulary.schema import Lexicon


def unkept(lexicon: Lexicon, name: str = "unkept") -> Examination:
    """An examination that lives in memory alone."""
    return Examination(Session.start(name, lexicon, now()), Matcher(lexicon))


def read_lines(path: Path) -> list[str]:
    """The lines of a text file, empty ones too. Raises DictateError when it is not text."""
    try:
        text = path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise DictateError(
            f"{path} is not UTF-8 text (byte {error.start}); save it as UTF-8."
        ) from None
    except OSError as error:
        raise DictateError(f"Cannot read {path}: {error.strerror}; check the path.") from None
    return [line.strip() for line in text.splitlines()]


@dataclass(frozen=True, slots=True)
class Line:
    """What one line came to."""

    heard: UtteranceHeard | None
    """None for an empty line, and while listening is paused."""
    findings: tuple[Finding, ...]
    """The findings it made or changed, as they stand after it."""


def parse_line(examination: Examination, line: str) -> Line:
    """Read one line of text as an utterance."""
    session = examination.session
    before, count = list(session.findings), len(session.utterances)
    if line:
        examination.hear(typed(line))
    heard = session.utterances[-1] if len(session.utterances) > count else None
    return Line(heard, tuple(each for each in session.findings if each not in before))
