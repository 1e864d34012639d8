"""What differs between what was meant and what was recorded, in words, for tuning on dev."""

from __future__ import annotations

from collections.abc import Iterator

from dictate.bench.outcome import Outcome, Recorded
from dictate.bench.sentences import Sentence
from dictate.bench.slots import SLOTS, Places, paired
from dictate.exam.finding import FindingFields


def differences(sentence: Sentence, outcome: Outcome, places: Places) -> Iterator[str]:
    """One line for each slot, region or command that did not come out as meant."""
    for meant, got in paired(places, sentence.findings, outcome.findings):
        if got is None:
            yield "finding missed"
        else:
            if meant is None:
                yield "finding invented"
            yield from _slots(meant or FindingFields(), got, places)
    marked = sorted(f"{m.region} {m.side or ''}".strip() for m, _ in outcome.normal)
    wanted = sorted(f"{m.region} {m.side or ''}".strip() for m in sentence.normal)
    if marked != wanted:
        yield f"normal: {', '.join(marked) or 'none'} instead of {', '.join(wanted) or 'none'}"
    done = [order.do for order, _ in outcome.orders]
    if done != [order.do for order in sentence.commands if order.do != "not_for_record"]:
        yield f"commands: {', '.join(done) or 'none'}"


def _slots(meant: FindingFields, got: Recorded, places: Places) -> Iterator[str]:
    for slot in SLOTS:
        said, heard = places.values(meant, slot), places.values(got.fields, slot)
        if said != heard:
            asked = " (asked)" if slot in got.doubted else ""
            yield f"{slot}: {_words(heard)} instead of {_words(said)}{asked}"


def _words(values: frozenset[object]) -> str:
    return ", ".join(sorted(str(value) for value in values)) or "nothing"
