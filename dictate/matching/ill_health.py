"""Health that is denied or in question: "tongue not normal", "may be healthy", "no longer normal".

Such a region was looked at, and something about it was not said: it is asked about, and never
called normal. source of the words: common practice, no source
"""

from __future__ import annotations

from dictate.exam.commands import MarkRegion
from dictate.matching.nbest import doubted
from dictate.matching.negation import Sentence
from dictate.matching.spots import Spot

_NOT = frozenset(
    {
        *("not", "never", "hardly", "barely", "scarcely", "cannot", "nor", "far", "less", "rarely"),
        *("longer", "used", "nothing", "without", "almost", "nearly", "mostly", "largely"),
        *("may", "maybe", "might", "perhaps", "possibly", "probably"),
    }
)
_BETWEEN = frozenset(
    {
        *("entirely", "quite", "completely", "perfectly", "fully", "really", "totally", "very"),
        *("absolutely", "exactly", "wholly", "altogether", "at", "all", "so", "that", "too"),
        *("be", "is", "are", "look", "looks", "feel", "feels", "appear", "appears", "seem", "say"),
        *("call", "it", "them", "from", "than", "being", "looking", "what", "i", "would", "a"),
        *("particularly", "strictly", "necessarily", "currently", "the", "to", "within", "with"),
    }
)


def denied_health(sentence: Sentence, anchor: Spot) -> str:
    """The words that deny or question the health the anchor speaks of; empty if none do."""
    begins = sentence.begins(anchor.start)
    if sentence.words[begins] == "neither":
        return " ".join(sentence.words[begins : anchor.end])
    at = anchor.start - 1
    while at >= 0 and sentence.words[at] in _BETWEEN and at + 1 not in sentence.pauses:
        at -= 1
    if at < 0 or at + 1 in sentence.pauses or sentence.words[at] not in _NOT:
        return ""
    return " ".join(sentence.words[at : anchor.end])


def in_doubt(mark: MarkRegion, said: str) -> MarkRegion:
    """The mark of a region whose health is denied or in question: looked at, and asked about."""
    if mark.state not in ("normal", "inspected"):
        return mark
    looked_at = mark.model_copy(update={"state": "inspected"})
    return doubted(looked_at, f"“{said}” was said: what is there?")
