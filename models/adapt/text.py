"""Training sentences: dictation of the trade, and at least as much general English.

    python -m adapt.text VOCAB SOURCES OUT.jsonl --trade 26000 --general 26000

VOCAB holds the vocabulary files; SOURCES the unpacked texts (see README). A line of the output
is {"text": what the model shall write, "say": what the synthesiser is given, "kind": ...}.
"""

from __future__ import annotations

import argparse
import json
import re
import tomllib
from collections.abc import Iterable, Iterator
from itertools import chain, islice
from pathlib import Path
from random import Random

from adapt import general, terms
from adapt.wide import Wide

HERE = Path(__file__).parent
SHARES = {"wordnet": 0.55, "speeches": 0.33, "novel": 0.1, "devil": 0.02}
LONGEST = 24
"""Words in a dictated sentence; longer ones are not said in one breath."""


def plain(text: str) -> str:
    """Lower-case words without punctuation, to compare sentences."""
    return " ".join(re.findall(r"[a-z0-9']+", text.lower()))


def label(text: str, american: dict[str, str]) -> str:
    """A dictated sentence as the model shall write it: its own casing and American spelling."""
    words = [american.get(word, word) for word in re.sub(r"[-,]", " ", text).split()]
    joined = re.sub(r"\bi\b", "I", " ".join(words))
    joined = re.sub(r"\bt m j(s?)\b|\btmj(s?)\b", r"TMJ\1\2", joined)
    joined = re.sub(r"\bfordyce\b", "Fordyce", joined)
    joined = re.sub(r"\bm m\b|\bmm\b", "millimeters", joined)
    joined = re.sub(r"\bc m\b|\bcm\b", "centimeters", joined)
    return joined[0].upper() + joined[1:] + "."


class Pronouncer:
    """Respells words that synthesisers mispronounce, one time out of a few not at all."""

    def __init__(self, path: Path, rng: Random) -> None:
        self._table: dict[str, list[str]] = tomllib.loads(path.read_text(encoding="utf-8"))["say"]
        self._rng = rng

    def say(self, text: str) -> str:
        """The text for the synthesiser."""
        return " ".join(self._word(word) for word in text.split())

    def _word(self, word: str) -> str:
        choices = self._table.get(word.lower().strip(".,;"))
        if choices is None or self._rng.random() < 0.3:
            return word
        return self._rng.choice(choices) + ("," if word.endswith(",") else "")


def dictations(vocabulary: Path, rng: Random, grammar: Iterable[str]) -> Iterator[dict[str, str]]:
    """Trade sentences, two of three from the wide grammar, the others from `grammar`."""
    known = terms.load(vocabulary)
    pronouncer = Pronouncer(HERE / "pronunciation.toml", rng)
    narrow, wide = iter(grammar), iter(Wide(known, rng))
    while True:
        text = next(narrow, None) if rng.random() < 0.34 else None
        text = text or next(wide)
        if 0 < len(text.split()) <= LONGEST:
            spoken = pronouncer.say(_with_pauses(text, rng))
            yield {"text": label(text, known.american), "say": spoken, "kind": "trade"}


def _with_pauses(text: str, rng: Random) -> str:
    """The words with a comma here and there, which a synthesiser speaks as a pause."""
    words = text.split()
    chance = 0.0 if "," in text else rng.choice([0.0, 0.0, 0.06, 0.15])
    return " ".join(w + ("," if rng.random() < chance else "") for w in words)


def ordinary(sources: Path, rng: Random, count: int) -> Iterator[dict[str, str]]:
    """General sentences in the given shares, shuffled."""
    readers: dict[str, Iterator[str]] = {
        "wordnet": general.wordnet(sources / "wordnet"),
        "speeches": general.speeches(sources / "sotu"),
        "novel": general.novel(sources / "moby-dick"),
        "devil": general.devil(sources / "devil.dict.dz"),
    }
    chosen: list[str] = []
    for name, share in SHARES.items():
        found = list(dict.fromkeys(filter(None, map(general.usable, readers[name]))))
        rng.shuffle(found)
        chosen += found[: int(count * share)]
    rng.shuffle(chosen)
    for text in chosen:
        yield {"text": text, "say": text, "kind": "general"}


def unseen(rows: Iterable[dict[str, str]], excluded: set[str]) -> Iterator[dict[str, str]]:
    """Rows without repetitions and without sentences of the excluded set."""
    seen = set(excluded)
    for row in rows:
        key = plain(row["text"])
        if key not in seen:
            seen.add(key)
            yield row


def excluded_sentences(paths: Iterable[Path], american: dict[str, str]) -> set[str]:
    """Every string in the evaluation files, normalised; they are only ever compared with."""
    found: set[str] = set()
    for path in paths:
        for text in re.findall(r'"((?:[^"\\]|\\.)*)"', path.read_text(encoding="utf-8")):
            found |= {plain(text), plain(label(text.strip(".") or "x", american))}
    return found


def class_grammar(vocabulary: Path, seed: int, count: int) -> Iterator[str]:
    """Sentences of the grammar that also biases the decoder, a comma at each pause."""
    from dictate.vocabulary.loader import load
    from dictate.vocabulary.sentences import sentences

    for sentence in sentences(load(folder=vocabulary), seed, count):
        text = ""
        for part in sentence.parts:
            text += ("," if part.pause and text else "") + " " + " ".join(part.words)
        yield text.strip()


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("vocabulary", type=Path)
    parser.add_argument("sources", type=Path)
    parser.add_argument("out", type=Path)
    parser.add_argument("--trade", type=int, default=26_000)
    parser.add_argument("--general", type=int, default=26_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--grammar", action="store_true", help="also the decoder's own grammar")
    parser.add_argument("--exclude", type=Path, nargs="*", default=[])
    given = parser.parse_args()
    rng = Random(given.seed)
    american = terms.load(given.vocabulary).american
    excluded = excluded_sentences(given.exclude, american)
    grammar = class_grammar(given.vocabulary, given.seed, given.trade) if given.grammar else ()
    trade = islice(unseen(dictations(given.vocabulary, rng, grammar), excluded), given.trade)
    rows = list(chain(trade, unseen(ordinary(given.sources, rng, given.general), excluded)))
    rng.shuffle(rows)
    given.out.write_text("".join(json.dumps(row) + "\n" for row in rows), encoding="utf-8")
    print(len(rows), "sentences, dictation:", sum(row["kind"] == "trade" for row in rows))


if __name__ == "__main__":
    main()
