"""The search, with a scripted network in place of the neural one."""

from __future__ import annotations

import numpy as np
import pytest

from dictate.speech.packaged.decoder import BeamDecoder, Decoded
from dictate.speech.packaged.expansion import Expansion
from dictate.speech.packaged.free import read_freely
from dictate.speech.packaged.network import Cache, Floats
from dictate.speech.packaged.ngram import NGram
from dictate.speech.packaged.outlook import Outlook
from dictate.speech.packaged.tokens import END, START, Tokenizer
from dictate.speech.packaged.trie import SpellingTrie
from dictate.speech.packaged.unknown import UnknownWords
from dictate.speech.packaged.weights import Weights

PIECES = (
    *("", "", "", " white", " black", " plaque", " tongue", " left", " lip", " un", "known", "ly"),
    *(".", ",", " Whi", "te", " fif", "teen", "ty", " 15", " ten"),
)
TOKENIZER = Tokenizer(PIECES)
WORDS = ("white", "black", "plaque", "tongue", "left", "lip", "fifteen", "fifty", "ten")
SENTENCES = [("white", "plaque", "left", "tongue"), ("ten",), ("fifteen",), ("fifty",)]


class Script:
    """Prefers the tokens of some texts, each with its chance; anything else is unlikely.

    After tokens that are the start of no text every token is equally (un)likely.
    """

    def __init__(self, texts: dict[tuple[str, ...], float]) -> None:
        self.texts = {
            (*(PIECES.index(piece) for piece in text), END): chance
            for text, chance in texts.items()
        }
        self.steps = 0
        self.widest = 0
        self.checked = 0

    def begin(self, tokens: list[int]) -> tuple[Floats, Cache]:
        self.checked = len(tokens)
        rows = [self._after(tuple(tokens[1 : at + 1])) for at in range(len(tokens))]
        return np.stack(rows), self._cache([tokens[1:]])

    def step(self, tokens: list[int], cache: Cache) -> tuple[Floats, Cache]:
        self.steps += 1
        self.widest = max(self.widest, len(tokens))
        before = [self._text(row) for row in cache.rows["text"]]
        texts = [[*old, new] for old, new in zip(before, tokens, strict=True)]
        return np.stack([self._after(tuple(text)) for text in texts]), self._cache(texts)

    def _after(self, tokens: tuple[int, ...]) -> Floats:
        chances = np.full(len(PIECES), 1e-4, np.float32)
        for text, chance in self.texts.items():
            if text[: len(tokens)] == tokens and len(text) > len(tokens):
                chances[text[len(tokens)]] += chance
        return np.log(chances)

    @staticmethod
    def _text(row: Floats) -> list[int]:
        return [int(token) for token in row[0, :, 0]]

    @staticmethod
    def _cache(texts: list[list[int]]) -> Cache:
        return Cache({}, {"text": np.array(texts, np.float32)[:, None, :, None]})


def decoder(weights: Weights) -> BeamDecoder:
    meanings = {word: (word,) for word in WORDS} | {"15": ("fifteen",)}
    trie = SpellingTrie(tuple(meanings), PIECES)
    outlook = Outlook(NGram.counted(WORDS, SENTENCES, {}, {}), trie, meanings)
    expansion = Expansion(trie, outlook, UnknownWords(PIECES), weights)
    return BeamDecoder(expansion, TOKENIZER, weights)


def decode(
    texts: dict[tuple[str, ...], float], longest: int = 12, **weights: float
) -> tuple[Decoded, list[str]]:
    found = decoder(Weights.model_validate(weights)).decode(Script(texts), longest)
    return found, [" ".join(each.words) for each in found.candidates]


def test_the_likeliest_text_of_known_words_is_best() -> None:
    found, texts = decode({(" white", " plaque"): 0.9, (" black", " plaque"): 0.1}, language=0)
    assert texts[:2] == ["white plaque", "black plaque"]
    assert TOKENIZER.text(found.free.tokens) == "white plaque"


def test_an_unknown_word_is_heard_only_freely() -> None:
    found, texts = decode({(" un", "known", "ly"): 0.9, (" lip",): 0.09}, language=0)
    assert texts[0] == "lip"
    assert TOKENIZER.text(found.free.tokens) == "unknownly"
    assert found.candidates[0].acoustic < found.free.acoustic - 1


def test_an_unknown_word_may_be_spelt_at_a_cost() -> None:
    texts = {(" white", " un", "known", "ly", " plaque"): 0.9, (" white", " lip", " plaque"): 0.05}
    assert decode(texts, language=0)[1][0] == "white lip plaque"
    assert decode(texts, language=0, unknown=9)[1][0] == "white lip plaque"
    assert decode(texts, language=0, unknown=1)[1][0] == "white unknownly plaque"


def test_a_known_word_is_never_taken_for_an_unknown_one() -> None:
    found, texts = decode({(" white", " plaque"): 1.0}, unknown=0.5)
    assert texts[0] == "white plaque"
    assert texts.count("white plaque") == 1
    assert found.candidates[0].language > -12


def test_capitals_punctuation_and_digits_do_not_matter() -> None:
    _, texts = decode({(" Whi", "te", ",", " plaque", "."): 1.0}, language=0)
    assert texts[0] == "white plaque"
    _, texts = decode({(" 15", "."): 1.0}, language=0)
    assert texts[0] == "fifteen"


def test_the_language_decides_between_what_sounds_alike() -> None:
    alike = {(" white", " plaque"): 0.45, (" white", " left"): 0.55}
    assert decode(alike, language=0)[1][0] == "white left"
    assert decode(alike, language=0.5)[1][0] == "white plaque"


def test_readings_differ_in_words_and_fall_in_score() -> None:
    found, texts = decode(
        {(" fif", "teen"): 0.5, (" 15",): 0.2, (" fif", "ty"): 0.25, (" ten",): 0.05}
    )
    assert len(texts) == len(set(texts)) >= 5
    assert {"fifteen", "fifty", "ten"} <= set(texts)
    scores = [each.score for each in found.candidates]
    assert scores == sorted(scores, reverse=True)


def test_words_are_not_dropped_when_the_network_would_sooner_stop() -> None:
    """A network unsure of a word ends the sentence; the free reading shows that it went on."""
    stops_early = {
        (" white", " plaque"): 0.02,
        (" white", " plaque", " un", "known", "ly"): 0.9,
        (" white", " plaque", " left", " tongue"): 0.002,
    }
    assert decode(stops_early, gap=0, shortfall=0, word_bonus=0)[1][0] == "white plaque"
    assert decode(stops_early)[1][0] == "white plaque left tongue"


def test_a_network_in_a_loop_is_stopped() -> None:
    loop = {tuple([" white", " plaque"] * 20): 1.0, (" white", " plaque"): 1e-3}
    found, texts = decode(loop, longest=60)
    assert texts
    assert all("white plaque white plaque white plaque" not in text for text in texts)
    assert not found.free.whole
    assert len(found.free.tokens) < 12


@pytest.mark.parametrize("longest", [0, 1, 3])
def test_the_number_of_tokens_is_bounded(longest: int) -> None:
    script = Script({tuple([" left", " lip", " ten", " tongue"] * 5): 1.0})
    decoder(Weights()).decode(script, longest)
    assert script.steps <= longest


def test_the_beam_is_bounded() -> None:
    script = Script({(" white", " plaque"): 0.5, (" black", " lip"): 0.5})
    decoder(Weights(beam=3)).decode(script, 10)
    assert script.widest <= 4, "three readings and the free one"


def test_nothing_heard_gives_an_empty_reading() -> None:
    found, texts = decode({(): 1.0}, language=0)
    assert texts[0] == ""
    assert found.free.tokens == []
    assert found.free.whole


def test_a_free_reading_alone_is_the_same() -> None:
    texts = {(" un", "known"): 0.6, (" white",): 0.4}
    alone = read_freely(Script(texts), 12)
    assert alone.tokens == decode(texts)[0].free.tokens
    assert alone.acoustic == pytest.approx(decode(texts)[0].free.acoustic)


def test_a_glance_finds_the_words_and_checks_a_right_guess_in_one_step() -> None:
    texts = {(" white", " plaque", " left", " tongue"): 1.0}
    search = decoder(Weights())
    slow = Script(texts)
    first = search.glance(slow, [], 12)
    quick = Script(texts)
    again = search.glance(quick, first.tokens, 12)
    assert first.words == ("white", "plaque", "left", "tongue")
    assert again == first
    assert (slow.steps, quick.steps) == (4, 0)
    assert quick.checked == 5


def test_a_glance_drops_a_guess_where_it_turns_out_wrong() -> None:
    search = decoder(Weights())
    texts = {(" white", " plaque", " left", " tongue"): 1.0}
    guess = [PIECES.index(piece) for piece in (" white", " black", " lip", " ten", " ten")]
    assert search.glance(Script(texts), guess, 12) == search.glance(Script(texts), [], 12)


def test_start_is_no_piece_of_text() -> None:
    assert PIECES[START] == PIECES[END] == ""
