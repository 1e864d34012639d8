"""`dictate review`: the confirmation pass in plain lines, without a full screen."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

import click

from dictate.cli.assisting import assistant_option
from dictate.cli.opening import open_store
from dictate.cli.options import home_option, vocab_option
from dictate.cli.output import note, tell_notes
from dictate.errors import DictateError, ExamError
from dictate.exam.commands import (
    Answer,
    ChangeField,
    Command,
    DeleteFinding,
    Sign,
    Skip,
    StartReview,
    Undo,
)
from dictate.exam.events import KEYBOARD, Event
from dictate.exam.finding import FIELD_NAMES
from dictate.exam.parse import parse_field
from dictate.exam.review import Question
from dictate.pipeline.examination import Examination
from dictate.pipeline.opening import resumed_examination
from dictate.speech.heard import typed
from dictate.vocabulary.loader import load
from dictate.vocabulary.schema import Lexicon

HELP = """\
  y               yes, that is right
  n               no (a field stays open until it is changed)
  side left       change a field of the finding asked about: its name, then the new value
  delete          take the finding out of the record
  refer because the borders are rolled; biopsy; re-check in two weeks; no action because ...
                  decide on the finding asked about
  lesion two same as last time; lesion two smaller, six by four millimetres; lesion two resolved
                  what became of a lesion of an earlier visit
  s               skip, asked again at the end
  u               undo the last step
  q               leave; the draft keeps everything"""

SIMPLE: dict[str, Command] = {
    "y": Answer(yes=True),
    "yes": Answer(yes=True),
    "n": Answer(yes=False),
    "no": Answer(yes=False),
    "s": Skip(),
    "u": Undo(),
}
FIELDS = {"size": "size_mm", "colour": "colours", "duration": "duration_days"}
_CHOICES = {
    "decision": "y / refer / biopsy / re-check / no action, and why / s / u / q",
    "lesion": "y / n / what became of it / s / u / q",
}
SPOKEN = ("decision", "lesion", "link", "risk")
"""Questions that words answer as they do when they are dictated."""


@click.command()
@click.argument("session", default="latest")
@click.option("--examiner", help="Name or initials to sign with [default: asked for at the end].")
@assistant_option
@vocab_option
@home_option
def review(
    session: str, examiner: str | None, vocab_files: tuple[Path, ...], home: Path | None
) -> None:
    """Go through every finding of a draft SESSION, decide on each, and sign."""
    lexicon = load(vocab_files)
    with open_store(home) as store:
        examination = resumed_examination(store, lexicon, session)
        tell_notes(store)
        examination.do(StartReview())
        click.echo(HELP)
        if not _answer_all(examination, lexicon):
            note(f"left open; `dictate review {examination.session.id}` goes on")
            return
        _sign(examination, examiner, lambda: store.pending(examination.session.id))


def _answer_all(examination: Examination, lexicon: Lexicon) -> bool:
    """Ask until nothing is open; False when the person leaves."""
    while (review := examination.session.review) is not None and review.current is not None:
        question = review.current
        click.echo(f"\n[{len(review.open)} left] {question.asked or question.text}")
        for rule in question.items if question.asked else ():
            click.echo(f"  - {rule}")
        words = _ask(_choices(question))
        if words is None or _leaves(words):
            return False
        try:
            click.echo(_done(words, question, examination, lexicon))
        except ExamError as error:
            click.echo(str(error))
        _warn(examination)
    return True


def _choices(question: Question) -> str:
    known = _CHOICES.get(question.kind, "y / n / field value / delete / s / u / q")
    return known.removeprefix("y / ") if question.choices else known


def _done(words: str, question: Question, examination: Examination, lexicon: Lexicon) -> str:
    """Carry out what was typed: a command of this list, or words as they are dictated."""
    first = words.partition(" ")[0].lower()
    listed = first in {*FIELDS, *FIELD_NAMES, "delete"} or words.lower() in SIMPLE
    if listed or question.kind not in SPOKEN:
        return examination.do(_command(words, question, lexicon)).message
    heard = examination.hear(typed(words), KEYBOARD)
    return heard.outcome.message or heard.reading.why


def _command(words: str, question: Question, lexicon: Lexicon) -> Command:
    if words.lower() in SIMPLE:
        return SIMPLE[words.lower()]
    if question.finding is None:
        raise ExamError("Answer y or n here.")
    if words.lower() == "delete":
        return DeleteFinding(target=question.finding)
    name, _, value = words.partition(" ")
    field = FIELDS.get(name.lower(), name.lower())
    if field not in FIELD_NAMES:
        raise ExamError(f"There is no field {name}; there are {', '.join(FIELD_NAMES)}.")
    new = parse_field(field, value, lexicon)
    return ChangeField(target=question.finding, field=field, value=new)


def _ask(prompt: str) -> str | None:
    """A line from the keyboard; None at the end of input."""
    try:
        words: str = click.prompt(prompt, prompt_suffix="> ", default="", show_default=False)
    except (click.Abort, EOFError):
        return None
    return words.strip()


def _leaves(words: str | None) -> bool:
    return words is None or words.lower() == "q"


def _sign(
    examination: Examination, examiner: str | None, unkept: Callable[[], Sequence[Event]]
) -> None:
    click.echo("\nEverything is decided. Signing makes the record final.")
    review = examination.session.review
    for line in review.notices if review is not None else ():
        click.echo(f"Worth a look: {line}")
    name = examiner or examination.signer or click.prompt("Examiner's name or initials")
    click.echo(examination.do(Sign(examiner=str(name))).message)
    while not examination.retry():
        note(f"signed, but not kept yet: {examination.problem}")
        if _leaves(_ask("enter tries again, q leaves")):
            raise DictateError(f"{_left(unkept())} {examination.problem}")
    note(f"final; `dictate export {examination.session.id}` writes the summary")


def _left(unkept: Sequence[Event]) -> str:
    """What becomes of a signature that is in memory alone, or in the journal alone."""
    if unkept:
        return "Not signed: the draft stays as it was kept last."
    return "Signed; it moves into the database at the next start."


def _warn(examination: Examination) -> None:
    if examination.problem:
        note(f"only in memory: {examination.problem}")
