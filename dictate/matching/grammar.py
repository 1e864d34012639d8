"""The closed-class words of English that dictation is held together by.

Words of the trade live in the vocabulary; these are grammar, and no clinic changes them.
"""

from __future__ import annotations

from dictate.matching.forms import Forms


def word_set(text: str) -> frozenset[str]:
    """The words of a text, for membership."""
    return frozenset(text.split())


INDEFINITE = frozenset({"a", "an", "another"})
DEFINITE = frozenset({"the", "this", "that", "these", "those", "its", "it"})
ARTICLES = INDEFINITE | DEFINITE
AND = frozenset({"and", "plus", "also", "then", "with"})
OR = frozenset({"or", "nor"})
BUT = frozenset({"but", "however", "although", "though", "whereas", "otherwise", "except"})

REST = word_set("otherwise else elsewhere rest remainder remaining")
"""Words for what has not been spoken of."""
SHOWING = frozenset({"with", "showing", "shows", "surrounding", "surface", "overlying"})
"""Words before what a lesion shows ("with ulceration")."""

NEGATORS = Forms(
    "no evidence of",
    "no signs of",
    "no sign of",
    "no history of",
    "cannot feel",
    "cannot see",
    "cannot find",
    "can not feel",
    "can not see",
    "could not feel",
    "could not see",
    "could not find",
    "do not feel",
    "do not see",
    "do not find",
    "did not feel",
    "did not see",
    "did not find",
    "rather than",
    "instead of",
    "as opposed to",
    "no longer",
    "negative for",
    "free of",
    "free from",
    "absence of",
    "devoid of",
    "lack of",
    "no it is not",
    "and no it is not",
    "no it does not",
    "no they are not",
    "no he does not",
    "no she does not",
    "does not",
    "do not",
    "did not",
    "is not",
    "are not",
    "was not",
    "can not",
    "no",
    "not",
    "non",
    "without",
    "denies",
    "denied",
    "denying",
    "cannot",
    "never",
    "neither",
    "nil",
    "nor",
    "lacks",
    "lacking",
    "absent",
)
NEGATING = frozenset(word for word in NEGATORS.firsts if NEGATORS.end((word,), 0))
"""Single words that negate."""
NOT_NEGATING = Forms(
    "not only",
    "not just",
    "no doubt",
    "not sure",
    "no change",
)
"""Forms that begin like a negation and are none."""
NEGATED_BEFORE = frozenset({"absent", "negative", "denied", "nil", "none"})
"""Words that negate what stands before them ("tenderness absent")."""

BESIDE = frozenset(
    {
        *("opposite", "overlying", "touching", "touches", "abutting", "abuts"),
        *("extending", "extends", "extend", "reaching", "reaches", "spreading", "spread"),
    }
)
"""Landmarks that no distance goes with: "five millimetres opposite the molar" is a size."""

FUNCTION = word_set("""
    a an another the this that these those its it they there here
    and or nor plus also then with but however although though whereas otherwise
    is are was were be been being has have had having does do did
    show appears appear appearing looks looking feels feeling seems seen noted found felt shows
    showing which where who when what
    of on in at to from into onto over by for as about around along within across towards
    very quite slightly mildly moderately severely somewhat fairly rather extremely markedly
    clearly partly partially just only still now again really well
    i we he she patient patients
    variant variants variation
    nothing none largest biggest longest greatest widest maximum
    everything else elsewhere rest remainder remaining others before after
    em um uh er erm ah oh so okay ok yes yeah yep aye please either anywhere
    absolutely totally definitely certainly
    """)
"""Words that carry nothing for the record by themselves."""
HESITATIONS = word_set("em um uh er erm ah hm hmm mm mmm mhm oh eh huh")
"""Sounds between words; by themselves they say nothing."""
SECOND_PERSON = frozenset({"you", "your", "yours", "yourself"})
AUXILIARIES = word_set(
    "is are was were do does did have has had can could would will shall should may might"
)
SUBJECTS = word_set(
    "it that this there they these any anything anyone anybody you your he she the we i"
)
QUESTION_WORDS = word_set("how what when where which who why whose")
QUESTION_NEXT = AUXILIARIES | word_set("long much many often about happens kind sort time")


def asks(words: tuple[str, ...]) -> bool:
    """True if the first words are those of a question ("how long", "is it")."""
    first, second = (*words, "", "")[:2]
    if first in QUESTION_WORDS:
        return second in QUESTION_NEXT
    return first in AUXILIARIES and second in SUBJECTS
