"""Words of politeness and hesitation around a spoken command, which say nothing of it."""

from __future__ import annotations

from collections.abc import Callable

from dictate.matching.forms import Forms, Words
from dictate.matching.grammar import word_set

_ASKING = Forms(
    "could we have the",
    "could i have the",
    "can we have the",
    "can i have the",
    "could i",
    "can i",
    "may i",
    "let us have the",
    "could you",
    "can you",
    "would you",
    "will you",
    "could we",
    "can we",
    "shall we",
    "i would like to",
    "i want to",
    "i think we can",
    "i think i will",
    "we can",
    "you can",
    "why do not you",
    "may we",
    "may i",
    "could i",
    "can i",
    "shall i",
    "i should like to",
    "i would like you to",
    "i need to",
    "i need you to",
    "i will",
    "i shall",
    "we will",
    "we shall",
    "we should",
    "let me",
)
"""What may be said to anybody in the room: only before a command that names our own things."""
_BEFORE = Forms(
    "actually",
    "alright",
    "all right",
    "right",
    "right then",
    "sorry",
    "wait",
    "hang on",
    "hang on a sec",
    "hang on a second",
    "hang on a minute",
    "hang on a moment",
    "hold on a sec",
    "hold on a second",
    "one moment",
    "just a moment",
    "just a sec",
    "just a second",
    "hold on",
    "oh dear",
    "yes",
    "yep",
    "yeah",
    "i am done",
    "i am finished",
    "that is everything",
    "that is all",
    "that is it",
    "i think that is everything",
    "i think that is all",
    "i think that is it",
    "did i say left",
    "did i say right",
    "i said left",
    "i said right",
    "let us",
    "let us just",
    "let us go ahead and",
    "go ahead and",
    "ready to",
    "time to",
    "i made a mistake",
    "my mistake",
    "i think that is us finished",
    "i think that is us done",
    "that is us finished",
    "that is us done",
    "finished",
    "end of exam",
    "that is the whole exam",
    "that is the exam",
    "that is the whole examination",
    "end of the exam",
    "done here",
    "finished here",
    "all done here",
    "i am done here",
    "i am finished here",
    "that is all here",
    "that is it here",
    *(
        f"{said} {of} this {place}"
        for said in ("done", "finished", "that is all", "that is it", "that is everything")
        for of in ("with", "for", "in")
        for place in ("region", "area", "site")
    ),
)
_NO = Forms("no", "no no", "no wait", "no sorry")
_AFTER = (
    *(("for", "me"), ("for", "now"), ("thank", "you"), ("would", "you"), ("will", "you")),
    *(("for", "a", unit) for unit in ("second", "sec", "tick", "moment", "minute", "bit")),
    *(("if", "you", "would"), ("if", "you", "could"), ("if", "you", "do", "not", "mind")),
    *(("i", "am", "afraid"), ("if", "you", "like"), ("if", "that", "is", "okay")),
    *(("sorry",), ("again",)),
    *(("at", "once"), ("again", "please"), ("all", "right"), ("straight", "away")),
    *(("altogether",), ("completely",), ("entirely",)),
)
_OURS = word_set("""
    undo redo finding findings entry region listening recording dictation review examination exam
    record microphone question
    """)
"""A request that names none of these may be to the nurse ("could you remove that?")."""
_ALL = frozenset({"everything", "all", "lot"})
_HARMLESS = frozenset({"next_region", "previous_region", "help", "repeat"})
"""Commands that change no record: asked of anybody, they may be obeyed."""
UNSURE_AFTER_NO = frozenset({"confirm", "reject", "save", "skip", "help"})
"""What a "no" before it leaves open."""


def plain(
    words: Words, small: frozenset[str], known: Callable[[Words], bool]
) -> tuple[Words, bool, bool]:
    """The words without politeness; whether somebody was asked, and whether "no" came first.

    `small`: single words that count as politeness anywhere around the command; `known` tells
    the words of a command, which are left alone.
    """
    start, asked, refused = 0, False, False
    while start < len(words):
        if known(without_tail(words[start:], small, known)):
            break
        no, before, asking = (form.end(words, start) for form in (_NO, _BEFORE, _ASKING))
        end = max(no, before, asking)
        if end == start and words[start] in small:
            end = start + 1
        if end == start:
            break
        refused |= no == end
        asked |= asking == end
        start = end
    return without_tail(words[start:], small, known), asked, refused


def opened(words: Words, start: int, small: frozenset[str] = frozenset()) -> tuple[int, bool]:
    """Where the words begin after politeness, "no" and the like; whether somebody was asked."""
    asked = False
    while start < len(words):
        asking = _ASKING.end(words, start)
        end = max(_NO.end(words, start), _BEFORE.end(words, start), asking)
        end = max(end, start + (words[start] in small))
        if end == start:
            break
        asked |= asking == end
        start = end
    return start, asked


def allowed(value: str, words: Words, *, asked: bool, refused: bool) -> bool:
    """False where the words around the command leave open whether it is one."""
    if refused and value in UNSURE_AFTER_NO:
        return False
    if value == "review" and words[0] == "read" and _ALL.intersection(words):
        return True  # "Could you read everything back": not "read it back".
    return not asked or value in _HARMLESS or bool(_OURS.intersection(words))


def without_tail(
    words: Words, small: frozenset[str], known: Callable[[Words], bool] = lambda _: False
) -> Words:
    """The words without the politeness that ends them, as far as a command does not need it."""
    while len(words) > 1 and not known(words):
        if words[-2:-1] == ("thanks",) and len(words) > 3:
            words = words[:-2]  # "Thanks" with a name.
            continue
        tail = next((t for t in _AFTER if words[-len(t) :] == t and len(words) > len(t)), ())
        if not tail and words[-1] not in small:
            return words
        words = words[: -(len(tail) or 1)]
    return words
