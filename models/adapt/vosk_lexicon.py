"""Let a Vosk model hear words that its lexicon lacks.

    python -m adapt.vosk_lexicon alikes MODEL VOCAB OUT.toml [--words LIST]
    python -m adapt.vosk_lexicon extend MODEL VOCAB DICTIONARY OUT.dic [--words LIST]

`alikes` spells each missing word with words that the model has and that sound like it
("leukoplakia": "luke o plaque ia") and writes them as `hear` forms: a vocabulary file to be laid
over the others (`--vocab OUT.toml`). The engine then listens for the sound-alikes, and the matcher
reads them as the word meant.

`extend` is for models that ship the parts to build their graph anew (a pronouncing dictionary and
a script that compiles it, often in a folder `db` beside `compile-graph.sh`). It writes the
dictionary with the missing words added, each with the joined pronunciations of its sound-alikes;
put it in place of the old one and run the model's own compile script (it needs Kaldi and
OpenFST, which no package registry carries). Models without these parts cannot take new words.

The words a model has are read from `graph/words.txt`; a model without that file is asked word by
word for those in LIST (a word a line).
"""

from __future__ import annotations

import argparse
import json
import tomllib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cache
from pathlib import Path

from metaphone import doublemetaphone
from rapidfuzz.fuzz import ratio

LONGEST_PIECE = 9
"""Letters of a missing word that one sound-alike may stand for."""
PIECE_COST = 18.0
"""What one more sound-alike costs, on the scale of 0 to 100: few long ones are best."""
WORST = 45.0
"""Mean cost of a piece above which a word has no usable sound-alike."""
ALONE = frozenset("aio")
"""Letters that are words."""
VOWELS = frozenset("aeiouy")
TABLES = ("kinds", "variants", "surfaces", "consistencies", "symptoms", "borders", "regions")
"""Tables of the vocabulary whose forms may be matched by likeness."""


@cache
def sound(text: str) -> str:
    """The sound of a word or of a part of one."""
    return str(doublemetaphone(text)[0])


class SoundAlikes:
    """Finds, for a word, the words of a lexicon that sound like it when said in a row."""

    def __init__(self, lexicon: Iterable[str]) -> None:
        self._by_sound: dict[str, list[str]] = {}
        for word in lexicon:
            if word.isalpha() and (len(word) > 1 or word in ALONE) and set(word) & VOWELS:
                self._by_sound.setdefault(sound(word), []).append(word)

    def of(self, word: str) -> tuple[str, ...] | None:
        """The best row of sound-alikes, or None if nothing sounds near enough."""
        best: list[tuple[float, tuple[str, ...]]] = [(0.0, ())]
        for end in range(1, len(word) + 1):
            options = [
                (best[start][0] + cost, (*best[start][1], alike))
                for start in range(max(0, end - LONGEST_PIECE), end)
                if best[start][0] < float("inf")
                for cost, alike in self._nearest(word[start:end])
            ]
            best.append(min(options, default=(float("inf"), ())))
        cost, words = best[-1]
        return words if words and cost / len(words) <= WORST + PIECE_COST else None

    @cache  # noqa: B019 - one short-lived object a run
    def _nearest(self, piece: str) -> tuple[tuple[float, str], ...]:
        """The lexicon's word of the same sound that is spelt most like the piece."""
        found = self._by_sound.get(sound(piece), ())
        ranked = [(100 - ratio(piece, word) + PIECE_COST, word) for word in found]
        return (min(ranked),) if ranked else ()


def spoken_forms(vocabulary: Path) -> Iterator[tuple[str, str, str]]:
    """Table, value and spoken form of every entry that may be matched by likeness."""
    for path in sorted(vocabulary.glob("*.toml")):
        tables = tomllib.loads(path.read_text(encoding="utf-8"))
        for table in set(TABLES) & set(tables):
            for entry in tables[table]:
                if "say" in entry and not entry.get("exact", False):
                    forms = [*entry["say"], *entry.get("plurals", [])]
                    yield from ((table, entry["value"], form) for form in forms)


def respelt(form: str, lexicon: frozenset[str], alikes: SoundAlikes) -> str | None:
    """The form in words of the lexicon; None if it needs no change or cannot be changed."""
    words = form.split()
    if lexicon.issuperset(words):
        return None
    rows = [(word,) if word in lexicon else alikes.of(word) for word in words]
    said = [row for row in rows if row is not None]
    return " ".join(word for row in said for word in row) if len(said) == len(words) else None


def overlay(vocabulary: Path, lexicon: frozenset[str]) -> dict[str, dict[str, list[str]]]:
    """For each table and value, the `hear` forms that make up for missing words.

    A respelling that would stand for two values is left out: it could only mislead.
    """
    alikes = SoundAlikes(lexicon)
    meant: dict[str, set[tuple[str, str]]] = {}
    said = {form for _, _, form in spoken_forms(vocabulary)}
    for table, value, form in spoken_forms(vocabulary):
        heard = respelt(form, lexicon, alikes)
        if heard is not None and heard not in said:
            meant.setdefault(heard, set()).add((table, value))
    found: dict[str, dict[str, list[str]]] = {}
    for heard, values in meant.items():
        if len(values) == 1:
            table, value = next(iter(values))
            found.setdefault(table, {}).setdefault(value, []).append(heard)
    return found


def as_toml(found: Mapping[str, Mapping[str, Sequence[str]]]) -> str:
    """The overlay as a vocabulary file."""
    lines = ["# Sound-alikes for words that the Vosk model lacks. Written by adapt.vosk_lexicon."]
    for table, values in sorted(found.items()):
        for value, heard in sorted(values.items()):
            lines += ["", f"[[{table}]]", f"value = {json.dumps(value)}"]
            lines.append(f"hear = {json.dumps(sorted(heard), ensure_ascii=False)}")
    return "\n".join(lines) + "\n"


def extended(dictionary: Sequence[str], missing: Iterable[str]) -> list[str]:
    """The lines of a pronouncing dictionary with the missing words added, sorted.

    A line is a word and its phones, separated by spaces. Words without a sound-alike in the
    dictionary are not added.
    """
    phones: dict[str, str] = {}
    for line in dictionary:
        word, _, said = line.strip().partition(" ")
        phones.setdefault(word, said.strip())
    alikes, added = SoundAlikes(phones), []
    for word in sorted(set(missing) - set(phones)):
        row = alikes.of(word)
        if row is not None:
            added.append(f"{word} {' '.join(phones[each] for each in row)}")
    return sorted([line.strip() for line in dictionary if line.strip()] + added)


def model_words(model: Path, candidates: Path | None) -> frozenset[str]:
    """The words a model knows; SystemExit, one line, if that cannot be found out."""
    table = model / "graph" / "words.txt"
    if table.exists():
        lines = table.read_text(encoding="utf-8").splitlines()
        return frozenset(line.split()[0] for line in lines if line and line[0].isalpha())
    if candidates is None:
        raise SystemExit(f"{table}: is missing; give --words with a list of English words")
    from vosk import Model, SetLogLevel

    SetLogLevel(-1)
    loaded = Model(model_path=str(model))
    listed = candidates.read_text(encoding="utf-8").split()
    return frozenset(word for word in listed if loaded.vosk_model_find_word(word) > 0)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("task", choices=["alikes", "extend"])
    parser.add_argument("model", type=Path)
    parser.add_argument("vocabulary", type=Path)
    parser.add_argument("files", type=Path, nargs="+")
    parser.add_argument("--words", type=Path)
    given = parser.parse_args()
    known = model_words(given.model, given.words)
    if given.task == "alikes":
        given.files[0].write_text(as_toml(overlay(given.vocabulary, known)), encoding="utf-8")
        return
    dictionary, out = given.files
    words = {word for _, _, form in spoken_forms(given.vocabulary) for word in form.split()}
    lines = dictionary.read_text(encoding="utf-8").splitlines()
    out.write_text("\n".join(extended(lines, words - known)) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
