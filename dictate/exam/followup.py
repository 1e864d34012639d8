"""What the follow-up rules say of a finding: when it is looked at again, and what prompts at once.

Pure: a finding, what earlier visits recorded of it, the day, and the rules. A prompt states which
published rule is met; it names no disease and decides nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from dictate.exam.finding import FindingFields
from dictate.exam.lesions import Lesion, Sighting
from dictate.exam.protocol import Protocol, Station
from dictate.exam.readback import and_words, duration_words, number
from dictate.vocabulary.followup import FollowUp, Rule, Urgency

GONE = "resolved"
"""The change that says a finding is no longer there."""
RECALLED = ("colours", "surface", "borders", "consistency", "mobility", "symptoms")
"""Fields that a rule takes from the last description that has them, when today's has not: what
was indurated is not known to be soft because nobody said so."""


@dataclass(frozen=True, slots=True)
class Prompt:
    """A rule that a finding meets."""

    rule: str
    text: str
    """The published sentence in our words."""
    because: str
    """What of the finding meets it."""
    source: str
    urgency: Urgency

    @property
    def asks(self) -> bool:
        """True if it wants a decision with its reason; False if it only tells."""
        return self.urgency != "note"

    @property
    def words(self) -> str:
        because = f" ({self.because})" if self.because else ""
        return f"{self.text}{because}. [{self.source}]"


@dataclass(frozen=True, slots=True)
class Assessment:
    """What the rules say of one finding."""

    recheck_on: date | None = None
    """When it is looked at again by default; None for what needs no second look."""
    prompts: tuple[Prompt, ...] = ()
    """What should not wait comes first."""
    present_days: int | None = None
    """How long it has been there, as said or as earlier visits show; None: nobody knows."""

    @property
    def asking(self) -> tuple[Prompt, ...]:
        """Prompts that want a decision with its reason."""
        return tuple(each for each in self.prompts if each.asks)

    @property
    def at_once(self) -> bool:
        return any(each.urgency == "at once" for each in self.prompts)


@dataclass(frozen=True, slots=True)
class Case:
    """All that a rule may look at."""

    fields: FindingFields
    """As described today; what was not spoken of today, as it was described last."""
    station: Station | None
    present_days: int | None
    visits: int
    """At how many visits it was seen, today's included."""
    apart_days: int
    """Days from the first of them to today."""
    recalled: Mapping[str, date]
    """Fields that nobody spoke of today: they stand as described on that day."""

    @property
    def high_risk(self) -> bool:
        station = self.station
        return station is not None and (
            station.high_risk or self.fields.subsite in station.high_risk_subsites
        )


def needs_follow_up(fields: FindingFields) -> bool:
    """True for what is abnormal and still there: no recorded variant of normal."""
    return fields.normal_variant is None and fields.change != GONE and fields.count != 0


def assess(
    fields: FindingFields,
    earlier: Lesion | None,
    on: date,
    followup: FollowUp,
    protocol: Protocol,
) -> Assessment:
    """What the rules say of a finding seen on that day.

    `earlier` is what visits before that day recorded of it; `protocol` knows high-risk sites.
    """
    if not needs_follow_up(fields):
        return Assessment()
    case = case_of(fields, earlier, on, protocol)
    prompts = [prompt for rule in followup.rules for prompt in _prompt(rule, case)]
    order = ("at once", "evaluate", "note")
    return Assessment(
        recheck_on=on + timedelta(days=followup.settings.recheck_days),
        prompts=tuple(sorted(prompts, key=lambda each: order.index(each.urgency))),
        present_days=case.present_days,
    )


def case_of(fields: FindingFields, earlier: Lesion | None, on: date, protocol: Protocol) -> Case:
    """The finding with how long, and how often, it has been there."""
    before = [each for each in (earlier.seen if earlier else ()) if each.on < on]
    lasting = [] if fields.duration_days is None else [fields.duration_days]
    for each in before:
        said = each.fields.duration_days if each.fields else None
        lasting.append((on - each.on).days + (said or 0))
    whole, recalled = _recalling(fields, before)
    return Case(
        fields=whole,
        station=protocol.station(fields.region),
        present_days=max(lasting, default=None),
        visits=1 + len({each.on for each in before}),
        apart_days=(on - before[0].on).days if before else 0,
        recalled=recalled,
    )


def _recalling(
    fields: FindingFields, before: Sequence[Sighting]
) -> tuple[FindingFields, Mapping[str, date]]:
    """Today's description, with what only earlier ones tell, and the day of each such field."""
    found: dict[str, object] = {}
    days: dict[str, date] = {}
    for sighting in reversed(before):
        for name in RECALLED:
            value = _recalled(name, fields, sighting)
            if value and not getattr(fields, name) and name not in found:
                found[name], days[name] = value, sighting.on
    return fields.model_copy(update=found), days


def _recalled(name: str, fields: FindingFields, sighting: Sighting) -> object:
    value = getattr(sighting.fields, name)
    if name != "symptoms":
        return value
    return tuple(each for each in value if each not in fields.denied_symptoms)


def _prompt(rule: Rule, case: Case) -> Iterator[Prompt]:
    if not in_scope(rule, case):
        return
    because = list(_met(rule, case))
    if because or not rule.has_triggers:
        yield Prompt(
            rule=rule.value,
            text=rule.says,
            because=and_words(dict.fromkeys(because)),
            source=rule.source,
            urgency=rule.urgency,
        )


def in_scope(rule: Rule, case: Case) -> bool:
    """True if the rule looks at such a finding at all."""
    fields, station = case.fields, case.station
    coloured = bool(set(rule.colours) & set(fields.colours)) or fields.kind in rule.or_kinds
    return (
        (rule.zone is None or (station is not None and station.zone == rule.zone))
        and (not rule.regions or fields.region in rule.regions)
        and (not rule.subsites or fields.subsite in rule.subsites)
        and (not rule.kinds or fields.kind in rule.kinds)
        and (not rule.colours or coloured)
        and (not rule.symptoms or bool(set(rule.symptoms) & set(fields.symptoms)))
        and (not rule.high_risk_site or case.high_risk)
    )


def _met(rule: Rule, case: Case) -> Iterator[str]:
    """What meets the rule's triggers, in words."""
    days = case.present_days
    if days is not None and _longer(rule, days):
        yield f"present {duration_words(days)}"
    if days is None and rule.unknown_duration:
        yield "for how long is not known"
    if rule.visits and case.visits >= rule.visits and case.apart_days >= rule.apart_days:
        yield f"seen at {case.visits} visits, {case.apart_days} days apart"
    longest = max(case.fields.size_mm, default=0.0)
    if rule.over_mm is not None and longest > rule.over_mm:
        yield f"{number(longest)} mm"
    for name, values in rule.features.items():
        told = f" (on {case.recalled[name]})" if name in case.recalled else ""
        yield from (f"{each}{told}" for each in _values(case.fields, name) if each in values)


def _longer(rule: Rule, days: int) -> bool:
    over = rule.over_days is not None and days > rule.over_days
    return over or (rule.from_days is not None and days >= rule.from_days)


def _values(fields: FindingFields, name: str) -> tuple[str, ...]:
    value = getattr(fields, name)
    return value if isinstance(value, tuple) else tuple(filter(None, [value]))


def size_term_notice(fields: FindingFields, followup: FollowUp) -> str | None:
    """That a term and a size disagree, citing the rule; None when they agree, or none is bound."""
    longest = max(fields.size_mm, default=None)
    if longest is None:
        return None
    for term in followup.size_terms:
        if term.kind != fields.kind:
            continue
        if term.at_most_mm is not None and longest > term.at_most_mm:
            return _disagree(
                term.kind, longest, f"at most {number(term.at_most_mm)} mm", term.source
            )
        if term.at_least_mm is not None and longest < term.at_least_mm:
            return _disagree(
                term.kind, longest, f"at least {number(term.at_least_mm)} mm", term.source
            )
    return None


def _disagree(kind: str, longest: float, bound: str, source: str) -> str:
    return (
        f"Term and size disagree: {kind}, {number(longest)} mm; the term means {bound} ({source})."
    )
