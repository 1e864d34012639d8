"""Commands that were heard as other words: looked for where an utterance says nothing else."""

from __future__ import annotations

from dictate.exam import commands as cmd
from dictate.matching import thresholds
from dictate.matching.commands import Commands
from dictate.matching.forms import Words
from dictate.matching.grammar import NEGATING
from dictate.matching.hearing import Hearing
from dictate.matching.reading import Context
from dictate.matching.refusing import names
from dictate.matching.text import Token, words_of
from dictate.speech.heard import Utterance


class Recovering:
    """Finds such commands among those of a lexicon."""

    def __init__(self, hearing: Hearing, commands: Commands) -> None:
        self._hearing = hearing
        self._commands = commands

    def likely(self, tokens: tuple[Token, ...]) -> cmd.Command | None:
        """A harmless command that the words are much like."""
        return self._commands.forgiving.likely(words_of(tokens))

    def very_near(
        self, utterance: Utterance, tokens: tuple[Token, ...], context: Context
    ) -> cmd.Command | None:
        """The command that the sound is very near to, where the words heard say nothing."""
        meant = utterance.command
        if not meant or NEGATING.intersection(self._freely(utterance)) - set(meant):
            return None
        others = tuple(token.text for token in tokens if token.text not in meant)
        if names(self._hearing.words_read(others)):
            return None
        spoken = self._commands.spoken(meant, reviewing=context.reviewing)
        command = self._commands.simple(spoken) if spoken is not None else None
        if isinstance(command, cmd.Answer):  # a lone "yes" is too like "yet" to confirm anything
            return command if context.reviewing and len(meant) > 1 else None
        return command

    def _freely(self, utterance: Utterance) -> Words:
        return self._hearing.words(utterance.free_text or utterance.text)

    def in_another_hearing(self, utterance: Utterance) -> cmd.Command | None:
        """A harmless command that another reading is, where the best one says nothing."""
        if utterance.dictation < thresholds.DOUBTFUL_DICTATION:
            return None
        for other in self._hearing.witnesses(utterance):
            command = self._commands.forgiving.harmless(words_of(other))
            if command is not None:
                return command
        return None
