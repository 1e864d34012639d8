"""The grammar of dictation in `vocab/sentences.toml`, loaded and checked."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import accumulate
from pathlib import Path
from random import Random
from typing import Any, Generic, TypeVar

from dictate.errors import VocabularyError
from dictate.vocabulary.files import read_toml
from dictate.vocabulary.loader import default_folder
from dictate.vocabulary.templates import Sequence, literals, parse_template

FILE = "sentences.toml"
_TABLES = ("mix", "numbers", "leave_out", "adjectives", "weights", "groups", "rules", "templates")
Item = TypeVar("Item")


class Choice(Generic[Item]):
    """Things to draw from, each with its weight."""

    def __init__(self, weighted: Mapping[Item, float]) -> None:
        self.items = tuple(item for item, weight in weighted.items() if weight > 0)
        self._cumulative = list(accumulate(weight for weight in weighted.values() if weight > 0))

    def draw(self, rng: Random) -> Item:
        """One of the items, by weight; IndexError when there is none."""
        return rng.choices(self.items, cum_weights=self._cumulative)[0]


@dataclass(frozen=True)
class Grammar:
    """Templates and rules, ready to be expanded."""

    mix: Choice[str]
    """Categories of sentences."""
    templates: dict[str, Choice[Sequence]]
    rules: dict[str, Choice[Sequence]]
    groups: dict[str, tuple[str, ...]]
    weights: dict[str, dict[str, float]]
    """By slot: the weight of a value; "*" of all not named, else 1."""
    ones: tuple[str, ...]
    tens: tuple[str, ...]
    number_words: frozenset[str]
    typed_words: frozenset[str]
    """Words that are typed, never spoken."""
    typed_forms: frozenset[str]
    adjectives: frozenset[str]
    """Last words of sub-sites that stand before their region, never before "of the"."""

    def sequences(self) -> Iterator[Sequence]:
        """Every template and every alternative of every rule."""
        for choice in (*self.templates.values(), *self.rules.values()):
            yield from choice.items

    def literal_words(self) -> frozenset[str]:
        """Every word the templates themselves hold, numbers included."""
        said = frozenset(word for nodes in self.sequences() for word in literals(nodes))
        return said | self.number_words

    def number(self, count: int) -> tuple[str, ...]:
        """The words of a number from 0 to 99."""
        if count < len(self.ones):
            return (self.ones[count],)
        ten, one = divmod(count, 10)
        return (self.tens[ten - 2], *((self.ones[one],) if one else ()))


def load_grammar(folder: Path | None = None) -> Grammar:
    """The grammar file of the folder; VocabularyError names the entry that is wrong."""
    data = read_toml((folder or default_folder()) / FILE, FILE)
    for table in data:
        if table not in _TABLES:
            raise VocabularyError(f"{FILE}: unknown table {table!r}; known: {', '.join(_TABLES)}")
    try:
        return _grammar(data)
    except (KeyError, TypeError, AttributeError) as error:
        raise VocabularyError(f"{FILE}: a table is missing or misshapen ({error})") from None


def _grammar(data: dict[str, Any]) -> Grammar:
    rules = {name: _choice("rules", name, lines) for name, lines in data["rules"].items()}
    templates = {
        name: _choice("templates", name, lines) for name, lines in data["templates"].items()
    }
    for category in data["mix"]:
        if category not in templates:
            raise VocabularyError(f"{FILE}: mix {category!r}: there are no such templates")
    numbers = data["numbers"]
    spelled = (*numbers["ones"], *numbers["tens"], *numbers["also"])
    return Grammar(
        mix=Choice({name: float(weight) for name, weight in data["mix"].items()}),
        templates=templates,
        rules=rules,
        groups={name: tuple(forms) for name, forms in data["groups"].items()},
        weights={slot: dict(values) for slot, values in data["weights"].items()},
        ones=tuple(numbers["ones"]),
        tens=tuple(numbers["tens"]),
        number_words=frozenset(spelled),
        typed_words=frozenset(data["leave_out"]["words"]),
        typed_forms=frozenset(data["leave_out"]["forms"]),
        adjectives=frozenset(data["adjectives"]["words"]),
    )


def _choice(table: str, name: str, lines: dict[str, Any]) -> Choice[Sequence]:
    weighted: dict[Sequence, float] = {}
    for text, weight in lines.items():
        where = f"{FILE}: {table}.{name} {text!r}"
        if isinstance(weight, bool) or not isinstance(weight, int | float) or weight <= 0:
            raise VocabularyError(f"{where}: the weight must be a number above 0")
        try:
            nodes = parse_template(text)
        except ValueError as error:
            raise VocabularyError(f"{where}: {error}") from None
        weighted[nodes] = weighted.get(nodes, 0.0) + float(weight)
    if not weighted:
        raise VocabularyError(f"{FILE}: {table}.{name}: no templates in it")
    return Choice(weighted)
