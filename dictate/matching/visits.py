"""What is said of lesions that earlier visits recorded, and decisions on findings.

"Lesion two same as last time", "lesion one smaller, six by four millimetres", "lesion three
resolved", "refer lesion two because it has grown". Without a number, only where one lesion alone
can be meant, and then it is asked about.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from dictate.exam import commands as cmd
from dictate.exam.finding import Doubt, FindingFields
from dictate.exam.following import LesionToday
from dictate.matching import thresholds
from dictate.matching.answering import commanded, ignored
from dictate.matching.deciding import decide, read_decision
from dictate.matching.draft import Draft
from dictate.matching.reading import Context, Reading
from dictate.matching.text import Token, words_of
from dictate.matching.trust import mistrusted
from dictate.matching.visit_words import Named, VisitWords
from dictate.speech.heard import Utterance

Tokens = tuple[Token, ...]
Describe = Callable[[Utterance, Tokens, Sequence[Tokens]], tuple[list[cmd.ChangeField], Draft]]
"""What words describe, held against the same words of other hearings; the draft they rest on."""
_STATUSES = ("same", "smaller", "larger", "changed", "resolved", "not_seen")
_CHANGES = {"smaller": "shrinking", "larger": "growing"}
_LAST_TIME = ("last", "before")
"""Words that point at an earlier visit even where no lesion is named."""
_OF_ITS_OWN = frozenset({"region", "subsite", "kind"})
"""Fields that make words a finding of their own where no lesion is named."""


@dataclass(frozen=True, slots=True)
class _Said:
    """A lesion, what became of it, and the words that describe it."""

    named: Named | None
    status: str | None
    body: Tokens
    """All words after the lesion's number."""
    rest: Tokens
    """Those after the status."""

    @property
    def described(self) -> Tokens:
        """The words that may describe it: "not healed" tells a change by itself."""
        return self.body if self.status == "changed" else self.rest


class Visits:
    """Reads utterances about earlier lesions. Holds no state between them."""

    def __init__(self, terms: VisitWords, describe: Describe) -> None:
        self._terms = terms
        self._describe = describe

    def read(
        self,
        utterance: Utterance,
        tokens: Tokens,
        context: Context,
        others: Iterable[Tokens] = (),
    ) -> Reading | None:
        """The reading; None when the words are about something else.

        `others`: the tokens of other hearings of the same sound.
        """
        if utterance.dictation < thresholds.OFF_DICTATION:
            return None
        decision = self._decision(utterance, tokens, context)
        if decision is not None or not context.lesions:
            return decision
        said = self._said(tokens)
        if said is None:
            return None
        if said.named is not None and said.named.what == "lesion":
            return self._of_named(utterance, tokens, said, context, list(others))
        if said.named is None and said.status is not None:
            return self._of_unnamed(utterance, said, context, list(others))
        return None

    # decisions

    def _decision(self, utterance: Utterance, tokens: Tokens, context: Context) -> Reading | None:
        words = words_of(tokens)
        spoken = read_decision(words, self._terms, context.on, free_reason=context.reviewing)
        if spoken is None:
            return None
        if spoken.target is None:
            if not context.reviewing and context.last is None:
                return None
            return commanded(utterance, decide(spoken, "last"))
        if spoken.target.what == "finding":
            return commanded(utterance, decide(spoken, f"f{spoken.target.number}"))
        lesion = _numbered(context, spoken.target.number)
        if lesion is None:
            return ignored(utterance, _no_such(context, spoken.target.number))
        return commanded(utterance, decide(spoken, lesion.lesion.id))

    # lesions

    def _said(self, tokens: Tokens) -> _Said | None:
        words = words_of(tokens)
        named = self._terms.named(words)
        start = self._terms.past_joints(words, named.end) if named else 0
        status, end = self._terms.at(words, start)
        if status not in _STATUSES:
            status, end = None, start
        return _Said(named, status, tokens[start:], tokens[end:]) if named or status else None

    def _of_named(
        self,
        utterance: Utterance,
        tokens: Tokens,
        said: _Said,
        context: Context,
        others: list[Tokens],
    ) -> Reading | None:
        named = said.named
        assert named is not None
        found = _numbered(context, named.number)
        if found is None:
            unknown = ignored(utterance, _no_such(context, named.number))
            return unknown if said.status is not None else None
        doubt = named.doubt or self._misheard(utterance, tokens, named, others)
        return self._followed(utterance, said, found, doubt, others)

    def _of_unnamed(
        self, utterance: Utterance, said: _Said, context: Context, others: list[Tokens]
    ) -> Reading | None:
        """Only where the words point back by themselves, or one lesion alone can be meant."""
        asked = [each for each in context.lesions if each.lesion.id == context.asked_lesion]
        if context.reviewing:
            return self._followed(utterance, said, asked[0], None, others) if asked else None
        words = said.rest
        fields = {each.field for each in self._describe(utterance, words, ())[0]} if words else ()
        if _OF_ITS_OWN & set(fields):
            return None
        candidates = _here(context)
        if len(candidates) == 1:
            doubt = f"no number was said: {candidates[0].lesion.label} is the only open one there"
            return self._followed(utterance, said, candidates[0], doubt, others)
        if candidates and set(_LAST_TIME) & set(utterance.text.lower().split()):
            return ignored(utterance, f"which lesion? {_labels(context)}: say its number")
        return None

    def _followed(
        self,
        utterance: Utterance,
        said: _Said,
        found: LesionToday,
        doubt: str | None,
        others: list[Tokens],
    ) -> Reading | None:
        lesion = found.lesion.id
        rest = " ".join(words_of(said.rest))
        if said.status == "resolved":
            reading = commanded(utterance, cmd.ResolveLesion(lesion=lesion, doubt=doubt))
            return _with_unknown(reading, (rest,) if rest else ())
        if said.status == "not_seen":
            return commanded(utterance, cmd.LeaveLesion(lesion=lesion, reason=rest or None))
        changes, draft = self._describe(utterance, said.described, self._described(others))
        if said.status is None:
            if not changes:
                return None
            doubt = doubt or "it was not said what became of it"
        command = _follow(utterance, lesion, said.status, changes, doubt)
        return _with_unknown(_finding(utterance, command), tuple(draft.unknown))

    def _described(self, others: Iterable[Tokens]) -> list[Tokens]:
        """The describing words of the other hearings."""
        said = (self._said(each) for each in others)
        return [each.described for each in said if each is not None]

    def _misheard(
        self, utterance: Utterance, tokens: Tokens, named: Named, others: Iterable[Tokens]
    ) -> str | None:
        """Why another lesion may have been named."""
        why = mistrusted(utterance)
        if why:
            return why
        token = tokens[named.index]
        if token.confidence < thresholds.SURE_WORD:
            return f"the number “{token.text}” was not heard well"
        for other in others:
            again = self._terms.named(words_of(other))
            if again is not None and again.number != named.number:
                return f"another hearing of it gives number {again.number}"
        return None


def _follow(
    utterance: Utterance,
    lesion: str,
    status: str | None,
    changes: Sequence[cmd.ChangeField],
    doubt: str | None,
) -> cmd.FollowLesion:
    values = {each.field: each.value for each in changes}
    if status in _CHANGES:
        values["change"] = _CHANGES[status]
    return cmd.FollowLesion(
        lesion=lesion,
        what="same" if status == "same" and "size_mm" not in values else "changed",
        fields=FindingFields.model_validate(values),
        needs_review=tuple(
            Doubt(field=each.field, why=each.doubt) for each in changes if each.doubt
        ),
        alternatives=tuple(other for each in changes for other in each.alternatives),
        confidence=round(max(0.0, min(1.0, utterance.confidence)), 3),
        said=utterance.text,
        doubt=doubt,
    )


def _finding(utterance: Utterance, command: cmd.FollowLesion) -> Reading:
    return Reading("finding", command.confidence, utterance.text, (command,))


def _with_unknown(reading: Reading, unknown: tuple[str, ...]) -> Reading:
    return Reading(
        reading.kind, reading.confidence, reading.text, reading.commands, not_understood=unknown
    )


def _here(context: Context) -> list[LesionToday]:
    """Open lesions, not spoken of yet, that words without a number may mean.

    Once a finding is dictated in the region, such words are about that finding.
    """
    if context.last is not None and context.last.region == context.region:
        return []
    waiting = [each for each in context.lesions if each.status == "not mentioned"]
    if context.region is None:
        return waiting
    return [each for each in waiting if each.lesion.fields.region == context.region]


def _numbered(context: Context, number: int) -> LesionToday | None:
    return next((each for each in context.lesions if each.lesion.number == number), None)


def _no_such(context: Context, number: int) -> str:
    return f"there is no open lesion {number}: open are {_labels(context) or 'none'}"


def _labels(context: Context) -> str:
    return ", ".join(each.lesion.label for each in context.lesions)
