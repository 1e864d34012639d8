"""Tokens that may follow: exactly those that keep the text a run of known spellings."""

from __future__ import annotations

import re
from collections.abc import Sequence

from hypothesis import given, settings
from hypothesis import strategies as st

from dictate.speech.packaged.model_files import find_model
from dictate.speech.packaged.tokens import Tokenizer, read_tokenizer
from dictate.speech.packaged.trie import SpellingTrie

PIECES = (
    *("", "<s>", "</s>", " ", "a", "b", "ab", " a", " ab", "b a", "A", " B", ",", ". a", "-", "1"),
    *("1.", "5", " 1", "ba,", "c", "  a"),
)
WORDS = ("a", "ab", "b", "ba", "1.5", "1")


def texts_allowed(trie: SpellingTrie, pieces: Sequence[str], longest: int) -> set[str]:
    """Every text that can be written in at most that many tokens and may end there."""
    found: set[str] = set()
    seen: set[tuple[int, str]] = set()
    states = [(trie.start, "")]
    for _ in range(longest):
        following = []
        for state, text in states:
            groups = trie.moves(state)
            if trie.entry(state) is not None:
                groups += trie.closing_moves()
            for moves in groups:
                for token, reached in zip(
                    moves.tokens.tolist(), moves.states.tolist(), strict=True
                ):
                    new = (reached, text + pieces[token])
                    if new not in seen:
                        seen.add(new)
                        following.append(new)
        found |= {text for state, text in following if may_end(trie, state)}
        states = following
    return found


def may_end(trie: SpellingTrie, state: int) -> bool:
    return trie.between_words(state) or trie.entry(state) is not None


def texts_expected(pieces: Sequence[str], longest: int) -> set[str]:
    """The same by brute force: all runs of pieces whose text is one of known words."""
    word = "(?:" + "|".join(re.escape(each) for each in WORDS) + ")"
    after = r"(?:[,.;:?!]+ | |-)"
    pattern = re.compile(rf" ?(?:{word}(?:{after}{word})*(?:[,.;:?!]+ ?| |-)?)?", re.IGNORECASE)
    runs = {""}
    for _ in range(longest):
        runs |= {
            run + piece for run in runs for piece in pieces if piece.strip("<s/>") or piece == " "
        }
        runs = {run for run in runs if not run.startswith("  ")}
    return {run for run in runs if pattern.fullmatch(run)}


def test_texts_are_all_and_only_runs_of_known_words() -> None:
    usable = [piece if "<" not in piece else "" for piece in PIECES]
    trie = SpellingTrie(WORDS, usable)
    assert texts_allowed(trie, usable, 3) == texts_expected(usable, 3) - {""}


def test_a_word_begun_tells_which_entries_can_still_come() -> None:
    trie = SpellingTrie(("left", "lateral", "lip", "red"), ("", " l", " la", " r", "e"))
    (moves,) = trie.moves(trie.start)
    spans = {
        token: {trie.entries[index] for index in range(low, high)}
        for token, low, high in zip(
            moves.tokens.tolist(), moves.low.tolist(), moves.high.tolist(), strict=True
        )
    }
    assert spans == {1: {"left", "lateral", "lip"}, 2: {"lateral"}, 3: {"red"}}


def real_tokenizer() -> Tokenizer:
    return read_tokenizer(find_model().tokenizer)


TOKENIZER = real_tokenizer()
VOCABULARY = ("white", "plaque", "left", "lateral", "border", "of", "the", "tongue", "10", "1.5")
TRIE = SpellingTrie(VOCABULARY, TOKENIZER.pieces)


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_any_walk_over_the_real_pieces_spells_known_words(data: st.DataObject) -> None:
    state, tokens, finished = TRIE.start, list[int](), list[int]()
    for _ in range(data.draw(st.integers(1, 12))):
        groups = [(moves, moves.finished) for moves in TRIE.moves(state)]
        entry = TRIE.entry(state)
        if entry is not None:
            groups += [(m, (entry, *m.finished)) for m in TRIE.closing_moves()]
        moves, done = data.draw(st.sampled_from(groups))
        index = data.draw(st.integers(0, len(moves.tokens) - 1))
        tokens.append(int(moves.tokens[index]))
        state = int(moves.states[index])
        finished += done
    text = "".join(TOKENIZER.pieces[token] for token in tokens).lower()
    words = re.sub(r"[,;:?!-]|\.(?!\d)", " ", text).split()
    assert [TRIE.entries[entry] for entry in finished] == words[: len(finished)]
    begun = words[len(finished) :]
    assert len(begun) <= 1
    if begun:
        assert any(entry.startswith(begun[0]) for entry in TRIE.entries)
