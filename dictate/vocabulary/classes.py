"""Phrases of the lexicon drawn by class, as a speaker would choose them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable
from functools import cached_property

from dictate.errors import VocabularyError
from dictate.vocabulary.grammar import FILE, Choice, Grammar
from dictate.vocabulary.normalise import normalise
from dictate.vocabulary.schema import Lexicon, Phrase, Slot

_NODES = "lymph nodes"
_SLOTS = {
    "colour": Slot.COLOUR,
    "symptom": Slot.SYMPTOM,
    "variant": Slot.NORMAL_VARIANT,
    **{slot.value: slot for slot in Slot},
}
_ANY = frozenset(
    {Slot.KIND, Slot.COLOUR, Slot.SURFACE, Slot.BORDER, Slot.CONSISTENCY, Slot.MOBILITY}
    | {Slot.TENDER, Slot.ATTACHMENT, Slot.WIPES_OFF, Slot.SYMPTOM, Slot.CHANGE, Slot.SUBSITE}
    | {Slot.DISTRIBUTION, Slot.NOTE, Slot.CARRY, Slot.SIDE}
)


class Classes:
    """The classes that templates may name, over one lexicon."""

    def __init__(self, lexicon: Lexicon, grammar: Grammar) -> None:
        self._grammar = grammar
        self._spoken = [phrase for phrase in lexicon.phrases if self._is_spoken(phrase)]
        self._midline = {
            (region.value, part.value)
            for region in lexicon.regions
            for part in region.subsites
            if part.midline
        }
        self._parts = {region.value: max(1, len(region.subsites)) for region in lexicon.regions}
        self._plausible = {
            term.value: term.plausible or tuple(self._parts)
            for term in lexicon.terms.get(Slot.NORMAL_VARIANT, ())
        }
        self._groups = {
            name: [normalise(form, lexicon.spelling) for form in forms]
            for name, forms in grammar.groups.items()
        }
        self._choices: dict[tuple[str, str, str], Choice[Phrase] | None] = {}

    def _is_spoken(self, phrase: Phrase) -> bool:
        typed = self._grammar.typed_words
        return not phrase.misheard and not (
            typed.intersection(phrase.words) or phrase.text in self._grammar.typed_forms
        )

    def check_groups(self) -> None:
        """VocabularyError if a group holds a form that is no phrase of the lexicon."""
        for name, forms in self._groups.items():
            for words in forms:
                if words not in self._by_words:
                    raise VocabularyError(
                        f"{FILE}: groups.{name} {' '.join(words)!r}: no phrase of the vocabulary"
                    )

    def known(self, name: str) -> bool:
        """True if templates may name the class."""
        return name in _SLOTS or name in self._groups or name in self._special

    def choice(self, name: str, arg: str, context: str) -> Choice[Phrase] | None:
        """The class to draw from; None if nothing is in it.

        `context` is the region in hand, or for `variant_place` the variant.
        """
        key = (name, arg, context if name in self._contextual else "")
        if key not in self._choices:
            found = list(self._find(name, arg, context))
            self._choices[key] = self._weighted(found) if found else None
        return self._choices[key]

    _contextual = frozenset({"its_region", "its_subsite", "variant_place"})

    def _find(self, name: str, arg: str, context: str) -> Iterable[Phrase]:
        if name in self._groups:
            return [
                self._by_words[words] for words in self._groups[name] if words in self._by_words
            ]
        if name in self._special:
            wanted = self._special[name]
            return [phrase for phrase in self._spoken if wanted(phrase, context)]
        slot = _SLOTS[name]
        return [
            phrase
            for phrase in self._spoken
            if phrase.slot is slot
            and not (phrase.plural or phrase.negated or phrase.vague)
            and (not arg or phrase.value == arg)
        ]

    @cached_property
    def _by_words(self) -> dict[tuple[str, ...], Phrase]:
        found: dict[tuple[str, ...], Phrase] = {}
        for phrase in self._spoken:
            if phrase.slot is not Slot.FILLER:
                found.setdefault(phrase.words, phrase)
        return found

    @cached_property
    def _special(self) -> dict[str, Callable[[Phrase, str], bool]]:
        return {
            "kinds": lambda p, _: p.slot is Slot.KIND and p.plural,
            "symptom_absent": lambda p, _: p.slot is Slot.SYMPTOM and p.negated,
            "part": lambda p, _: self._is_part(p, midline=False),
            "midline_part": lambda p, _: self._is_part(p, midline=True),
            "node_part": lambda p, _: _alone(p) and home(p) == _NODES,
            "node_area": lambda p, _: p.regions == (_NODES,),
            "subsite": lambda p, _: self._is_noun(p) and p.regions != (_NODES,),
            "part_adjective": lambda p, _: bool(p.regions) and not self._is_noun(p),
            "its_subsite": lambda p, region: region in p.regions,
            "its_region": lambda p, region: p.slot is Slot.REGION and p.value == region,
            "vague_place": lambda p, _: p.vague and p.slot in (Slot.REGION, Slot.SUBSITE),
            "variant_place": lambda p, variant: (
                p.slot is Slot.REGION
                and not p.vague
                and p.value in self._plausible.get(variant, ())
            ),
            "whole_phrase": lambda p, _: p.slot in _ANY,
        }

    def _is_part(self, phrase: Phrase, *, midline: bool) -> bool:
        if not _alone(phrase) or home(phrase) == _NODES or phrase.vague:
            return False
        return ((home(phrase), str(phrase.value)) in self._midline) is midline

    def _is_noun(self, phrase: Phrase) -> bool:
        return bool(phrase.regions) and phrase.words[-1] not in self._grammar.adjectives

    def _weighted(self, phrases: list[Phrase]) -> Choice[Phrase]:
        """Each value by its weight, its forms the likelier the earlier they are listed."""
        by_value: dict[Hashable, list[Phrase]] = defaultdict(list)
        for phrase in phrases:
            by_value[(phrase.value, home(phrase))].append(phrase)
        weights: dict[Phrase, float] = {}
        for forms in by_value.values():
            shares = [1 / (1 + rank) for rank in range(len(forms))]
            for phrase, share in zip(forms, shares, strict=True):
                weights[phrase] = self._weight(phrase) * share / sum(shares)
        return Choice(weights)

    def _weight(self, phrase: Phrase) -> float:
        if phrase.slot is Slot.SUBSITE:
            region = home(phrase)
            share = self._grammar.weights.get(Slot.REGION.value, {}).get(region, 1.0)
            return share / self._parts.get(region, 1)
        weights = self._grammar.weights.get(phrase.slot.value, {})
        return weights.get(str(phrase.value), weights.get("*", 1.0))


def _alone(phrase: Phrase) -> bool:
    return phrase.slot is Slot.SUBSITE and not phrase.regions


def home(phrase: Phrase) -> str:
    """The region a place belongs to (the first, where several have it); "" for others."""
    if phrase.slot is Slot.REGION:
        return str(phrase.value)
    if phrase.regions:
        return phrase.regions[0]
    return str(dict(phrase.fills).get(Slot.REGION, ""))
