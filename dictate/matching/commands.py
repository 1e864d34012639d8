"""Spoken commands: undo, go to a region, correct a field, confirm, save and the like."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from dictate.exam import commands as cmd
from dictate.exam.finding import FieldValue
from dictate.matching.assemble import Assembler
from dictate.matching.describing import DENIED
from dictate.matching.draft import Draft
from dictate.matching.field_names import FieldNames
from dictate.matching.forgiving import SIMPLE, Forgiving
from dictate.matching.forms import Forms, Words
from dictate.matching.negation import Sentence
from dictate.matching.numbers import read_number
from dictate.matching.politeness import allowed, plain
from dictate.vocabulary.patterns import command_patterns
from dictate.vocabulary.schema import Lexicon, Slot

POLITE = frozenset(
    {
        *("please", "now", "ok", "okay", "so", "and", "then", "well", "thanks"),
        *("um", "uh", "er", "erm", "oh", "oops", "whoops", "just", "kindly"),
    }
)
BARRED = frozenset({"save", "delete", "redo", "pause", "resume"})
"""Commands that are not overheard when other words follow: the whole is put aside."""
LEADING = frozenset({"next_region", "previous_region", "undo"})
"""Commands that dictation may follow in the same breath."""
CORRECT = "correct"
_LEFT_RIGHT = ("left", "right")
UH_UH = ("uh", "uh")
"""May be a "no", and is none to be sure of."""
_VALUES = frozenset({"field", "region"})
_TELLING = 2
"""Words of a command that takes a value, from which it is known behind an "actually"."""
_TRAILING = frozenset({"next_region", "previous_region"})
_OPEN = frozenset({"repeat", "skip"})
_NOT_AGAIN = frozenset({"save", "delete", "confirm", "reject"})
"""What nobody asks for "again": "save that again" was "say that again"."""
_NOTED = (("of",), ("in",), ("since",))
"""What follows "change" where it is no command: "change of colour"."""
_SHOWING = Forms("open", "show", "pull up", "bring up", "call up")
_BIDDING = frozenset({"kindly", "please"})
_READY = frozenset({"right", "alright", "good", "great", "lovely", "yes"})
_EVERYDAY = frozenset(
    {
        *("your", "a", "wide", "mouth", "tongue", "lip", "lips", "cheek", "cheeks", "teeth"),
        *("throat", "neck", "gum", "gums", "jaw", "jaws", "face", "eye", "eyes", "ear", "ears"),
        *("nose", "chin", "roof"),
    }
)
"""What a patient, too, is asked to open or show."""
_WHICH = frozenset(
    {"region", "subsite", "side", "kind", "count", "normal_variant", "node_level", "note"}
)


@dataclass(frozen=True, slots=True)
class Spoken:
    """A command phrase at the start (or end) of an utterance, and what stands beside it."""

    value: str
    takes: str
    rest: Words
    """The words after the phrase (before it, for one at the end)."""
    skipped: int = 0
    """How many words of the utterance come before `rest`."""
    end: int | None = None
    """Where `rest` ends, if words follow it."""
    asked: bool = False
    """True for a correction that must be asked about."""
    field: str | None = None
    """The field to be corrected, where it was named apart from the value."""


class Commands:
    """Reads commands with the phrases of a lexicon."""

    def __init__(self, lexicon: Lexicon, assembler: Assembler) -> None:
        self._assembler = assembler
        self._takes = {command.value: command.takes for command in lexicon.commands}
        self._said: dict[Words, str] = {}
        self._in_review: dict[Words, str] = {}
        fields: dict[Words, str] = {}
        self._sides = {
            p.words for p in lexicon.phrases if p.slot is Slot.SIDE and p.value in _LEFT_RIGHT
        }
        for phrase in lexicon.phrases:
            if phrase.slot is Slot.COMMAND:
                table = self._in_review if phrase.review_only else self._said
                table.setdefault(phrase.words, str(phrase.value))
            elif phrase.slot is Slot.FIELD:
                fields.setdefault(phrase.words, str(phrase.value))
        self.names = FieldNames(fields)
        self.forgiving = Forgiving(dict(self._said))
        for words, value in command_patterns(lexicon):
            self._said.setdefault(words, value)
        for words, value in command_patterns(lexicon, "review_patterns"):
            self._in_review.setdefault(words, value)
        self._while_paused = dict(command_patterns(lexicon, "paused_patterns"))
        self._longest = max((len(words) for words in self._said), default=0)

    def spoken(self, words: Words, *, reviewing: bool) -> Spoken | None:
        """The command phrase that the words begin with, the longest that there is."""
        start = 1 if words[:2] == ("no", "no") else 0
        while start < len(words) and words[start] in POLITE and not self._at(words, start):
            start += 1
        if reviewing and words[:2] == UH_UH:
            inner = self.spoken(words[2:], reviewing=True)
            return inner if inner is not None and inner.value == "reject" else None
        if reviewing:
            rest = tuple(word for word in words[start:] if word not in POLITE) or words[start:]
            value = self._in_review.get(words) or self._in_review.get(rest) or self._asking(words)
            if value is not None:
                return Spoken(value, self._takes[value], ())
        length = self._at(words, start)
        if not length:
            polite = self._politely(words, reviewing=reviewing)
            return polite or self._other_side(words) or self._field_first(words, start)
        value = self._said[words[start : start + length]]
        end = start + length
        if value == CORRECT and words[end : end + 1] in _NOTED:
            return None
        if _EVERYDAY.intersection(words[end:]) and _shows(words[:end]):
            return None
        while end < len(words) and words[end] in POLITE and self._takes[value] == "nothing":
            end += 1
        if words[end:]:
            polite = self._politely(words, reviewing=reviewing)
            if polite is not None and (polite.takes == "nothing" or value in BARRED):
                return polite  # "Hold on, make that the left".
        return Spoken(value, self._takes[value], words[end:], end)

    def _asking(self, words: Words) -> str | None:
        """ "Sorry, what was that": what leaves every question open may stand in politeness."""
        inner, _, refused = plain(words, POLITE, self._in_review.__contains__)
        value = self._in_review.get(inner)
        return value if value in _OPEN and not refused else None

    def _whole(self, words: Words) -> bool:
        """True for a command with nothing after it but the value that it takes."""
        value = self._said.get(words)
        if value is not None:
            return True
        length = self._at(words, 0)
        return length >= _TELLING and self._takes[self._said[words[:length]]] in _VALUES

    def _politely(self, words: Words, *, reviewing: bool) -> Spoken | None:
        """ "Oh no, could you undo that for me please": a whole command, and nothing else."""
        inner, asked, refused = plain(words, POLITE, self._said.__contains__)
        if inner not in self._said:
            inner, asked, refused = plain(words, POLITE, self._whole)
        value = self._said.get(inner)
        if value is None and self._at(inner, 0):
            spoken = self._value_politely(words, inner) if not refused else None
            return spoken if not asked or self._named(spoken) else None
        if value is None or self._takes[value] != "nothing":
            return None
        if value == "confirm" and not reviewing:
            return None
        if value in _NOT_AGAIN and "again" in words and "again" not in inner:
            return None
        ours = allowed(value, inner, asked=asked, refused=refused)
        return Spoken(value, self._takes[value], ()) if ours else None

    def _named(self, spoken: Spoken | None) -> bool:
        """True for a step, or a field named ("could we change the size to ...")."""
        if spoken is None or spoken.takes == "region":
            return spoken is not None
        return self.names.named(spoken.rest)[0] is not None

    def _value_politely(self, words: Words, inner: Words) -> Spoken | None:
        """ "Actually, make it the right", "right, let us look at the palate"."""
        length = self._at(inner, 0)
        value = self._said[inner[:length]]
        if self._takes[value] not in _VALUES or length < _TELLING:
            return None
        skipped = (
            next(at for at in range(len(words)) if words[at : at + len(inner)] == inner) + length
        )
        return Spoken(value, self._takes[value], words[skipped:], skipped)

    def _other_side(self, words: Words) -> Spoken | None:
        """ "No, left", "not left, right": said by itself, it corrects the side."""
        if words[:1] == ("no",) and words[1:] in self._sides:
            return Spoken(CORRECT, self._takes[CORRECT], words[1:], 1)
        for end in range(2, len(words)):
            if words[:1] == ("not",) and words[1:end] in self._sides and words[end:] in self._sides:
                return Spoken(CORRECT, self._takes[CORRECT], words[end:], end)
        return None

    def _field_first(self, words: Words, start: int) -> Spoken | None:
        found = self.names.first(words, start)
        if found is None:
            return None
        field, value = found
        return Spoken(CORRECT, self._takes[CORRECT], words[value:], value, field=field)

    def resumes(self, words: Words) -> bool:
        """True for what resumes listening only while it is paused ("let us continue").

        Not for a bare "carry on" or "please continue": so one bids a patient go on telling.
        """
        if _BIDDING.intersection(words):
            return False
        start = 0
        while start < len(words) and words[start] in POLITE | _READY:
            start += 1
        return words[start:] in self._while_paused

    def step_at_end(self, words: Words) -> tuple[tuple[cmd.Command, ...], int]:
        """ "..., next region": the step that ends an utterance, and how many words stand before."""
        for length in range(min(self._longest, len(words) - 1), 1, -1):
            value = self._said.get(words[-length:])
            if value in _TRAILING:
                return (SIMPLE[str(value)],), len(words) - length
        return (), len(words)

    def _at(self, words: Words, start: int) -> int:
        for length in range(min(self._longest, len(words) - start), 0, -1):
            if words[start : start + length] in self._said:
                return length
        return 0

    def simple(self, spoken: Spoken) -> cmd.Command | None:
        """The command of a phrase that stands alone; None when other words follow it."""
        if spoken.value == "delete" and spoken.rest:
            return numbered(spoken.rest)
        if spoken.rest and spoken.value not in LEADING:
            return None
        return SIMPLE.get(spoken.value)

    def restated(self, sentence: Sentence) -> tuple[str | None, int]:
        """ "Left to right", "tenderness to non tender": the field, and where its new value is."""
        if "to" not in sentence.words:
            return None, 0
        start = len(sentence.words) - sentence.words[::-1].index("to")
        before = [s for s in sentence.spots if s.end <= start and s.phrase is not None]
        after = [s for s in sentence.spots if s.start >= start and s.phrase is not None]
        slots = {s.slot for s in before} & {s.slot for s in after} - {Slot.FILLER}
        field = next(iter(slots), None)
        return (field.value, start) if field is not None else (None, 0)

    def part(self, sentence: Sentence, region: str) -> str | None:
        """The part of the region that all the words are ("posterior third"), if they are one."""
        draft = self._assembler.value(sentence, region)
        values = {name: value for name, value in draft.values.items() if name != "count"}
        whole = values.keys() == {"region", "subsite"} and values["region"] == region
        bare = not (draft.unknown or draft.notes or draft.doubts)
        return str(values["subsite"]) if whole and bare else None

    def changes(
        self, sentence: Sentence, field: str | None, target: str = "last"
    ) -> tuple[list[cmd.ChangeField], Draft]:
        """The changes of fields that the words of a value make, and the draft they rest on."""
        draft = self._assembler.value(sentence)
        if draft.get("side") is not None:
            draft.doubts = [each for each in draft.doubts if not each[1].startswith(DENIED)]
        if field == "count":
            number = read_number(sentence.words, 0)
            if number is not None and number.value.is_integer():
                draft.values = {"count": int(number.value)}
        wanted = _wanted(draft, field)
        said = " ".join(sentence.words)
        reasons: dict[str, list[str]] = defaultdict(list)
        for name, why in draft.doubts:
            reasons[name].append(why)
        for name in _beside(draft, wanted):
            wanted[name] = draft.values[name]
            reasons[name].append("it was said beside what was to be changed: this too?")
        return [
            cmd.ChangeField(
                target=target,
                field=name,
                value=value,
                doubt="; ".join(reasons[name]) or None,
                said=said,
                alternatives=tuple(a for a in draft.others if a.field == name),
            )
            for name, value in wanted.items()
        ], draft


def _shows(words: Words) -> bool:
    return any(_SHOWING.end(words, at) > at for at in range(len(words)))


def _wanted(draft: Draft, field: str | None) -> dict[str, FieldValue]:
    """The values for the field named, or all of them; a place brings its parts along."""
    if field is None:
        return {name: value for name, value in draft.values.items() if name != "count"}
    if field in ("region", "subsite"):
        return {k: v for k, v in draft.values.items() if k in ("region", "subsite", "side")}
    return {field: draft.values[field]} if field in draft.values else {}


def _beside(draft: Draft, wanted: Mapping[str, FieldValue]) -> list[str]:
    """Descriptions said beside the value of the field named, where that was said at all.

    "Change the site to the gingiva, and it is two millimetres". A place, a lesion or a number of
    them may only tell which finding is meant.
    """
    if not wanted or not any(draft.evidence.get(name) for name in wanted):
        return []
    names = [name for name in draft.values if name not in wanted and name not in _WHICH]
    return [name for name in names if draft.evidence.get(name)]


def numbered(rest: Words) -> cmd.DeleteFinding | None:
    """ "Two", "number two": the deletion of that finding."""
    words = rest[1:] if rest[:1] == ("number",) else rest
    number = read_number(words, 0) if words else None
    if number is None or number.end != len(words) or not number.value.is_integer():
        return None
    return cmd.DeleteFinding(target=f"f{int(number.value)}")
