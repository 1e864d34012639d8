"""A plain command among courtesy, reasons and closing words: "lovely, that's everything, save it".

Each part between pauses is read for itself. A command counts if all the parts that are commands
ask for the same, and no other part holds a finding, speaks to anybody, takes it back or makes it
a question or a condition. What changes a record must besides name our own things.
"""

from __future__ import annotations

from collections.abc import Iterator

from dictate.matching import grammar
from dictate.matching.commands import POLITE, UH_UH, Commands, Spoken
from dictate.matching.forms import Forms, Words
from dictate.matching.hearing import Hearing
from dictate.matching.items import LESIONS
from dictate.matching.parts import Part, parts_of
from dictate.matching.place import SITES
from dictate.matching.politeness import UNSURE_AFTER_NO, opened, without_tail
from dictate.matching.refusing import OF_REGIONS
from dictate.matching.text import Token, words_of
from dictate.vocabulary.schema import Slot

Tokens = tuple[Token, ...]
_CUTS = Forms(
    *("please", "kindly", "so please", "can you", "could you", "would you", "you can", "let us"),
    *("go ahead and", "go on and", "and please"),
)
"""Words at which a command may begin without a pause before it."""
_STEPS = frozenset({"next_region", "previous_region", "go_to", "help", "repeat", "review"})
"""What harms nothing: reasons in any words may stand beside it."""
_ANSWERS = frozenset({"confirm", "reject"})
_SINGLE = _ANSWERS | {"skip", "repeat"}
"""Said of the question that is asked: plain in the review without naming anything."""
_OURS = grammar.word_set("""
    undo redo undone scratch delete erase reverse unpause resume region area site section finding
    findings entry entries step listening recording dictation dictating transcription review exam
    examination record records microphone mic question commands command session everything
    help
    """)
_DEAF = ("do", "not", "listen", "for")
"""Ours too: a length of time is given. "Don't listen, he's teasing" is said to a patient."""
_COURTESY = Forms(
    *("thank you", "thank you very much", "thanks a lot", "many thanks", "cheers", "no worries"),
    *("lovely", "great", "good", "very good", "perfect", "excellent", "brilliant", "fine", "super"),
    *("that is fine", "that is good", "that is great", "all good", "fair enough", "no problem"),
    *(
        "alrighty",
        "righto",
        "right then",
        "all right then",
        "okay then",
        "right so",
        "alright then",
    ),
    *(
        "oh shoot",
        "oh no",
        "oh dear",
        "oh dear me",
        "for goodness sake",
        "goodness",
        "damn",
        "dear me",
    ),
    *("sorry about that", "my apologies", "apologies", "i apologise", "excuse me", "pardon me"),
    *("one minute", "one second", "one sec", "just one moment", "just one minute", "bear with me"),
    *(
        "you know what",
        "never mind",
        "nevermind",
        "hmm",
        "ah",
        "nah",
        "nope",
        "yep",
        "sir",
        "ma'am",
    ),
    *("if you would", "if you will", "if you do not mind", "as you like", "would you", "will you"),
    *("go ahead", "go on", "here we go", "there we go", "there we are", "doctor", "computer"),
    *("recorder", "wake up", "hello", "hi", "hey", "i am back", "we are back", "we are back on"),
    *("come once more", "what", "sorry what", "one by one", "at last", "for now", "for today"),
)
_DONE = Forms(
    *(
        "that will do",
        "that will do us",
        "that does it",
        "that is it",
        "that is all",
        "that is that",
    ),
    *("that is everything", "that is the lot", "that is us", "all done", "all finished", "done"),
    *("i am done", "i am finished", "we are done", "we are finished", "everything is done"),
    *("we are all done", "we are all finished", "i am all done", "i am all finished", "finished"),
    *("i have finished", "we have finished", "that wraps it up", "that about wraps it up"),
    *("examination is over", "the examination is over", "the exam is over", "exam is over"),
    *("examination is done", "the examination is done", "the exam is done", "nothing else"),
    *("examination is complete", "examination complete", "the examination is complete"),
    *("that concludes the examination", "nothing more to add", "nothing more", "no more findings"),
)
_THINKING = Forms("i think", "i believe", "i guess", "i suppose", "well i think", "so i think")
_ASSENT = Forms(
    *("keep it", "keep that", "keep this", "keep that one", "keep this one"),
    *("that is the one", "all good", "that is fine", "fine", "good", "that is good", "sounds good"),
    *("looks good", "that looks good", "lovely", "great", "perfect", "very good", "all right"),
)
_ONWARD = Forms("next one", "the next one", "on to the next one", "next")
"""Beside "move on"; alone it may be the next lesion in the same region."""
_WHICH_WORDS = Forms(
    *(
        f"{asked}{tail}"
        for asked in ("what can i say", "what are my options", "what are my commands")
        for tail in ("", " here", " now", " to you", " again")
    ),
)
"""Beside "help": what a patient, too, may ask, so no command by itself."""
_SURELY = grammar.word_set("confirm confirmed accept accepted agree approve correct one")
"""Beside "lovely" or "good", which the patient may be told, a lone "yes" confirms nothing."""
_BESIDE_TALK = {
    "reject": grammar.word_set("reject rejected decline wrong incorrect correct disagree agree"),
    "skip": grammar.word_set("skip later"),
}
"""Beside a reason a lone "no" or "next" answers nothing."""
_TAKES_BACK = frozenset({
    *("no", "not", "wait", "do", "never", "or", "but", "instead", "unless", "until", "otherwise"),
    *("actually", "hang", "then", "when", "if"),
})  # fmt: skip
_SUPPOSING = frozenset({"if", "when", "whenever", "unless", "or", "until", "while", "whether"})
_SAYING = frozenset({"said", "says", "say", "saying", "told", "tell", "ask", "asked", "called"})
_REQUESTS = grammar.word_set("""
    open close turn stick put lift tilt swallow bite look push lean sit breathe hold try rinse spit
    smile poke raise touch show come lie stay give pull bend pass hand bring book stop keep let do
    """)
_FINDING = (SITES | LESIONS | OF_REGIONS | {Slot.COLOUR, Slot.TENDER, Slot.SYMPTOM}) - {Slot.SIDE}
_PLACED = frozenset({Slot.REGION, Slot.SUBSITE})
_HERE = frozenset({"all", "done", "finished", "it", "everything"})


class Among:
    """Finds such commands with the phrases of a lexicon."""

    def __init__(self, hearing: Hearing, commands: Commands) -> None:
        self._hearing = hearing
        self._commands = commands

    def parts(self, tokens: Tokens, *, reviewing: bool) -> tuple[Part, ...]:
        """The parts that say the command, all the same one; none where it is no plain command."""
        words = words_of(tokens)
        for cut in (parts_of(tokens), _cut_finer(tokens)):
            found = self._agreeing(words, list(cut), reviewing=reviewing)
            if found:
                return found
        return ()

    def resumed(self, tokens: Tokens) -> bool:
        """While paused: "lovely, thank you, let us continue"."""
        words = words_of(tokens)
        parts = [words[part.start : part.end] for part in parts_of(tokens)]
        rest = [part for part in parts if not self._commands.resumes(part)]
        return len(rest) < len(parts) and all(map(_courteous, rest))

    def _agreeing(self, words: Words, parts: list[Part], *, reviewing: bool) -> tuple[Part, ...]:
        orders: dict[Part, Spoken] = {}
        for part in parts:
            spoken = self._order(words[part.start : part.end], reviewing=reviewing)
            if spoken is not None:
                orders[part] = spoken
        if len(parts) < 2 or not orders:
            return ()
        values = {spoken.value for spoken in orders.values()}
        if len(values) > 1 or "not_for_record" in values:
            return ()
        value = values.pop()
        others = [words[part.start : part.end] for part in parts if part not in orders]
        if value in UNSURE_AFTER_NO - {"reject"} and any(map(_denies, others)):
            return ()
        last = max(part.end for part in orders)
        after = [words[part.start : part.end] for part in parts if part.start >= last]
        said = [words[part.start : part.end] for part in orders]
        if any(each[0] in _TAKES_BACK for each in after):
            return ()
        if not all(self._beside(value, each) for each in others):
            return ()
        return tuple(orders) if _plain(value, said, others) else ()

    def _order(self, words: Words, *, reviewing: bool) -> Spoken | None:
        """The whole command that a part is, if it is one."""
        bare = without_tail(words, POLITE)
        for each in (words, bare, words[words[:1] == ("so",) :]):
            spoken = self._commands.spoken(each, reviewing=reviewing)
            if spoken is None:
                continue
            whole = not spoken.rest and spoken.takes == "nothing"
            if whole or (spoken.takes == "region" and spoken.rest):
                return spoken
        return None

    # what may stand beside it

    def _beside(self, value: str, words: Words) -> bool:
        """True if a part may stand beside the command: courtesy, closing words, a reason."""
        if _courteous(words):
            return True
        if value == "confirm":
            return _made_of(words, _ASSENT, _COURTESY)
        start, _ = opened(words, 0, POLITE)
        inner = words[start:]
        if not inner:
            return True
        if inner[0] in _SUPPOSING or inner[-1] in _SAYING or inner[0] in _REQUESTS:
            return False
        if value == "next_region" and _made_of(words, _ONWARD):
            return True
        if value == "help" and _made_of(words, _WHICH_WORDS):
            return True
        if grammar.SECOND_PERSON.intersection(words) or grammar.asks(inner):
            return False
        spots = self._hearing.words_read(words).spots
        slots = {spot.slot for spot in spots if spot.likely is None}
        if value in _STEPS and slots & _FINDING <= _PLACED and _HERE.intersection(words):
            return True  # "That's all for the palate".
        return not slots & _FINDING


def _denies(words: Words) -> bool:
    return words[0] == "no" or words[:2] == UH_UH


def _plain(value: str, said: list[Words], others: list[Words]) -> bool:
    """True if the words name our own things, or nothing but courtesy stands beside them."""
    if value == "confirm" and any(_made_of(words, _ASSENT) for words in others):
        return any(_SURELY.intersection(words) for words in (*said, *others))
    if value in _BESIDE_TALK and not all(map(_courteous, others)):
        return any(_BESIDE_TALK[value].intersection(words) for words in said)
    named = any(_OURS.intersection(words) or words[:4] == _DEAF for words in said)
    if named or value in _SINGLE or all(map(_courteous, others)):
        return True
    if value == "next_region" and all(
        _made_of(words, _COURTESY, _DONE, _ONWARD) for words in others
    ):
        return True
    if value in ("delete", "undo"):
        return any(_OURS.intersection(words) for words in others)
    return value == "go_to"


def _courteous(words: Words) -> bool:
    """True for courtesy and closing words alone."""
    return _made_of(words, _COURTESY, _DONE)


def _made_of(words: Words, *forms: Forms) -> bool:
    at = 0
    while at < len(words):
        at = _THINKING.end(words, at)
        end, _ = opened(words, at, POLITE)
        end = max(end, *(form.end(words, end) for form in forms))
        if end == at:
            return False
        at = end
    return True


def _cut_finer(tokens: Tokens) -> Iterator[Part]:
    """The parts, cut also where a command may begin without a pause."""
    words = words_of(tokens)
    for part in parts_of(tokens):
        start = part.start
        for at in range(part.start + 1, part.end):
            if _CUTS.end(words, at) > at and _CUTS.end(words, at - 1) == at - 1:
                yield Part(start, at)
                start = at
        yield Part(start, part.end)
