"""A record's findings seen through its own follow-up rules."""

from __future__ import annotations

from dictate.exam.finding import Finding
from dictate.exam.followup import Assessment, assess
from dictate.exam.state import State
from dictate.vocabulary.followup import FollowUp


def assessment(state: State, finding: Finding) -> Assessment:
    """What the record's own rules say of a finding of today."""
    return assess(
        finding,
        state.following.lesion_of(finding.id),
        state.on,
        state.followup or FollowUp(),
        state.protocol,
    )


def undecided(state: State, finding: Finding, found: Assessment) -> bool:
    """True if the clinician still has to decide, or to confirm what was spoken."""
    if found.recheck_on is None:
        return False
    made = state.following.decisions.get(finding.id)
    if made is None or made.doubt:
        return True
    return not {each.rule for each in found.asking} <= set(made.decision.prompts)


def alarm(state: State, finding: Finding) -> str:
    """What of a finding should not wait, told when it is recorded; "" where nothing is."""
    if state.followup is None:
        return ""
    found = assessment(state, finding).prompts
    return " ".join(f"{each.text} ({each.because})." for each in found if each.urgency == "at once")
