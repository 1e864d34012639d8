"""Scores of whole utterances, added up over a condition or a voice."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from dictate.bench.outcome import Outcome, Recorded
from dictate.bench.sentences import Marked, Order, Sentence
from dictate.bench.slots import (
    CRITICAL_SLOTS,
    SLOTS,
    Critical,
    Places,
    Tally,
    compare,
    is_flagged,
    paired,
)
from dictate.exam.finding import FindingFields

_CRITICAL_OF_FIELD = {"side": "side", "region": "site", "subsite": "site", "size_mm": "size"}


@dataclass(slots=True)
class Score:
    """Everything counted over a set of utterances."""

    slots: dict[str, Tally] = field(default_factory=lambda: {slot: Tally() for slot in SLOTS})
    marks: Tally = field(default_factory=Tally)
    """Regions pronounced normal or left out."""
    critical: dict[str, Critical] = field(
        default_factory=lambda: {slot: Critical() for slot in CRITICAL_SLOTS}
    )
    utterances: int = 0
    findings_meant: int = 0
    findings_missed: int = 0
    """Nothing was recorded for them: the utterance was put aside, or understood by half."""
    findings_invented: int = 0
    commands: int = 0
    commands_obeyed: int = 0
    offtalk: int = 0
    offtalk_findings: int = 0
    offtalk_marks: int = 0
    offtalk_commands: int = 0

    def merge(self, other: Score) -> None:
        """Add another set of utterances to this one."""
        for slot, tally in other.slots.items():
            self.slots[slot].merge(tally)
        for slot, critical in other.critical.items():
            self.critical[slot].merge(critical)
        self.marks.merge(other.marks)
        for name in _COUNTS:
            setattr(self, name, getattr(self, name) + getattr(other, name))

    @property
    def all_slots(self) -> Tally:
        """All slots of all findings together."""
        total = Tally()
        for tally in self.slots.values():
            total.merge(tally)
        return total

    @property
    def all_critical(self) -> Critical:
        """Side, site and size together."""
        total = Critical()
        for critical in self.critical.values():
            total.merge(critical)
        return total


_COUNTS = (
    "utterances", "findings_meant", "findings_missed", "findings_invented", "commands",
    "commands_obeyed", "offtalk", "offtalk_findings", "offtalk_marks", "offtalk_commands",
)  # fmt: skip


def score(sentence: Sentence, outcome: Outcome, places: Places) -> Score:
    """What one utterance did against what it meant."""
    total = Score(utterances=1)
    if sentence.kind == "offtalk":
        total.offtalk = 1
        total.offtalk_findings = len(outcome.findings)
        total.offtalk_marks = len(outcome.normal) + len(outcome.not_examined)
        total.offtalk_commands = len(outcome.orders)
        return total
    for meant, got in paired(places, sentence.findings, outcome.findings):
        _finding(total, places, meant, got)
    _marks(total, sentence.normal, outcome.normal)
    _marks(total, sentence.not_examined, outcome.not_examined)
    _orders(total, sentence, outcome)
    return total


def _finding(
    total: Score, places: Places, meant: FindingFields | None, got: Recorded | None
) -> None:
    nothing = FindingFields()
    compared = compare(places, meant or nothing, got.fields if got else nothing)
    for slot, tally in compared.items():
        total.slots[slot].merge(tally)
    total.findings_meant += meant is not None
    total.findings_invented += meant is None
    if got is None:
        total.findings_missed += 1
        return
    for slot in CRITICAL_SLOTS:
        said = places.critical(meant or nothing, slot)
        heard = places.critical(got.fields, slot)
        flagged = is_flagged(got, slot)
        if any(said) or any(heard) or flagged:
            unsaid = not any(said) and not any(heard)
            total.critical[slot].add(said != heard, flagged, unsaid)


def _marks(total: Score, meant: Sequence[Marked], got: Sequence[tuple[Marked, bool]]) -> None:
    """A region called healthy that was not meant is a wrong site: it counts as one."""
    said, heard = {_key(each) for each in meant}, {_key(each): doubt for each, doubt in got}
    total.marks.add(frozenset(said), frozenset(heard))
    for key, doubted in heard.items():
        total.critical["site"].add(key not in said, doubted)


def _key(marked: Marked) -> tuple[str, str | None]:
    both = marked.side in (None, "bilateral", "midline")
    return marked.region, None if both else marked.side


def _orders(total: Score, sentence: Sentence, outcome: Outcome) -> None:
    orders = [order for order, _ in outcome.orders]
    if sentence.kind == "command":
        total.commands += 1
        total.commands_obeyed += _obeyed(sentence, outcome, orders)
    wanted = [_plain(order) for order in sentence.commands]
    for order, doubted in outcome.orders:
        slot = _CRITICAL_OF_FIELD.get(order.field or "")
        if order.do == "correct" and slot is not None:
            total.critical[slot].add(_plain(order) not in wanted, doubted)


def _obeyed(sentence: Sentence, outcome: Outcome, orders: list[Order]) -> bool:
    recorded = outcome.findings or outcome.normal or outcome.not_examined
    if sentence.commands == (Order(do="not_for_record"),):
        return not orders and not recorded
    return not recorded and [_plain(o) for o in orders] == [_plain(o) for o in sentence.commands]


def _plain(order: Order) -> tuple[object, ...]:
    value = order.value
    many = tuple(value) if isinstance(value, list) else (value,)
    return order.do, order.region, order.field, many
