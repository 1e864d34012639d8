"""Words as heard or typed, brought to one form: lower case, British, figures spelt out."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from dictate.matching.numbers import in_words
from dictate.speech.heard import Word
from dictate.vocabulary.schema import Lexicon, Slot

_PIECES = re.compile(r"\d+\.\d+|\d+|[^\W\d_]+(?:'[^\W\d_]+)*|[^\w\s]")
_PAUSES = frozenset(",;:.!?()")
_STOPS = frozenset(";.!?")
_SIGNS = {"&": "and", "~": "about", "<": "less than", ">": "over", "×": "by", "*": "by"}
_CONTRACTIONS = (
    (re.compile(r"^can't$"), "cannot"),
    (re.compile(r"^won't$"), "will not"),
    (re.compile(r"n't$"), " not"),
    (re.compile(r"'re$"), " are"),
    (re.compile(r"'ve$"), " have"),
    (re.compile(r"'ll$"), " will"),
    (re.compile(r"'m$"), " am"),
    (re.compile(r"^(it|there|that|this|what|here|he|she|who|where|how|one)'s$"), r"\1 is"),
    (re.compile(r"^let's$"), "let us"),
)
_FRACTIONS = {("1", "2"): "half", ("1", "4"): "quarter", ("3", "4"): "three quarters"}

_CACHE = 8192


@dataclass(frozen=True, slots=True)
class Token:
    """One normalised word and the heard word it comes from."""

    text: str
    source: int
    """Index of the heard word; several tokens may share one ("10mm")."""
    confidence: float = 1.0
    pause: bool = False
    """True if punctuation stands before it."""
    stop: bool = False
    """True if it is punctuation that ends a sentence."""


def words_of(tokens: Iterable[Token]) -> tuple[str, ...]:
    """The words of tokens."""
    return tuple(token.text for token in tokens)


class Speller:
    """Brings words to the spelling of a lexicon; remembers the words it has met."""

    def __init__(
        self, folding: Mapping[str, str] | None = None, places: frozenset[str] = frozenset()
    ) -> None:
        self._folding = dict(folding or {})
        self._places = places
        self._known: dict[str, tuple[str, ...]] = {}

    @classmethod
    def of(cls, lexicon: Lexicon) -> Speller:
        """The speller that folds words as the phrases of the lexicon are folded."""
        folding = {**lexicon.spelling.american, **lexicon.spelling.contractions}
        return cls(folding, _named_by_one_word(lexicon))

    def tokens(self, words: Iterable[Word]) -> tuple[Token, ...]:
        """The tokens of heard words. Never raises: what means nothing is left out."""
        tokens: list[Token] = []
        pause = stop = False
        for source, word in enumerate(words):
            for text in self._split(word.text):
                if text in _PAUSES:
                    pause = True
                    stop |= text in _STOPS
                    continue
                tokens.append(Token(text, source, word.confidence, pause, stop))
                pause = stop = False
        return tuple(tokens)

    def words(self, text: str) -> tuple[str, ...]:
        """The normalised words of a text, punctuation dropped."""
        split = (piece for word in text.split() for piece in self._split(word))
        return tuple(piece for piece in split if piece not in _PAUSES)

    def _split(self, word: str) -> tuple[str, ...]:
        known = self._known.get(word)
        if known is None:
            if len(self._known) >= _CACHE:
                self._known.clear()
            known = self._known[word] = tuple(_split(word, self._folding, self._places))
        return known


def normalise(text: str) -> tuple[str, ...]:
    """The normalised words of a text, in the spelling they come in."""
    return _PLAIN.words(text)


def _named_by_one_word(lexicon: Lexicon) -> frozenset[str]:
    """Single words for a place or a lesion: "the tongue's fine" says that it is."""
    where = (Slot.REGION, Slot.SUBSITE, Slot.KIND)
    words = {p.words[0] for p in lexicon.phrases if p.slot in where and len(p.words) == 1}
    words |= {p.words[-1] for p in lexicon.phrases if p.slot is Slot.REGION and not p.misheard}
    return frozenset(words | {"side", "left", "right"})


def _split(word: str, folding: Mapping[str, str], places: frozenset[str]) -> Iterator[str]:
    if word.startswith("?") and len(word) > 1:
        yield "query"
    pieces = _PIECES.findall(_plain(word))
    index = 0
    while index < len(pieces):
        used, text = _fraction(pieces, index) or (1, _spell(pieces, index, folding, places))
        yield from text.split()
        index += used


def _plain(word: str) -> str:
    folded = unicodedata.normalize("NFKC", word).casefold()
    return folded.replace("’", "'").replace("⁄", "/").replace("–", "-")


def _fraction(pieces: Sequence[str], index: int) -> tuple[int, str] | None:
    if index + 2 >= len(pieces) or pieces[index + 1] != "/":
        return None
    spelt = _FRACTIONS.get((pieces[index], pieces[index + 2]))
    return None if spelt is None else (3, spelt)


def _spell(
    pieces: Sequence[str], index: int, folding: Mapping[str, str], places: frozenset[str]
) -> str:
    piece = pieces[index]
    before = pieces[index - 1] if index else ""
    after = pieces[index + 1] if index + 1 < len(pieces) else ""
    if piece[0].isdecimal():
        return _figure(piece)
    if piece == "x" and (before[-1:].isdecimal() or after[:1].isdecimal()):
        return "by"
    if piece == "-" and before[-1:].isdecimal() and after[:1].isdecimal():
        return "to"
    if piece in _PAUSES or piece in _SIGNS:
        return _SIGNS.get(piece, piece)
    if not piece[0].isalpha():
        return ""
    if piece.endswith("'s") and piece[:-2] in places:
        return f"{piece[:-2]} is"
    return _letters(piece, folding)


def _figure(piece: str) -> str:
    whole, _, decimals = piece.partition(".")
    if len(whole) > 3 or (len(whole) > 1 and whole[0] == "0"):
        return piece.replace(".", " ")
    spelt = in_words(int(whole))
    if decimals:
        spelt += " point " + " ".join(in_words(int(digit)) for digit in decimals)
    return spelt


def _letters(piece: str, folding: Mapping[str, str]) -> str:
    piece = folding.get(piece, piece)
    for pattern, plain in _CONTRACTIONS if "'" in piece else ():
        piece = pattern.sub(plain, piece)
    return piece.replace("'", "")


_PLAIN = Speller()
