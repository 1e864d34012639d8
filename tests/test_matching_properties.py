"""Whatever is said: nothing breaks, and no side, size or place comes out of nowhere."""

from __future__ import annotations

from hypothesis import example, given, settings
from hypothesis import strategies as st

from dictate.exam.commands import AddDetail, AddFinding, ChangeField, MarkRegion
from dictate.exam.finding import FindingFields
from dictate.matching.matcher import Matcher
from dictate.matching.reading import Context, Reading
from dictate.speech.heard import Hypothesis, Utterance, Word, typed
from dictate.vocabulary.loader import load
from dictate.vocabulary.schema import Slot

LEXICON = load()
MATCHER = Matcher(LEXICON)
WORDS = sorted(LEXICON.words())
FORMS = sorted({phrase.text for phrase in LEXICON.phrases if phrase.slot is not Slot.COMMAND})
NUMBER_TEXT = """
zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen
sixteen seventeen eighteen nineteen twenty thirty forty fifty sixty seventy eighty ninety
hundred half quarter quarters point couple a an to too for fore ate won tree o oh
"""
NUMBER_WORDS = frozenset(NUMBER_TEXT.split())
SIDE_WORDS = {
    "left": {"left"},
    "right": {"right"},
    "midline": {"midline", "mid", "middle"},
    "bilateral": {"bilateral", "bilaterally", "both", "each", "either", "left", "right", "midline"},
}
IN_HAND = Context(
    region="tongue",
    subsite="lateral border",
    side="left",
    last=FindingFields(region="tongue", side="left", kind="ulcer", size_mm=(4.0,)),
)
CONTEXTS = st.sampled_from(
    [
        Context(),
        Context(region="tongue"),
        Context(region="buccal mucosa", side="right"),
        IN_HAND,
        Context(region="tongue", reviewing=True),
        Context(paused=True),
    ]
)
SOUPS = st.lists(
    st.one_of(
        st.sampled_from(FORMS),
        st.sampled_from(WORDS),
        st.sampled_from(sorted(NUMBER_WORDS)),
        st.sampled_from(["left", "right", "no", "not", "and", "or", "by", ",", "millimetres"]),
    ),
    max_size=12,
).map(" ".join)


def recorded(reading: Reading) -> list[tuple[FindingFields, set[str]]]:
    """The fields of findings and details with the names of their doubted fields."""
    return [
        (each.fields, {doubt.field for doubt in each.needs_review})
        for each in reading.commands
        if isinstance(each, AddFinding | AddDetail)
    ]


SAME_PLACE = tuple(
    phrase.text
    for phrase in LEXICON.phrases
    if phrase.slot is Slot.CARRY and phrase.value in ("same site", "same side")
)
ANOTHER = tuple(
    phrase.text
    for phrase in LEXICON.phrases
    if phrase.slot is Slot.CARRY and phrase.value == "another"
)


@given(st.text(max_size=80), CONTEXTS)
@settings(max_examples=150, deadline=None)
def test_no_text_breaks_the_matcher(text: str, context: Context) -> None:
    reading = MATCHER.read(typed(text), context)
    assert reading.text == typed(text).text
    assert (reading.kind == "ignored") == (not reading.commands)
    assert reading.commands or reading.why
    assert 0 <= reading.confidence <= 1


@given(SOUPS, CONTEXTS)
@example("a bigger one bang in the middle", Context())
@settings(max_examples=300, deadline=None)
def test_a_side_is_said_or_asked_about(text: str, context: Context) -> None:
    words = set(text.replace(",", " ").split())
    for fields, doubts in recorded(MATCHER.read(typed(text), context)):
        if fields.side is None or "side" in doubts or fields.normal_variant is not None:
            continue
        if any(form in text for form in SAME_PLACE):
            continue  # That says the side: it is the one of the lesion before.
        assert SIDE_WORDS[fields.side] & words, fields


@given(SOUPS, CONTEXTS)
@settings(max_examples=300, deadline=None)
def test_a_size_has_its_number_in_the_words_or_is_asked_about(text: str, context: Context) -> None:
    words = set(text.replace(",", " ").split())
    for fields, doubts in recorded(MATCHER.read(typed(text), context)):
        if fields.size_mm and "size_mm" not in doubts:
            assert words & NUMBER_WORDS, fields
            assert all(0.5 <= each <= 60 for each in fields.size_mm)


@given(SOUPS, CONTEXTS)
@example("fore numb a bigger one", IN_HAND)
@example("left and right cannot see left and right aphtha", Context(region="tongue"))
@settings(max_examples=300, deadline=None)
def test_a_region_is_named_or_asked_about(text: str, context: Context) -> None:
    """Named: some form of the region, of its parts, or of a term that implies it is in the text."""
    words = text.replace(",", " ").split()
    padded = f" {' '.join(map(LEXICON.spelling.fold, words))} "
    for fields, doubts in recorded(MATCHER.read(typed(text), context)):
        if fields.region is None or "region" in doubts:
            continue
        if fields.side is not None and any(form in text for form in ANOTHER):
            continue  # "Another one on the right": all but the side is as it was.
        assert any(f" {form} " in padded for form in forms_of(fields.region)), fields


def forms_of(region: str) -> set[str]:
    forms = set()
    for phrase in LEXICON.phrases:
        fills = dict(phrase.fills)
        named = phrase.slot is Slot.REGION and phrase.value == region
        if named or fills.get(Slot.REGION) == region or region in phrase.regions:
            forms.add(phrase.text)
    return forms | {"same", "site", "place", "area", "spot", "location", "position"}


@given(SOUPS)
@settings(max_examples=100, deadline=None)
def test_no_region_is_normal_unless_words_say_so(text: str) -> None:
    reading = MATCHER.read(typed(f"ulcer {text}"), Context())
    normal = {p.text for p in LEXICON.phrases if p.slot is Slot.NORMAL}
    padded = f" {text} "
    for each in reading.commands:
        if isinstance(each, MarkRegion) and each.state == "normal":
            assert any(f" {form} " in padded for form in normal)


@given(
    st.floats(0.1, 60).map(lambda value: round(value, 1)),
    st.floats(0.1, 60).map(lambda value: round(value, 1)),
    st.sampled_from(["left", "right"]),
)
@settings(max_examples=100, deadline=None)
def test_a_size_typed_in_figures_is_recorded_as_it_is(
    first: float, second: float, side: str
) -> None:
    reading = MATCHER.read(
        typed(f"ulcer on the {side} lateral tongue, {first} x {second} mm"), Context()
    )
    ((fields, _),) = recorded(reading)
    assert fields.size_mm == (first, second)
    assert fields.side == side


@given(st.lists(st.sampled_from(WORDS), min_size=1, max_size=8), st.data())
@settings(max_examples=100, deadline=None)
def test_no_hearing_breaks_the_matcher(words: list[str], data: st.DataObject) -> None:
    others = data.draw(st.lists(st.lists(st.sampled_from(WORDS), max_size=8), max_size=4))
    confidence = data.draw(st.floats(0, 1))
    hypotheses = tuple(
        Hypothesis(tuple(Word(w, i, i + 0.3, confidence) for i, w in enumerate(each)), -rank)
        for rank, each in enumerate([words, *others])
    )
    utterance = Utterance(hypotheses, 0.0, 4.0, confidence, confidence, " ".join(words[::-1]))
    reading = MATCHER.read(utterance, data.draw(CONTEXTS))
    assert reading.kind in ("finding", "command", "normal", "ignored")
    for each in reading.commands:
        assert not isinstance(each, ChangeField) or each.value is not None
