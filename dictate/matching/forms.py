"""Fixed runs of words, found fast by their first word."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

Words = tuple[str, ...]


class Forms:
    """A set of word runs; at a place, the longest that stands there is found."""

    __slots__ = ("_by_first",)

    def __init__(self, *forms: str) -> None:
        by_first: dict[str, list[Words]] = defaultdict(list)
        for form in sorted({tuple(form.split()) for form in forms}, key=len, reverse=True):
            by_first[form[0]].append(form)
        self._by_first = dict(by_first)

    @property
    def firsts(self) -> Iterable[str]:
        """The words that a form may begin with."""
        return self._by_first.keys()

    def end(self, words: Words, index: int) -> int:
        """The index after the form that stands at `index`; `index` itself if none does."""
        if index >= len(words):
            return index
        for form in self._by_first.get(words[index], ()):
            if words[index : index + len(form)] == form:
                return index + len(form)
        return index
