"""Sentence templates read into nodes: words, pauses, slots in braces, and choices."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from itertools import chain

_TOKEN = re.compile(r"\{[a-z_]+(?::[a-z0-9_ \-]+)?\}|[\[\]()|,]|[a-z']+|\s+|(?P<bad>.)", re.DOTALL)


@dataclass(frozen=True, slots=True)
class Word:
    """One literal word."""

    text: str


@dataclass(frozen=True, slots=True)
class Pause:
    """A short pause: a comma in the text, nothing among the words."""


@dataclass(frozen=True, slots=True)
class Hole:
    """A rule, a group or a class to be filled in, perhaps held to one value."""

    name: str
    arg: str = ""


@dataclass(frozen=True, slots=True)
class Either:
    """One of several sequences, all as likely; an empty one makes it optional."""

    options: tuple[Sequence, ...]


Node = Word | Pause | Hole | Either
Sequence = tuple[Node, ...]


def parse_template(text: str) -> Sequence:
    """The nodes of a template; ValueError says what is wrong with it."""
    tokens = [match for match in _TOKEN.finditer(text) if not match.group().isspace()]
    for match in tokens:
        if match.group("bad"):
            raise ValueError(f"unexpected {match.group()!r}")
    words = [match.group() for match in tokens]
    nodes, end = _sequence(words, 0, "")
    if end != len(words):
        raise ValueError(f"unexpected {words[end]!r}")
    if not nodes:
        raise ValueError("it is empty")
    return nodes


def _sequence(tokens: list[str], at: int, closing: str) -> tuple[Sequence, int]:
    nodes: list[Node] = []
    while at < len(tokens) and tokens[at] not in (closing, "|", "]", ")"):
        node, at = _node(tokens, at)
        nodes.append(node)
    return tuple(nodes), at


def _node(tokens: list[str], at: int) -> tuple[Node, int]:
    token = tokens[at]
    if token in "[(":
        return _either(tokens, at + 1, "]" if token == "[" else ")")
    if token == ",":
        return Pause(), at + 1
    if token.startswith("{"):
        name, _, arg = token[1:-1].partition(":")
        return Hole(name, arg), at + 1
    return Word(token), at + 1


def _either(tokens: list[str], at: int, closing: str) -> tuple[Either, int]:
    options: list[Sequence] = [()] if closing == "]" else []
    while True:
        option, at = _sequence(tokens, at, closing)
        options.append(option)
        if at >= len(tokens):
            raise ValueError(f"{closing!r} is missing")
        if tokens[at] == closing:
            return Either(tuple(options)), at + 1
        if tokens[at] != "|":
            raise ValueError(f"unexpected {tokens[at]!r}")
        at += 1


@cache
def expanded(text: str) -> tuple[tuple[str, ...], ...]:
    """Every run of words that a template without holes stands for.

    ValueError says what is wrong with it.
    """
    return tuple(dict.fromkeys(words for words in _ways(parse_template(text)) if words))


def _ways(nodes: Sequence) -> list[tuple[str, ...]]:
    ways: list[tuple[str, ...]] = [()]
    for node in nodes:
        if isinstance(node, Word):
            ways = [(*way, node.text) for way in ways]
        elif isinstance(node, Either):
            ends = list(chain.from_iterable(map(_ways, node.options)))
            ways = [(*way, *end) for way in ways for end in ends]
        else:
            raise ValueError("only words, (this|that) and [this] may stand in it")
    return ways


def holes(nodes: Sequence) -> frozenset[Hole]:
    """Every hole in the nodes, also inside choices."""
    found: set[Hole] = set()
    for node in nodes:
        if isinstance(node, Hole):
            found.add(node)
        elif isinstance(node, Either):
            for option in node.options:
                found |= holes(option)
    return frozenset(found)


def literals(nodes: Sequence) -> frozenset[str]:
    """Every literal word in the nodes, also inside choices."""
    found: set[str] = set()
    for node in nodes:
        if isinstance(node, Word):
            found.add(node.text)
        elif isinstance(node, Either):
            for option in node.options:
                found |= literals(option)
    return frozenset(found)
