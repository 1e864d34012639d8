"""The lesions of one patient, folded from all the patient's visits."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from dictate.exam.decisions import Decision
from dictate.exam.lesions import Lesion, Plan, Sighting
from dictate.exam.visit_order import Late, in_order
from dictate.exam.visits import Answered, Decided, Seen, Visit


@dataclass
class _Thread:
    """A lesion in the making."""

    recorded: datetime
    place: int
    sightings: list[Sighting] = field(default_factory=list)
    plans: list[Plan] = field(default_factory=list)


def lesions(visits: Iterable[Visit]) -> tuple[Lesion, ...]:
    """All lesions, open and resolved, by number. The visits are those of one patient.

    Numbers follow the order in which findings became final, so that a later visit or
    amendment never changes one; a clock that was set back between visits does not either.
    """
    ordered, late = in_order(visits)
    threads: dict[str, _Thread] = {}
    for visit in ordered:
        for place, seen in enumerate(visit.seen):
            _follow(threads, visit, seen, place, late[visit.session].time)
        _mention(threads, visit)
    days = {visit.session: visit.on for visit in ordered}
    for visit in ordered:
        for answer in visit.answers:
            _answer(threads, answer, visit.session, days)
    return tuple(
        _lesion(name, number, thread, ordered[0].patient, late)
        for number, (name, thread) in enumerate(_numbered(threads), start=1)
        if any(each.fields for each in thread.sightings)
    )


def _numbered(threads: Mapping[str, _Thread]) -> list[tuple[str, _Thread]]:
    return sorted(threads.items(), key=lambda each: (each[1].recorded, each[0], each[1].place))


def _follow(
    threads: dict[str, _Thread], visit: Visit, seen: Seen, place: int, late: timedelta
) -> None:
    name = seen.lesion or f"{visit.session}/{seen.finding}"
    thread = threads.setdefault(name, _Thread(seen.recorded + late, place))
    if seen.struck:
        return
    thread.sightings.append(
        Sighting(
            session=visit.session,
            on=visit.on,
            what=seen.what,
            finding=seen.finding,
            fields=seen.fields,
        )
    )
    if seen.decided is not None:
        thread.plans.append(_plan(visit.session, seen.decided, seen.finding))


def _mention(threads: dict[str, _Thread], visit: Visit) -> None:
    """What a visit says of lesions that it does not describe."""
    for name in visit.resolved:
        if name in threads:
            gone = Sighting(session=visit.session, on=visit.on, what="resolved")
            threads[name].sightings.append(gone)
    for name in visit.left:
        if name in threads:
            left = Sighting(session=visit.session, on=visit.on, what="not looked at")
            threads[name].sightings.append(left)
    for name, decided in visit.decisions:
        if name in threads:
            threads[name].plans.append(_plan(visit.session, decided, None))


def _plan(session: str, decided: Decided, finding: str | None) -> Plan:
    return Plan(
        decision=decided.decision,
        on=decided.on,
        by=decided.by,
        session=session,
        finding=finding,
    )


def _answer(
    threads: dict[str, _Thread], answered: Answered, session: str, days: Mapping[str, date]
) -> None:
    """The answer settles every referral of visits up to its day, those of its own visit only where
    it came after them; it may set a day to look again."""
    answer = answered.given
    thread = threads.get(answer.lesion)
    if thread is None:
        return
    told = {"answer": answer.answer, "answered_on": answer.on}
    thread.plans = [
        each.model_copy(update=told)
        if each.awaited
        and days[each.session] <= answer.on
        and (answered.own or each.session != session)
        else each
        for each in thread.plans
    ]
    if answer.recheck is not None:
        decision = Decision(decision="recheck", due=answer.recheck, reason=answer.answer)
        decided = Decided(decision=decision, by=answered.by, on=answer.on)
        thread.plans.append(_plan(session, decided, None))


def _lesion(
    name: str, number: int, thread: _Thread, patient: str | None, late: Mapping[str, Late]
) -> Lesion:
    sightings = sorted(thread.sightings, key=lambda each: each.on + late[each.session].days)
    lesion = Lesion(id=name, number=number, patient=patient, sightings=tuple(sightings))
    plans = sorted(thread.plans, key=lambda each: lesion.since(each) + late[each.session].days)
    return lesion.model_copy(update={"plans": tuple(plans)})
