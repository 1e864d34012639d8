"""What may be carried from one utterance to the next, as far as it was heard well."""

from __future__ import annotations

from collections.abc import Sequence

from dictate.exam import commands as cmd
from dictate.matching import thresholds
from dictate.matching.commands import Spoken
from dictate.matching.negation import Sentence
from dictate.matching.outcome import Outcome
from dictate.matching.sounds import Sounds
from dictate.matching.text import Token
from dictate.matching.trust import mistrusted
from dictate.matching.witness import was_heard
from dictate.speech.heard import Utterance
from dictate.vocabulary.schema import Slot


class Steps:
    """Steps from region to region, held against the sound-alikes of a lexicon."""

    def __init__(self, sounds: Sounds) -> None:
        self._sounds = sounds

    def gone(
        self,
        utterance: Utterance,
        tokens: Sequence[Token],
        outcome: Outcome,
        others: Sequence[Sequence[Outcome]],
    ) -> cmd.GoTo:
        """The step to a region, doubted where another one may have been said."""
        go = outcome.command
        assert isinstance(go, cmd.GoTo)
        spots = outcome.place.spots if outcome.place is not None else ()
        told = all(s.likely is None and s.phrase and not s.phrase.misheard for s in spots)
        places = ([each.place.region for each in o if each.place is not None] for o in others)
        well = not was_heard(utterance) or (
            all(go.region in regions for regions in places)
            and not mistrusted(utterance)
            and not self._sounds.weak_word(tokens, outcome)
        )
        return go if told and well else go.model_copy(update={"doubted": True})


def doubt_carried(outcomes: Sequence[Outcome], tokens: Sequence[Token], free: Sentence) -> None:
    """Ask about a region carried over if one was heard without the vocabulary's help.

    Not where the same words were heard with its help as well (`tokens`): the reading weighed them.
    """
    heard = {token.text for token in tokens}
    named = [
        spot
        for spot in free.spots
        if spot.slot in (Slot.REGION, Slot.SUBSITE) and not heard.issuperset(spot.said)
    ]
    if not named:
        return
    why = f"no place was said, but it may have been “{' '.join(named[0].said)}”"
    for outcome in outcomes:
        draft, mark = outcome.draft, outcome.command
        if isinstance(mark, cmd.MarkRegion) and outcome.place is None:
            outcome.command = mark.model_copy(update={"doubt": mark.doubt or why})
        elif outcome.what == "finding" and draft is not None and not draft.evidence.get("region"):
            draft.doubt("region", why)


def badly_heard(tokens: Sequence[Token], spoken: Spoken, others: Sequence[Spoken | None]) -> bool:
    """True if the words after a command may have been others ("delete finding two")."""
    said = tokens[spoken.skipped :]
    if any(token.confidence < thresholds.ALIKE_WORD for token in said):
        return True
    meant = (spoken.value, spoken.rest)
    return any(each is None or (each.value, each.rest) != meant for each in others)
