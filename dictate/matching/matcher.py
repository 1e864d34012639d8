"""One utterance to one reading: the matcher that the pipeline calls."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from dictate.exam import commands as cmd
from dictate.exam.events import NOTHING_SAID
from dictate.matching import thresholds
from dictate.matching.among import Among
from dictate.matching.answering import commanded, dictated, ignored, nearly
from dictate.matching.assemble import Assembler
from dictate.matching.bare_levels import with_levels
from dictate.matching.commands import BARRED, LEADING, POLITE, Commands, Spoken
from dictate.matching.correcting import Correcting
from dictate.matching.deleting import Deleting
from dictate.matching.draft import Draft
from dictate.matching.hearing import Hearing
from dictate.matching.offtalk import why_off_talk
from dictate.matching.outcome import Outcome
from dictate.matching.placing import Here
from dictate.matching.politeness import without_tail
from dictate.matching.preferring import preferred
from dictate.matching.reading import Context, Reading, Site
from dictate.matching.recovering import Recovering
from dictate.matching.refusing import (
    OF_REGIONS,
    YES_OR_SIDE,
    clear_enough,
    may_be_yes,
    refusal,
    says_nothing,
)
from dictate.matching.risks import Risks
from dictate.matching.sounds import Sounds
from dictate.matching.stepping import Steps, badly_heard, doubt_carried
from dictate.matching.talk import doubt_beside_talk, without_talk
from dictate.matching.text import Token, words_of
from dictate.matching.unheard import with_unheard
from dictate.matching.visit_words import VisitWords
from dictate.matching.visits import Tokens, Visits
from dictate.matching.witness import Witness
from dictate.speech.heard import Utterance
from dictate.uncollected import uncollected
from dictate.vocabulary.schema import Lexicon

_MAY_BE_A_COMMAND = "it may be a command: say it in other words"
_SEVERAL = 4
"""Words from which a command may stand among others without a pause."""


class Matcher:
    """Reads utterances with the phrases of a lexicon. Holds no state between them."""

    @uncollected()
    def __init__(self, lexicon: Lexicon) -> None:
        self._hearing = Hearing(lexicon)
        self._assembler = Assembler(lexicon)
        self._commands = Commands(lexicon, self._assembler)
        self._recovering = Recovering(self._hearing, self._commands)
        sounds = Sounds(lexicon)
        self._witness = Witness(lexicon, sounds)
        self._visits = Visits(VisitWords(lexicon, self._hearing.lengths), self._described)
        self._correcting = Correcting(self._hearing, self._commands, self._witness)
        self._deleting = Deleting(self._hearing, self._commands)
        self._among = Among(self._hearing, self._commands)
        self._risks = Risks(lexicon)
        self._steps = Steps(sounds)

    def read(self, utterance: Utterance, context: Context) -> Reading:
        """What the utterance asks of the examination. Never raises on any text."""
        best = preferred(utterance, lambda each: self._heard(each, context))
        return self._heard(best, context)

    def _heard(self, utterance: Utterance, context: Context) -> Reading:
        tokens = self._hearing.tokens(utterance.words)
        if says_nothing(utterance, tokens):
            return ignored(utterance, NOTHING_SAID)
        reading = self._read(utterance, tokens, context)
        if not utterance.free_text:
            return reading
        free = self._hearing.words_read(self._hearing.words(utterance.free_text))
        return with_unheard(reading, words_of(tokens), free)

    def _read(self, utterance: Utterance, tokens: Tokens, context: Context) -> Reading:
        reading = self._instead(utterance, tokens, context)
        reading = reading or self._command(utterance, tokens, context)
        if reading is None or reading.kind == "ignored":
            reading = self._among_others(utterance, tokens, context) or reading
        if reading is not None:
            return reading
        if context.paused:
            return ignored(utterance, "listening is paused")
        beyond = self._beyond_findings(utterance, tokens, context)
        if beyond is not None:
            return beyond
        if context.reviewing:
            reading = self._answer(utterance, tokens)
            if utterance.command and reading.kind != "ignored":
                return ignored(utterance, _MAY_BE_A_COMMAND)
        else:
            reading = self._dictation(utterance, tokens, context)
        if reading.kind != "ignored":
            return reading
        command = self._recovering.very_near(utterance, tokens, context)
        if command is not None:
            return nearly(utterance, command)
        if not context.reviewing:
            command = self._recovering.likely(tokens)
            command = command or self._recovering.in_another_hearing(utterance)
        return commanded(utterance, command) if command is not None else reading

    def _outcomes(self, tokens: tuple[Token, ...], here: Here) -> list[Outcome]:
        levelled = with_levels(tokens, here.region)
        return self._assembler.outcomes(self._hearing.sentence(levelled), here)

    # commands

    def _instead(self, utterance: Utterance, tokens: Tokens, context: Context) -> Reading | None:
        """The command that fits the sound better than the words; aside if these forbid it."""
        if not utterance.instead or context.paused:
            return None
        command = self._recovering.very_near(utterance, tokens, context)
        if command is None:
            return ignored(utterance, _MAY_BE_A_COMMAND)
        return nearly(utterance, command)

    def _command(
        self, utterance: Utterance, tokens: tuple[Token, ...], context: Context
    ) -> Reading | None:
        words = words_of(tokens)
        if context.reviewing and words == ("right",):
            return ignored(utterance, YES_OR_SIDE)
        spoken = self._commands.spoken(words, reviewing=context.reviewing)
        if not (context.paused or context.reviewing):
            if spoken is None or (spoken.value == "delete" and not self._commands.simple(spoken)):
                deleted = self._deleting.reading(utterance, tokens, context.last)
                if deleted is not None:
                    return deleted
            spoken = spoken or self._correcting.unnamed(tokens, context.last)
        if not context.paused and (spoken is None or spoken.takes == "field"):
            reading = self._correction(utterance, tokens, spoken, context)
            if reading is not None:
                return reading
        if spoken is None or context.paused:
            resumed = spoken is not None and spoken.value == "resume" and not spoken.rest
            resumed = resumed or (context.paused and self._among.resumed(tokens))
            return commanded(utterance, cmd.Resume()) if resumed else None
        if spoken.value == "not_for_record":
            return ignored(utterance, "it was said not to be for the record")
        if spoken.takes == "region":
            return self._go_to(utterance, tokens, spoken, context)
        return self._simple(utterance, tokens, spoken, context)

    def _among_others(
        self, utterance: Utterance, tokens: tuple[Token, ...], context: Context
    ) -> Reading | None:
        """A plain command beside courtesy and reasons, however often it is said."""
        if not any(token.pause for token in tokens[1:]) and len(tokens) < _SEVERAL:
            return None
        parts = self._among.parts(tokens, reviewing=context.reviewing)
        said = [self._command(utterance, tokens[slice(*part)], context) for part in parts]
        if not said or said[0] is None or said[0].kind != "command":
            return None
        same = all(each is not None and each.commands == said[0].commands for each in said)
        return said[0] if same else None

    def _correction(
        self,
        utterance: Utterance,
        tokens: tuple[Token, ...],
        spoken: Spoken | None,
        context: Context,
    ) -> Reading | None:
        last = context.last
        told = self._correcting.explained(utterance, tokens, last)
        several = any(token.pause for token in tokens[1:])
        if spoken is None or (several and told is not None and told.kind != "ignored"):
            return told
        reading = self._correcting.reading(utterance, tokens, spoken, last)
        return told or reading if reading.kind == "ignored" else reading

    def _simple(
        self,
        utterance: Utterance,
        tokens: tuple[Token, ...],
        spoken: Spoken,
        context: Context,
    ) -> Reading | None:
        command = self._commands.simple(spoken)
        if command is None and spoken.value in BARRED:
            return ignored(utterance, f"other words follow “{spoken.value}”: say it alone")
        if command is None:
            return None
        if spoken.value == "delete" and spoken.rest:
            others = (words_of(o) for o in self._hearing.witnesses(utterance))
            again = [self._commands.spoken(each, reviewing=False) for each in others]
            if badly_heard(tokens, spoken, again):
                return ignored(utterance, "which finding was not heard well: say it again")
        if isinstance(command, cmd.Answer) and not context.reviewing:
            return ignored(utterance, "nothing is being asked")
        if isinstance(command, cmd.Answer) and self._opposed(utterance, command):
            return ignored(utterance, "yes or no was not heard well: say it again")
        if not spoken.rest or spoken.value not in LEADING:
            return commanded(utterance, command)
        rest = self._dictation(utterance, tokens[spoken.skipped :], context)
        if rest.kind == "ignored":
            return None
        named = isinstance(rest.commands[0], cmd.GoTo) and spoken.value != "undo"
        return rest if named else replace(rest, commands=(command, *rest.commands))

    def _opposed(self, utterance: Utterance, answer: cmd.Answer) -> bool:
        """True if another hearing gives the opposite answer ("incorrect" beside "correct")."""
        hearings = [words_of(o) for o in self._hearing.witnesses(utterance)]
        if utterance.free_text:
            hearings.append(self._hearing.words(utterance.free_text))
        again = (self._commands.spoken(words, reviewing=True) for words in hearings)
        others = (self._commands.simple(spoken) for spoken in again if spoken is not None)
        return cmd.Answer(yes=not answer.yes) in others

    def _go_to(
        self,
        utterance: Utterance,
        tokens: tuple[Token, ...],
        spoken: Spoken,
        context: Context,
    ) -> Reading | None:
        rest = tokens[spoken.skipped :]
        if not any(token.pause for token in rest[1:]):
            rest = rest[: len(without_tail(words_of(rest), POLITE))]  # "The hard palate for me".
        if not rest:
            return ignored(utterance, "it does not say which region to go to")
        sentence = self._hearing.sentence(rest)
        outcomes = self._assembler.outcomes(sentence, Here())
        place = next((o.place for o in outcomes if o.place is not None and o.place.region), None)
        if place is None or place.region is None:
            return None
        found = Outcome("go", command=cmd.GoTo(region=place.region), place=place)
        again = [
            self._outcomes(each[spoken.skipped :], Here())
            for each in self._hearing.witnesses(utterance)
            if len(each) > spoken.skipped
        ]
        go = self._steps.gone(utterance, rest, found, again)
        if all(outcome.what in ("go", "aside", "detail") for outcome in outcomes):
            site = Site(place.region, place.subsite, place.side)
            return replace(commanded(utterance, go), site=site)
        reading = self._dictation(utterance, rest, context)
        if reading.kind == "ignored":
            return replace(commanded(utterance, go), why=reading.why)
        return replace(reading, commands=(go, *reading.commands))

    def _answer(self, utterance: Utterance, tokens: tuple[Token, ...]) -> Reading:
        """In the confirmation pass: a bare value answers the question being asked."""
        sentence = self._hearing.sentence(tokens)
        changes, draft = self._commands.changes(sentence, None)
        if not changes or draft.unknown or why_off_talk(sentence):
            return ignored(utterance, "only answers and commands are heard in the review")
        if any(change.value == "right" for change in changes) and may_be_yes(sentence.words):
            return ignored(utterance, YES_OR_SIDE)
        fields = {change.field for change in changes}
        if fields == {"side"} and sentence.words[-3:-1] == ("to", "the"):
            return ignored(utterance, "it may be where somebody is to turn: say “left side”")
        if any(spot.slot in OF_REGIONS for spot in sentence.spots):
            why = "it speaks of a region, not of this question: go to the region to say it"
            return ignored(utterance, why)
        if "kind" in fields and len(fields) > 1:
            why = "it sounds like a finding of its own: leave the review to dictate it"
            return ignored(utterance, why)
        others = [
            self._commands.changes(self._hearing.sentence(each), None)[0]
            for each in self._hearing.witnesses(utterance)
        ]
        checked = self._witness.changes(utterance, tokens, changes, draft, others)
        return commanded(utterance, *checked)

    # earlier lesions, decisions, the risk history

    def _beyond_findings(
        self, utterance: Utterance, tokens: Tokens, context: Context
    ) -> Reading | None:
        others = self._hearing.witnesses(utterance)
        reading = self._visits.read(utterance, tokens, context, others)
        if reading is not None or not self._risks.mentioned(tokens):
            return reading
        sentence = self._hearing.sentence(tokens)
        talk = utterance.dictation < thresholds.OFF_DICTATION or why_off_talk(sentence)
        told = () if talk else self._risks.read(tokens, sentence)
        return commanded(utterance, *told) if told else None

    def _described(
        self, utterance: Utterance, tokens: Tokens, others: Sequence[Tokens]
    ) -> tuple[list[cmd.ChangeField], Draft]:
        """What words say of a lesion named before them."""
        changes, draft = self._commands.changes(self._hearing.sentence(tokens), None)
        again = [self._commands.changes(self._hearing.sentence(each), None)[0] for each in others]
        return self._witness.changes(utterance, tokens, changes, draft, again), draft

    # dictation

    def _dictation(
        self, utterance: Utterance, tokens: tuple[Token, ...], context: Context
    ) -> Reading:
        step, length = self._commands.step_at_end(words_of(tokens))
        tokens = with_levels(tokens[:length], context.region)
        sentence = self._hearing.sentence(tokens)
        talk: tuple[str, ...] = ()
        if why_off_talk(sentence):
            tokens, talk = without_talk(tokens, self._hearing.sentence)
            sentence = self._hearing.sentence(tokens)
        why = refusal(utterance, sentence)
        if why:
            return ignored(utterance, why)
        here = Here(
            context.region, context.subsite, context.side, context.last, gone_to=context.gone_to
        )
        outcomes = self._assembler.outcomes(sentence, here)
        outcomes = [each for each in outcomes if clear_enough(each, sentence)]
        others = [self._outcomes(each, here) for each in self._hearing.witnesses(utterance)]

        def again(words: tuple[str, ...]) -> list[Outcome]:
            return self._assembler.outcomes(self._hearing.words_read(words), here)

        self._witness.check(utterance, tokens, outcomes, others, again)
        if talk:
            doubt_beside_talk(outcomes)
        for outcome in outcomes:
            if isinstance(outcome.command, cmd.GoTo):
                outcome.command = self._steps.gone(utterance, tokens, outcome, others)
        if utterance.free_text:
            free = self._hearing.words_read(self._hearing.words(utterance.free_text))
            doubt_carried(outcomes, tokens, free)
        reading = dictated(utterance, sentence, outcomes, step)
        return replace(reading, not_understood=(*talk, *reading.not_understood))
