from __future__ import annotations

import pytest

from dictate.exam.commands import AddFinding, GoTo, MarkRegion, RegionState
from dictate.exam.coverage import RegionCoverage
from dictate.exam.finding import FindingFields
from tests.exam_samples import Chair


@pytest.fixture
def chair() -> Chair:
    return Chair()


def at(chair: Chair, region: str) -> RegionCoverage:
    return next(each for each in chair.session.coverage if each.region == region)


def mark(chair: Chair, region: str, state: RegionState, side: str | None = None) -> None:
    chair.key(MarkRegion(region=region, state=state, side=side))


def test_a_silent_region_is_not_normal(chair: Chair) -> None:
    # "Every region ends as normal, variant, finding or not examined with a reason": common
    # practice, no source.
    assert {each.status for each in chair.session.coverage} == {"not examined"}
    assert not any(each.is_normal for each in chair.session.coverage)


def test_normal_on_both_sides(chair: Chair) -> None:
    mark(chair, "tongue", "normal")
    assert at(chair, "tongue").status == "normal"
    assert chair.session.current_region == "tongue"


def test_normal_on_one_side_leaves_the_other_open(chair: Chair) -> None:
    mark(chair, "buccal mucosa", "normal", "right")
    region = at(chair, "buccal mucosa")
    assert (region.status, region.is_normal, region.unmentioned) == ("partly", False, "left")
    mark(chair, "buccal mucosa", "normal", "left")
    region = at(chair, "buccal mucosa")
    assert (region.status, region.unmentioned) == ("normal", None)


def test_a_region_without_sides_is_whole_whatever_side_was_said(chair: Chair) -> None:
    mark(chair, "hard palate", "normal", "midline")
    assert at(chair, "hard palate").status == "normal"


def test_inspected_and_palpated_are_told_apart(chair: Chair) -> None:
    mark(chair, "face", "inspected")
    region = at(chair, "face")
    assert (len(region.inspected), len(region.palpated), region.status) == (2, 0, "examined")
    mark(chair, "face", "palpated", "left")
    assert at(chair, "face").palpated == {"left"}


def test_a_finding_outweighs_normal(chair: Chair) -> None:
    mark(chair, "tongue", "normal")
    chair.plaque()
    region = at(chair, "tongue")
    assert (region.status, region.is_normal) == ("findings", False)
    assert region.contradicting == ("f1",)


def test_normal_of_the_other_side_is_no_contradiction(chair: Chair) -> None:
    mark(chair, "tongue", "normal", "right")
    chair.plaque(side="left")
    region = at(chair, "tongue")
    assert (region.contradicting, region.unmentioned) == ((), None)


def test_a_normal_variant_leaves_the_region_normal(chair: Chair) -> None:
    mark(chair, "buccal mucosa", "normal")
    fields = FindingFields(region="buccal mucosa", side="bilateral", normal_variant="linea alba")
    chair.key(AddFinding(fields=fields))
    region = at(chair, "buccal mucosa")
    assert (region.status, region.findings, region.abnormal) == ("normal", ("f1",), ())


def test_not_examined_and_examined_take_each_other_back(chair: Chair) -> None:
    chair.key(MarkRegion(region="tongue", state="not_examined", reason="gag reflex"))
    region = at(chair, "tongue")
    assert (region.status, region.acknowledged, region.reason) == (
        "not examined",
        True,
        "gag reflex",
    )
    mark(chair, "tongue", "palpated")
    region = at(chair, "tongue")
    assert (region.status, region.reason, region.acknowledged) == ("examined", None, False)
    chair.key(MarkRegion(region="tongue", state="not_examined"))
    assert at(chair, "tongue").status == "not examined"


def test_not_examined_on_one_side_only(chair: Chair) -> None:
    mark(chair, "buccal mucosa", "normal", "left")
    mark(chair, "buccal mucosa", "not_examined", "right")
    region = at(chair, "buccal mucosa")
    assert (region.status, region.left_out, region.is_normal) == ("partly", {"right"}, False)
    assert region.unmentioned is None


def test_the_later_statement_counts_side_by_side(chair: Chair) -> None:
    mark(chair, "tongue", "normal")
    mark(chair, "tongue", "not_examined", "right")
    region = at(chair, "tongue")
    assert (region.normal, region.left_out, region.status) == ({"left"}, {"right"}, "partly")
    mark(chair, "tongue", "not_examined")
    mark(chair, "tongue", "normal", "right")
    region = at(chair, "tongue")
    assert (region.normal, region.left_out) == ({"right"}, {"left"})
    mark(chair, "tongue", "normal", "bilateral")
    assert at(chair, "tongue").status == "normal"


def test_a_region_left_with_one_side_only_is_pointed_out() -> None:
    """Both halves are compared (common practice, no source)."""
    made = Chair()
    made.key(GoTo(region="buccal mucosa"))
    made.plaque(region="buccal mucosa", subsite=None, side="right")
    told = made.key(GoTo(region="tongue")).message
    assert told == "tongue. Of the buccal mucosa only the right side was mentioned, not the left."
    made.key(GoTo(region="buccal mucosa"))
    made.key(MarkRegion(region="buccal mucosa", state="normal", side="left"))
    assert made.key(GoTo(region="tongue")).message == "tongue"
    assert made.key(GoTo(region="hard palate")).message == "hard palate", "nothing said: no side"
