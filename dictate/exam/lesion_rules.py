"""What the commands about earlier lesions do."""

from __future__ import annotations

from dictate.errors import ExamError
from dictate.exam import commands as cmd
from dictate.exam import events as ev
from dictate.exam.assessing import alarm
from dictate.exam.doubts import gaps, merged
from dictate.exam.editing import said_fields
from dictate.exam.finding import Doubt, Finding, FindingFields
from dictate.exam.lesions import Lesion, lesion_words
from dictate.exam.readback import finding_words, size_words
from dictate.exam.situation import Result, Situation, target
from dictate.exam.trend import size_change

CARRIED = ("region", "subsite", "side", "node_level", "kind", "count", "distribution")
"""Fields that a lesion keeps from visit to visit; the rest is described anew."""
NOT_KEPT = ("duration_days", "change", "denied_symptoms")
"""Fields that were true on their day only, also of a lesion that looks the same."""
DIRECTIONS = {"shrinking": "smaller", "growing": "larger", "stable": "unchanged"}
SPOKEN = "said by voice"


def known_lesion(name: str, now: Situation) -> Lesion:
    """The open lesion of that id or label. Raises ExamError when there is none."""
    following = now.state.following
    lesion = following.lesion(name)
    if lesion is None:
        known = ", ".join(each.label for each in following.lesions) or "none"
        raise ExamError(f"There is no open lesion {name}; open are: {known}.")
    return lesion


def follow(command: cmd.FollowLesion, now: Situation) -> Result:
    """A finding of today for the lesion, and the link between them."""
    lesion = known_lesion(command.lesion, now)
    _not_yet_described(lesion, now)
    fields = _fields_today(command, lesion)
    finding = Finding(
        **fields.model_dump(),
        id=now.next_finding,
        needs_review=merged(
            (*command.needs_review, *_misfits(fields, lesion)),
            gaps(fields, now.state.protocol),
        ),
        alternatives=command.alternatives,
        confidence=command.confidence,
        said=command.said,
        utterances=(now.utterance,) if now.utterance else (),
    )
    link = ev.LesionFollowed(
        lesion=lesion.id, finding=finding.id, what=command.what, doubt=command.doubt
    )
    told = f"{lesion.label}: {finding_words(finding)} {alarm(now.state, finding)}"
    return Result((ev.FindingAdded(finding=finding), link), told.strip())


def _fields_today(command: cmd.FollowLesion, lesion: Lesion) -> FindingFields:
    """Last time's description as far as it still holds, and what was said today."""
    before = lesion.fields.model_dump()
    if command.what == "same":
        kept = {name: value for name, value in before.items() if name not in NOT_KEPT}
        kept["change"] = "stable"
    else:
        kept = {name: before[name] for name in CARRIED}
    return FindingFields.model_validate({**kept, **said_fields(command.fields)})


def _misfits(fields: FindingFields, lesion: Lesion) -> tuple[Doubt, ...]:
    """Doubts where today's words do not fit what the lesion was."""
    found = []
    change = size_change(lesion.fields.size_mm, fields.size_mm)
    said = DIRECTIONS.get(fields.change or "")
    if change is not None and said is not None and said != change.direction:
        why = (
            f"said to be {said}, but {size_words(change.after)} is {change.direction}: "
            f"it was {size_words(change.before)} on {lesion.latest.on}"
        )
        found.append(Doubt(field="size_mm", why=why))
    if lesion.clash is not None:
        name, why = lesion.clash
        found.append(Doubt(field=name, why=why))
    for name in ("region", "subsite", "side"):
        old, new = getattr(lesion.fields, name), getattr(fields, name)
        if old != new:
            why = f"{lesion.label} was recorded there as {old or 'nothing'} on {lesion.latest.on}"
            found.append(Doubt(field=name, why=why))
    return tuple(found)


def link_finding(command: cmd.LinkFinding, now: Situation) -> Result:
    """The finding is that lesion."""
    finding, lesion = target(command.finding, now), known_lesion(command.lesion, now)
    other = now.state.following.lesion_of(finding.id)
    if other is not None:
        raise ExamError(f"{finding.id} is {other.label} already; say it is another one first.")
    _not_yet_described(lesion, now)
    body = ev.LesionFollowed(lesion=lesion.id, finding=finding.id, what="linked")
    return Result((body,), f"{finding.id} is {lesion_words(lesion)}")


def tell_apart(command: cmd.TellApart, now: Situation) -> Result:
    """The finding is another lesion."""
    finding, lesion = target(command.finding, now), known_lesion(command.lesion, now)
    body = ev.LesionToldApart(lesion=lesion.id, finding=finding.id)
    return Result((body,), f"{finding.id} is not {lesion.label}")


def resolve(command: cmd.ResolveLesion, now: Situation) -> Result:
    """The lesion is gone; spoken, it is read back before signing."""
    lesion = known_lesion(command.lesion, now)
    _not_yet_described(lesion, now)
    doubt = command.doubt or (SPOKEN if now.by_voice else None)
    body = ev.LesionResolved(lesion=lesion.id, doubt=doubt)
    return Result((body,), f"Resolved: {lesion_words(lesion)}")


def leave(command: cmd.LeaveLesion, now: Situation) -> Result:
    """The lesion was not looked at today."""
    lesion = known_lesion(command.lesion, now)
    _not_yet_described(lesion, now)
    body = ev.LesionLeft(lesion=lesion.id, reason=command.reason)
    return Result((body,), f"Not looked at today: {lesion_words(lesion)}")


def _not_yet_described(lesion: Lesion, now: Situation) -> None:
    name = now.state.following.finding_of(lesion.id)
    if name is not None:
        raise ExamError(
            f"{lesion.label} was recorded today as {name}; change or delete that finding."
        )
