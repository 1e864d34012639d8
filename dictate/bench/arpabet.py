"""Pronunciations for words that PocketSphinx's dictionary lacks: espeak-ng's phonemes, mapped."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Sequence

from dictate.bench.problems import BenchError

_SOUNDS = {
    "aɪə": "AY AH", "aɪɚ": "AY ER", "aɪ": "AY", "aʊ": "AW", "eɪ": "EY", "oʊ": "OW", "ɔɪ": "OY",
    "tʃ": "CH", "dʒ": "JH", "ɑːɹ": "AA R", "ɔːɹ": "AO R", "oːɹ": "AO R", "ɛɹ": "EH R",
    "ɪɹ": "IH R", "ʊɹ": "UH R", "ɜː": "ER", "iə": "IY AH", "əl": "AH L",
    "iː": "IY", "uː": "UW", "ɑː": "AA", "ɔː": "AO", "oː": "AO",
    "i": "IY", "ɪ": "IH", "ᵻ": "IH", "e": "EH", "ɛ": "EH", "æ": "AE", "a": "AE", "ɐ": "AH",
    "ə": "AH", "ʌ": "AH", "ɚ": "ER", "ɑ": "AA", "ɒ": "AA", "ɔ": "AO", "o": "OW", "ʊ": "UH",
    "u": "UW", "p": "P", "b": "B", "t": "T", "d": "D", "k": "K", "ɡ": "G", "g": "G", "f": "F",
    "v": "V", "θ": "TH", "ð": "DH", "s": "S", "z": "Z", "ʃ": "SH", "ʒ": "ZH", "h": "HH",
    "m": "M", "n": "N", "ŋ": "NG", "l": "L", "ɹ": "R", "r": "R", "j": "Y", "w": "W",
    "ɾ": "T", "ʔ": "T", "x": "K",
}  # fmt: skip
"""espeak-ng's American English to ARPAbet; the longest match is taken first."""
_LONGEST_FIRST = re.compile("|".join(sorted(map(re.escape, _SOUNDS), key=len, reverse=True)))


def pronunciations(words: Sequence[str]) -> dict[str, str]:
    """Each word's phonemes, as the dictionary writes them. Raises BenchError without espeak-ng."""
    if not words:
        return {}
    command = ["espeak-ng", "-q", "--ipa", "-v", "en-us"]
    try:
        done = subprocess.run(
            command, input="\n".join(words), text=True, capture_output=True, check=True
        )
    except (OSError, subprocess.CalledProcessError) as error:
        raise BenchError("espeak-ng is not installed; on Debian: apt-get install espeak-ng") from (
            error
        )
    lines = [line for line in done.stdout.splitlines() if line.strip()]
    if len(lines) != len(words):
        return {word: arpabet(_alone(word)) for word in words}
    return {word: arpabet(line) for word, line in zip(words, lines, strict=True)}


def arpabet(ipa: str) -> str:
    """espeak-ng's phonemes as ARPAbet; marks of stress and length fall away."""
    return " ".join(_SOUNDS[m.group()] for m in _LONGEST_FIRST.finditer(ipa))


def _alone(word: str) -> str:
    command = ["espeak-ng", "-q", "--ipa", "-v", "en-us", word]
    return subprocess.run(command, text=True, capture_output=True, check=True).stdout
