"""What the commands about the risk history do."""

from __future__ import annotations

from dictate.errors import ExamError
from dictate.exam import commands as cmd
from dictate.exam import events as ev
from dictate.exam.lesion_rules import SPOKEN
from dictate.exam.risks import Risk, risk_words
from dictate.exam.situation import Result, Situation


def note_risk(command: cmd.NoteRisk, now: Situation) -> Result:
    """One line, the latest answer of its factor counting; spoken, it is read back.

    More of the same answer is added to its words: an earlier cancer is not lost behind another.
    """
    old = now.state.following.risks.get(command.factor)
    told = [" ".join(command.words.split())]
    if old is not None and old.answer == command.answer:
        told = [*old.words.split("; "), *told]
    risk = Risk(
        factor=command.factor,
        answer=command.answer,
        words="; ".join(dict.fromkeys(filter(None, told))),
        doubt=command.doubt or (SPOKEN if now.by_voice else None),
    )
    if old is not None and old.answer != risk.answer and risk.doubt:
        risk = risk.model_copy(update={"doubt": f"said before: {old.answer}"})
    return Result((ev.RiskNoted(risk=risk),), risk_words(risk))


def drop_risk(command: cmd.DropRisk, now: Situation) -> Result:
    """Take a line back."""
    if command.factor not in now.state.following.risks:
        raise ExamError(f"Nothing is noted of {command.factor}.")
    return Result((ev.RiskDropped(factor=command.factor),), f"Taken back: {command.factor}")
