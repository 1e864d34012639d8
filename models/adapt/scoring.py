"""Word error rate after folding what is written in more than one way."""

from __future__ import annotations

import re
from collections.abc import Sequence

import jiwer

from adapt.numbers import in_words

_FOLDED = {
    "mm": "millimeters", "cm": "centimeters", "grey": "gray", "ok": "okay", "x": "by",
    "millimetre": "millimeter", "millimetres": "millimeters", "centimetre": "centimeter",
    "centimetres": "centimeters", "i'm": "i am", "it's": "it is", "that's": "that is",
    "you'd": "you would", "you've": "you have", "doesn't": "does not", "can't": "cannot",
    "there's": "there is", "let's": "let us", "voicemail": "voice mail",
    "tumour": "tumor", "tumours": "tumors", "oedema": "edema", "leukedema": "leukoedema",
}  # fmt: skip


def _number(text: str) -> str:
    if re.fullmatch(r"\d{1,2}", text):
        return in_words(int(text))
    if re.fullmatch(r"\d{1,2}\.\d", text):
        whole, tenth = text.split(".")
        return f"{in_words(int(whole))} point {in_words(int(tenth))}"
    return " ".join(in_words(int(digit)) for digit in text) if text.isdigit() else text


def normalise(text: str) -> str:
    """Lower-case words; digits in words, one spelling, no punctuation."""
    text = text.lower().replace("’", "'").replace("-", " ")
    text = re.sub(r"(\d)(mm|cm|st|nd|rd|th)\b", r"\1 \2", text)
    words = re.findall(r"\d+(?:\.\d+)?|[a-z']+", text)
    folded = (_FOLDED.get(word, _number(word)) for word in words)
    joined = " ".join(folded).replace("colour", "color").replace("haem", "hem")
    return joined.replace("ised", "ized")


def word_error_rate(references: Sequence[str], heard: Sequence[str]) -> float:
    """Errors per word of the references, all clips together."""
    pairs = [(normalise(a), normalise(b)) for a, b in zip(references, heard, strict=True)]
    pairs = [(a, b) for a, b in pairs if a]
    return float(jiwer.wer([a for a, _ in pairs], [b for _, b in pairs]))
