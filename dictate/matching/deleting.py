"""Which finding is to be deleted, where it is named by its number or by what it is."""

from __future__ import annotations

from typing import Literal

from dictate.exam import commands as cmd
from dictate.exam.finding import FindingFields
from dictate.matching import thresholds
from dictate.matching.answering import commanded, ignored
from dictate.matching.commands import POLITE, Commands, numbered
from dictate.matching.contrasts import same
from dictate.matching.forms import Forms
from dictate.matching.hearing import Hearing
from dictate.matching.politeness import plain, without_tail
from dictate.matching.reading import Reading
from dictate.matching.text import Token, words_of
from dictate.speech.heard import Utterance

Tokens = tuple[Token, ...]
_DELETE = Forms(
    *(f"{verb} {which}"
      for verb in ("delete", "erase")
      for which in ("the", "that", "this", "the last", "that last", "my last")),
)  # fmt: skip
"""Not "remove": what is said to be removed may be in the mouth."""
_JUST_SAID = Forms(
    *(
        f"{which}i {just}{said}"
        for which in ("", "which ", "that ")
        for just in ("", "just ", "just now ", "have just ")
        for said in ("recorded", "dictated", "entered", "added", "logged")
    ),
)
_NUMBER = Forms("delete number", "remove number", "erase number")
_UNCLEAR = "which finding is meant is not clear: say its number (“delete finding two”)"


class Deleting:
    """Finds such commands with the phrases of a lexicon."""

    def __init__(self, hearing: Hearing, commands: Commands) -> None:
        self._hearing = hearing
        self._commands = commands

    def reading(
        self, utterance: Utterance, tokens: Tokens, last: FindingFields | None
    ) -> Reading | None:
        """The deletion, or why it is left; None where nothing is to be deleted."""
        command = self._command(tokens, last)
        if command is None:
            return None
        others = (self._command(each, last) for each in self._hearing.witnesses(utterance))
        weak = any(token.confidence < thresholds.ALIKE_WORD for token in tokens)
        if command == "unclear" or weak or any(other != command for other in others):
            return ignored(utterance, _UNCLEAR)
        return commanded(utterance, command)

    def _command(
        self, tokens: Tokens, last: FindingFields | None
    ) -> cmd.DeleteFinding | Literal["unclear"] | None:
        words = words_of(tokens)
        inner, asked, _ = plain(words, POLITE, _begins)
        number = _NUMBER.end(inner, 0)
        if number:
            return numbered(inner[number:]) or "unclear"
        begin = _DELETE.end(inner, 0)
        if not begin or begin == len(inner):
            return None
        start = next(at for at in range(len(words)) if words[at : at + len(inner)] == inner)
        end = start + len(without_tail(inner, POLITE))
        what = tokens[start + begin : end]
        told = (at for at in range(1, len(what)) if _JUST_SAID.end(words_of(what), at) == len(what))
        what = what[: next(told, len(what))]
        sentence = self._hearing.sentence(what)
        changes, draft = self._commands.changes(sentence, None)
        values = {each.field: each.value for each in changes}
        if not values and asked:
            return None
        likely = any(spot.likely is not None for spot in sentence.spots)
        sure = "kind" in values and not (likely or draft.unknown or draft.notes)
        if sure and last is not None and same(values, last):
            return cmd.DeleteFinding(target="last")
        return "unclear"


def _begins(words: tuple[str, ...]) -> bool:
    return bool(_DELETE.end(words, 0) or _NUMBER.end(words, 0))
