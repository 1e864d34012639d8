"""What a correction changes, and how well it was heard."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from dictate.exam.commands import ChangeField
from dictate.exam.finding import FindingFields
from dictate.exam.readback import value_words
from dictate.matching.answering import commanded, ignored
from dictate.matching.commands import POLITE, Commands, Spoken
from dictate.matching.contrasts import Contrasts, held
from dictate.matching.draft import Draft
from dictate.matching.explained import Explained
from dictate.matching.hearing import Hearing
from dictate.matching.nbest import doubted
from dictate.matching.offtalk import understood
from dictate.matching.politeness import without_tail
from dictate.matching.reading import Reading
from dictate.matching.refusing import CLEAR_MARK
from dictate.matching.text import Token, words_of
from dictate.matching.witness import Witness
from dictate.speech.heard import Utterance

Tokens = tuple[Token, ...]
_OF_PLACE = ("region", "subsite")
_MUCH = 3
"""Fields that one correction seldom changes; one fewer where some of it was not understood."""
_A_DAY = ("a", "day")


class Correcting:
    """Reads corrections, with a command word or without one."""

    def __init__(self, hearing: Hearing, commands: Commands, witness: Witness) -> None:
        self._hearing = hearing
        self._commands = commands
        self._witness = witness
        self._contrasts = Contrasts(hearing, commands)
        self._explained = Explained(hearing, commands, self._contrasts)

    def unnamed(self, tokens: Tokens, last: FindingFields | None) -> Spoken | None:
        """A correction without a command word ("white, not red") of the finding in hand."""
        return self._contrasts.spoken(tokens, last) if last is not None else None

    def explained(
        self, utterance: Utterance, tokens: Tokens, last: FindingFields | None
    ) -> Reading | None:
        """A correction said in several parts, or why it is put aside."""
        spoken = self._explained.spoken(tokens, last) if last is not None else None
        if spoken == "unclear":
            return ignored(utterance, "the correction was not understood: say it alone")
        return self.reading(utterance, tokens, spoken, last) if spoken is not None else None

    def reading(
        self, utterance: Utterance, tokens: Tokens, spoken: Spoken, last: FindingFields | None
    ) -> Reading:
        """The changes of fields that the words ask for."""
        if not spoken.rest:
            return ignored(utterance, "it does not say what to correct")
        value, changes, draft = self._changes(tokens, spoken)
        changes = changes or self._part(tokens, spoken, last)
        if not changes:
            return ignored(utterance, "the correction was not understood")
        others = [self._again(other, spoken, last) for other in self._hearing.witnesses(utterance)]
        named = spoken.field or self._commands.names.named(spoken.rest)[0]
        if named is None:
            changes = _sweeping(changes, draft)
        if spoken.asked and last is not None:
            changes = [_asked(each, last) for each in changes]
        if last is not None:
            changes = _new(changes, last, named)
        checked = self._witness.changes(utterance, value, changes, draft, others)
        return replace(commanded(utterance, *checked), not_understood=tuple(draft.unknown))

    def _again(
        self, tokens: Tokens, spoken: Spoken, last: FindingFields | None
    ) -> Sequence[ChangeField]:
        """What another hearing of the correction changes."""
        again = self._commands.spoken(words_of(tokens), reviewing=False)
        if again is None and spoken.end is not None:
            again = self.unnamed(tokens, last)
            if again is None and last is not None:
                told = self._explained.spoken(tokens, last)
                again = told if isinstance(told, Spoken) else None
        same = again is not None and again.takes == "field"
        if not same or again is None:
            return []
        return self._changes(tokens, again)[1] or self._part(tokens, again, last)

    def _changes(self, tokens: Tokens, spoken: Spoken) -> tuple[Tokens, list[ChangeField], Draft]:
        """The tokens of the new value, and the changes that they make."""
        field, start = self._commands.names.named(spoken.rest)
        if field is None and spoken.field is not None:
            field = spoken.field
        value = tokens[spoken.skipped + start : spoken.end]
        if field is None:
            field, start = self._commands.restated(self._hearing.sentence(value))
            value = value[start:]
        if field == "node_level" and value and value[0].text != "level":
            value = (replace(value[0], text="level"), *value)
        if field is None:
            value = value[: len(without_tail(words_of(value), POLITE | {"instead"}))]
            value = value[: self._contrasts.new_until(value)]
        sentence = self._hearing.sentence(value)
        changes, draft = self._commands.changes(sentence, field)
        talk = draft.unknown and understood(sentence) < CLEAR_MARK
        if field is None and (talk or sentence.words == _A_DAY):
            return value, [], draft  # "Correct, we met last year", "let us call it a day".
        return value, changes, draft

    def _part(
        self, tokens: Tokens, spoken: Spoken, last: FindingFields | None
    ) -> list[ChangeField]:
        """ "Change buccal to lingual", "site to posterior": another part of the region in hand.

        Asked about, as a word may tell several parts ("posterior" third, "posterior" border).
        """
        region = last.region if last is not None else None
        field, start = self._commands.names.named(spoken.rest)
        field = field or spoken.field
        if last is None or region is None or field not in (None, *_OF_PLACE):
            return []
        value = tokens[spoken.skipped + start : spoken.end]
        words = words_of(value)
        at = len(words) - words[::-1].index("to") if "to" in words[1:] else 0
        part = self._commands.part(self._hearing.sentence(value[at:]), region)
        if part is None:
            return []
        if at:
            before = self._commands.part(self._hearing.sentence(value[: at - 1]), region)
            named = before is not None
        else:
            named = field is not None or set(part.split()) <= set(words)
        if not named:
            return []  # "Make it lower" may be said of the chair.
        said = " ".join(words)
        change = ChangeField(target="last", field="subsite", value=part, said=said)
        why = f"it was told from “{' '.join(words[at:])}” alone"
        return [_asked(doubted(change, why), last)]


def _asked(change: ChangeField, last: FindingFields) -> ChangeField:
    before = held(last, change.field)
    if before in (None, [], change.value):
        return change
    return doubted(change, f"it was {value_words(change.field, before)} before")


def _sweeping(changes: list[ChangeField], draft: Draft) -> list[ChangeField]:
    """In doubt where so much is changed at once, no field named, that it may be another lesion."""
    fields = {"place" if each.field in _OF_PLACE else each.field for each in changes}
    if len(fields) < (_MUCH - 1 if draft.unknown else _MUCH):
        return changes
    return [doubted(each, "much was changed at once: is it this lesion?") for each in changes]


def _new(changes: list[ChangeField], last: FindingFields, named: str | None) -> list[ChangeField]:
    """Without the region that a level, or a part named as one, brings along unchanged."""
    if named != "subsite" and not any(each.field == "node_level" for each in changes):
        return changes
    return [each for each in changes if each.field != "region" or each.value != last.region]
