"""Reads what a clause says of a lesion into the fields of a draft."""

from __future__ import annotations

from collections.abc import Sequence

from dictate.matching import grammar
from dictate.matching.clauses import Clause, Item, resembled
from dictate.matching.draft import Draft
from dictate.matching.negation import DESCRIBING, Sentence
from dictate.matching.places import Place
from dictate.matching.spots import Mark, Spot
from dictate.matching.thresholds import ACCEPT, LARGEST_MM, MARGIN, SMALLEST_MM
from dictate.vocabulary.schema import Phrase, Slot

_MANY = frozenset({Slot.COLOUR, Slot.SURFACE, Slot.BORDER, Slot.CONSISTENCY, Slot.SYMPTOM})
_ONE = frozenset(
    {
        Slot.DISTRIBUTION,
        Slot.MOBILITY,
        Slot.ATTACHMENT,
        Slot.CHANGE,
        Slot.TENDER,
        Slot.WIPES_OFF,
    }
)
_TOO_LARGE_MM = 500.0


def describe(sentence: Sentence, clause: Clause, draft: Draft) -> None:
    """Put every detail of the clause, its anchor included, into the draft."""
    for index, item in enumerate(clause.items):
        if isinstance(item, Place):
            continue
        if item.mark is Mark.UNKNOWN:
            _keep_unknown(sentence, item, draft)
        elif item.size is not None:
            _read_size(sentence, clause, index, draft)
        elif item.duration is not None:
            _read_duration(sentence, item, draft)
        elif item.phrases:
            _read_phrase(sentence, clause, index, draft)
    _count(sentence, clause, draft)


def _keep_unknown(sentence: Sentence, item: Spot, draft: Draft) -> None:
    word = " ".join(sentence.said(item))
    draft.unknown.append(word)
    draft.notes.append(word)


def _read_phrase(sentence: Sentence, clause: Clause, index: int, draft: Draft) -> None:
    spot = clause.items[index]
    assert isinstance(spot, Spot)
    assert spot.phrase is not None
    phrase = spot.phrase
    if phrase.slot in (Slot.KIND, Slot.NORMAL_VARIANT):
        _read_lesion(sentence, clause, index, draft)
    elif spot.negated or phrase.negated:
        _read_absent(sentence, spot, draft)
    elif (
        phrase.slot in _MANY or phrase.slot in _ONE or phrase.slot in (Slot.TENDER, Slot.WIPES_OFF)
    ):
        _put(draft, spot, phrase.value)
    elif phrase.slot is Slot.LENGTH_UNIT:
        draft.doubt("size_mm", "a unit was said, but its figure was not understood")
    elif phrase.slot is Slot.TIME_UNIT:
        draft.doubt("duration_days", "a time was said, but its figure was not understood")
    elif phrase.slot in (Slot.NORMAL, Slot.NOT_EXAMINED, Slot.EXAMINED):
        draft.notes.append(" ".join(sentence.said(spot)))


def _put(draft: Draft, spot: Spot, value: str | bool | float) -> None:
    assert spot.phrase is not None
    name = spot.phrase.slot.value
    old = draft.get(name)
    if spot.phrase.slot not in _MANY and old is not None and old != value:
        draft.doubt(name, f"both “{old}” and “{value}” were said")
        draft.offer(name, old if not isinstance(old, list) else None, 100.0)
    draft.put(name, value, spot)
    likeness_doubts(draft, name, spot)
    for slot, fill in spot.phrase.fills:
        if draft.get(slot.value) is None and slot is not Slot.REGION:
            draft.put(slot.value, fill, spot)


def likeness_doubts(draft: Draft, name: str, spot: Spot) -> None:
    """Doubt a field whose words only resemble the phrase, and offer the runner-up."""
    if spot.likely is None:
        return
    likely = spot.likely
    said = likely.phrase.text
    if likely.score < ACCEPT:
        draft.doubt(name, f"only {likely.score:.0f} % like “{said}”")
    elif likely.margin < MARGIN and likely.runner_up is not None:
        draft.doubt(name, f"it could also be “{likely.runner_up.text}”")
    if likely.runner_up is not None:
        draft.offer(name, _field_value(likely.runner_up), likely.score - likely.margin)


def _field_value(phrase: Phrase) -> str | bool | float:
    return phrase.value


def _read_absent(sentence: Sentence, spot: Spot, draft: Draft) -> None:
    phrase = spot.phrase
    assert phrase is not None
    said = " ".join(sentence.said(spot))
    if spot.negated and phrase.negated:
        draft.doubt("symptoms", f"“{said}” was denied twice over")
        return
    if phrase.slot is Slot.SYMPTOM:
        draft.put("denied_symptoms", phrase.value, spot)
        return
    if phrase.opposite is not None:
        draft.put(phrase.slot.value, phrase.opposite, spot)
        return
    draft.notes.append(f"no {said}" if phrase.slot is Slot.DISTRIBUTION else f"not {said}")


def _read_lesion(sentence: Sentence, clause: Clause, index: int, draft: Draft) -> None:
    spot = clause.items[index]
    assert isinstance(spot, Spot)
    assert spot.phrase is not None
    said = " ".join(sentence.said(spot))
    if spot.negated:
        draft.notes.append(f"no {said}")
        return
    name = spot.phrase.slot.value
    if spot is not clause.anchor:
        kind = "looks like" if resembled(clause.items, index) else "also said:"
        draft.notes.append(f"{kind} {said}")
        return
    draft.put(name, spot.phrase.value, spot)
    likeness_doubts(draft, name, spot)
    _doubtful_lesion(clause.items, index, sentence, draft, name)


def _doubtful_lesion(
    items: Sequence[Item], index: int, sentence: Sentence, draft: Draft, name: str
) -> None:
    for item in reversed(items[:index]):
        if isinstance(item, Place):
            return
        said = " ".join(sentence.said(item))
        if item.mark is Mark.NOT_SURE:
            draft.doubt(name, f"said to be “{said}”, not sure")
            draft.notes.append(said)
        elif item.mark is Mark.PAST or said in ("history of", "with a history of"):
            draft.doubt(name, f"“{said}”: it may be of the past")
            draft.notes.append(said)
        elif item.slot not in DESCRIBING and item.mark is not Mark.FUNCTION:
            return


def _read_duration(sentence: Sentence, item: Spot, draft: Draft) -> None:
    duration = item.duration
    assert duration is not None
    if duration.days is None:
        draft.notes.append(" ".join(sentence.said(item)))
    elif draft.get("duration_days") not in (None, duration.days):
        draft.doubt("duration_days", "two times were said")
        draft.offer("duration_days", duration.days, 100.0)
        return
    else:
        draft.put("duration_days", duration.days, item)
    for why in duration.whys:
        draft.doubt("duration_days", why)


def _read_size(sentence: Sentence, clause: Clause, index: int, draft: Draft) -> None:
    spot = clause.items[index]
    assert isinstance(spot, Spot)
    assert spot.size is not None
    if not spot.size.led and counts(sentence, clause, index) is not None:
        return
    if is_distance(sentence, clause.items, index):
        draft.notes.append(" ".join(sentence.words[spot.start : _landmark_end(clause, index)]))
        return
    mm = [value for value in spot.size.mm if 0 < value <= _TOO_LARGE_MM]
    if len(mm) < len(spot.size.mm):
        draft.doubt("size_mm", "the size said cannot be recorded: say it again")
        return
    if draft.get("size_mm"):
        draft.doubt("size_mm", "two sizes were said")
        draft.offer("size_mm", mm, 100.0)
        return
    if mm:
        draft.put("size_mm", mm, spot)
    for why in (*spot.size.whys, *_implausible(mm)):
        draft.doubt("size_mm", why)


def _implausible(mm: Sequence[float]) -> list[str]:
    if any(value > LARGEST_MM for value in mm):
        return [f"more than {LARGEST_MM:g} mm: millimetres or centimetres?"]
    if any(value < SMALLEST_MM for value in mm):
        return [f"less than {SMALLEST_MM:g} mm: is that right?"]
    return []


def is_distance(sentence: Sentence, items: Sequence[Item], index: int) -> bool:
    """ "five millimetres behind the commissure": where, not how large."""
    after = items[index + 1] if index + 1 < len(items) else None
    return (
        isinstance(after, Spot)
        and after.mark is Mark.LANDMARK
        and after.start not in sentence.pauses
    )


def _landmark_end(clause: Clause, index: int) -> int:
    for item in clause.items[index + 1 :]:
        if isinstance(item, Place):
            return item.end
        if item.mark not in (Mark.LANDMARK, Mark.FUNCTION, Mark.UNKNOWN):
            break
    return clause.items[index + 1].end


def counts(sentence: Sentence, clause: Clause, index: int) -> int | None:
    """The bare number at `index` as a count of the lesions named right after it."""
    spot = clause.items[index]
    assert isinstance(spot, Spot)
    assert spot.size is not None
    if spot.size.led or len(spot.size.mm) != 1 or not spot.size.mm[0].is_integer():
        return None
    for item in clause.items[index + 1 :]:
        if item is clause.anchor:
            return int(spot.size.mm[0])
        if isinstance(item, Place) or item.slot not in DESCRIBING:
            return None
    return None


def _count(sentence: Sentence, clause: Clause, draft: Draft) -> None:
    anchor = clause.anchor
    phrase = anchor.phrase if isinstance(anchor, Spot) else None
    if anchor is None or (phrase is None and isinstance(anchor, Spot)):
        return
    plural = phrase.plural if phrase else _plural_place(anchor)
    for index, item in enumerate(clause.items):
        if isinstance(item, Spot) and item.size is not None:
            number = counts(sentence, clause, index)
            if number is not None:
                draft.put("count", number, item)
                if number == 0 or (number > 1 and not plural) or (number == 1 and plural):
                    draft.doubt("count", f"“{' '.join(sentence.said(item))}” and the lesion differ")
                return
    if plural or draft.get("distribution") not in (None, "single", "one-sided", "localised"):
        return
    variant = phrase is not None and phrase.slot is Slot.NORMAL_VARIANT
    if not variant or _article_before(sentence, clause):
        draft.put("count", 1)


def _plural_place(anchor: Item) -> bool:
    return any(
        spot.phrase is not None and spot.phrase.words[-1] in ("nodes", "glands")
        for spot in (anchor.spots if isinstance(anchor, Place) else ())
    )


def _article_before(sentence: Sentence, clause: Clause) -> bool:
    assert clause.anchor is not None
    before = sentence.words[max(0, clause.anchor.start - 1) : clause.anchor.start]
    return bool(before) and before[0] in grammar.INDEFINITE
