"""Outcomes, commands and refusals as the readings that the matcher hands back."""

from __future__ import annotations

from dataclasses import replace

from dictate.exam import commands as cmd
from dictate.exam.finding import Doubt
from dictate.matching.negation import Sentence
from dictate.matching.outcome import Outcome
from dictate.matching.reading import Reading, Site, UtteranceKind
from dictate.matching.spots import Mark
from dictate.speech.heard import Utterance


def dictated(
    utterance: Utterance,
    sentence: Sentence,
    outcomes: list[Outcome],
    step: tuple[cmd.Command, ...],
) -> Reading:
    """The reading of dictation: the commands of its outcomes, then a step to another region."""
    commands = [command for outcome in outcomes for command in _commands_of(outcome, utterance)]
    commands += step
    if not commands:
        why = next((each.why for each in outcomes if each.why), "nothing in it is for the record")
        return ignored(utterance, why)
    unknown = [" ".join(spot.said) for spot in sentence.spots if spot.mark is Mark.UNKNOWN]
    unknown += [outcome.said for outcome in outcomes if outcome.what == "aside"]
    return Reading(
        kind=_kind({outcome.what for outcome in outcomes}),
        confidence=_confidence(utterance, outcomes),
        text=utterance.text,
        commands=tuple(commands),
        not_understood=tuple(unknown),
        site=_site(outcomes),
    )


def _kind(whats: set[str]) -> UtteranceKind:
    if whats & {"finding", "detail"}:
        return "finding"
    return "normal" if "mark" in whats else "command"


def _commands_of(outcome: Outcome, utterance: Utterance) -> list[cmd.Command]:
    draft = outcome.draft
    if outcome.command is not None:
        return [outcome.command]
    if draft is None or outcome.what == "aside":
        return []
    fields = draft.fields()
    doubts: tuple[Doubt, ...] = draft.needs_review()
    if outcome.what == "detail":
        return [
            cmd.AddDetail(
                target="last",
                fields=fields,
                needs_review=doubts,
                alternatives=draft.alternatives(),
                said=utterance.text,
            )
        ]
    return [
        cmd.AddFinding(
            fields=fields,
            needs_review=doubts,
            alternatives=draft.alternatives(),
            confidence=_confidence(utterance, [outcome]),
            said=utterance.text,
        )
    ]


def _confidence(utterance: Utterance, outcomes: list[Outcome]) -> float:
    scores = [
        spot.score for each in outcomes if each.draft is not None for spot in each.draft.spots()
    ]
    likeness = min(scores, default=100.0) / 100
    return round(max(0.0, min(1.0, utterance.confidence * likeness)), 3)


def _site(outcomes: list[Outcome]) -> Site | None:
    for outcome in reversed(outcomes):
        if outcome.what == "finding" and outcome.draft is not None:
            fields = outcome.draft.fields()
            return Site(fields.region, fields.subsite, fields.side)
        if outcome.place is not None:
            return Site(outcome.place.region, outcome.place.subsite, outcome.place.side)
        if isinstance(outcome.command, cmd.MarkRegion):
            return Site(outcome.command.region, None, outcome.command.side)
    return None


def ignored(utterance: Utterance, why: str) -> Reading:
    """The reading of an utterance that is put aside."""
    return Reading("ignored", _rounded(utterance), utterance.text, why=why)


def commanded(utterance: Utterance, *commands: cmd.Command) -> Reading:
    """The reading of a spoken command."""
    return Reading("command", _rounded(utterance), utterance.text, commands)


def nearly(utterance: Utterance, command: cmd.Command) -> Reading:
    """The reading of a command that other words were taken for.

    Where it takes something from the record, or puts it back, the words stay among what was put
    aside, so that the confirmation pass asks whether it was meant.
    """
    why = f"taken as “{' '.join(utterance.command)}”"
    changes = isinstance(command, cmd.Undo | cmd.Redo | cmd.DeleteFinding)
    left = tuple(utterance.text.split()) if changes else ()
    return replace(commanded(utterance, command), why=why, not_understood=left)


def _rounded(utterance: Utterance) -> float:
    return round(max(0.0, min(1.0, utterance.confidence)), 3)
