"""Findings on the drawings: every place has one, right is right, and what is open looks open."""

from __future__ import annotations

from itertools import combinations
from math import hypot

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dictate.errors import VocabularyError
from dictate.exam.finding import FindingFields
from dictate.exam.protocol import Protocol
from dictate.export.chart import Chart
from dictate.export.diagram.path import Stroke, folded, mirrored, parse
from dictate.export.diagram.places import Spot, spots
from dictate.export.diagram.spread import spread
from dictate.export.diagram.views import views
from dictate.export.pdf.atlas import ROWS, placed
from dictate.vocabulary.loader import load
from dictate.vocabulary.schema import Slot
from tests.export_samples import chair

LEXICON = load()
PROTOCOL = Protocol.of(LEXICON)
SITES = [
    (region.value, part)
    for region in LEXICON.regions
    for part in (None, *(each.value for each in region.subsites))
]
FRONT = ("face front", "mouth", "palate", "floor", "tongue top")
"""Views in which the patient's right lies at the viewer's left."""


def at(region: str | None, subsite: str | None = None, side: str | None = None) -> tuple[Spot, ...]:
    fields = {"region": region, "subsite": subsite, "side": side}
    return spots(FindingFields.model_validate(fields), PROTOCOL)


@pytest.mark.parametrize(("region", "subsite"), SITES)
@pytest.mark.parametrize("side", ["left", "right", "midline", "bilateral", None])
def test_every_site_of_the_vocabulary_has_a_place_inside_its_drawing(
    region: str, subsite: str | None, side: str | None
) -> None:
    found = at(region, subsite, side)
    assert found
    for spot in found:
        view = views()[spot.view]
        assert 0 < spot.x < view.width
        assert 0 < spot.y < view.height


@pytest.mark.parametrize(("region", "subsite"), SITES)
def test_left_is_the_mirror_image_of_right_and_never_the_same_place(
    region: str, subsite: str | None
) -> None:
    for right, left in zip(at(region, subsite, "right"), at(region, subsite, "left"), strict=True):
        width = views()[right.view].width
        assert (left.x, left.y) == pytest.approx((width - right.x, right.y))
        if right.view in FRONT:
            assert left.view == right.view
            assert right.x < width / 2 < left.x
        else:
            assert (right.view, left.view) in (
                ("side right", "side left"),
                ("tongue right", "tongue left"),
            )


@pytest.mark.parametrize("name", FRONT)
def test_views_from_the_front_have_the_patients_right_at_the_left(name: str) -> None:
    assert views()[name].left == "patient's right"
    assert views()[name].right == "patient's left"


def test_views_of_a_side_are_mirror_images() -> None:
    for name in ("side", "tongue"):
        right, left = views()[f"{name} right"], views()[f"{name} left"]
        assert (right.left, right.right) == (left.right, left.left)
        assert left.shapes == tuple(
            (style, mirrored(path, right.width)) for style, path in right.shapes
        )


def test_both_sides_are_both_marked() -> None:
    assert at("tongue", "lateral border", "bilateral") == (
        *at("tongue", "lateral border", "right"),
        *at("tongue", "lateral border", "left"),
    )


def test_a_side_that_was_not_said_is_not_chosen() -> None:
    found = at("tongue", "lateral border")
    assert {each.view for each in found} == {"tongue right", "tongue left"}
    assert not any(each.sure for each in found)
    assert all(each.sure for each in at("soft palate", "uvula"))


@pytest.mark.parametrize(
    ("region", "subsite"), [("alveolar ridge", None), ("gingiva", "buccal"), ("lips", "vermilion")]
)
def test_a_jaw_or_lip_that_was_not_said_is_not_chosen(region: str, subsite: str | None) -> None:
    found = at(region, subsite, "left")
    assert len(found) == 2
    assert not any(each.sure for each in found)


@pytest.mark.parametrize("level", [each.value for each in LEXICON.terms[Slot.NODE_LEVEL]])
def test_every_level_of_the_neck_has_a_place_of_its_own(level: str) -> None:
    fields = FindingFields(region="lymph nodes", side="left", node_level=level)
    (found,) = spots(fields, PROTOCOL)
    assert found != at("lymph nodes", None, "left")[0]


def test_levels_lie_in_the_order_that_the_landmarks_give_them() -> None:
    # Robbins et al. 2002: II above the hyoid, III to the cricoid, IV below; V behind them.
    def place(level: str) -> Spot:
        fields = FindingFields(region="lymph nodes", side="right", node_level=level)
        return spots(fields, PROTOCOL)[0]

    assert place("II").y < place("III").y < place("IV").y
    assert place("VA").y < place("VB").y
    assert all(place("V").x < place(each).x for each in ("I", "II", "III", "IV"))


def test_a_part_that_the_drawings_do_not_know_is_marked_as_not_certain() -> None:
    (found,) = at("tongue", "a clinic's own part", "left")
    assert not found.sure


def test_a_finding_without_a_place_is_listed() -> None:
    seat = chair()
    seat.plaque()
    seat.plaque(region=None, subsite=None, side=None)
    marks, nowhere, _ = placed(Chart(seat.session))
    assert nowhere == (2,)
    assert [each.number for each in marks["tongue left"]] == [1]


def test_every_view_is_on_the_page() -> None:
    assert {name for row in ROWS for name, _ in row} == set(views())


@given(st.lists(st.tuples(st.floats(0, 100), st.floats(0, 100)), min_size=1, max_size=25))
@settings(max_examples=60, deadline=None)
def test_marks_do_not_cover_each_other_and_stay_on_the_drawing(
    anchors: list[tuple[float, float]],
) -> None:
    placed_at = spread(anchors, 13.0, 130.0, 130.0)
    for (ax, ay), (bx, by) in combinations(placed_at, 2):
        assert hypot(ax - bx, ay - by) > 11.0
    if len(anchors) > 1:
        assert all(0 <= x <= 130 and 0 <= y <= 130 for x, y in placed_at)


def test_twenty_five_at_one_spot_are_all_seen() -> None:
    placed_at = spread([(60.0, 60.0)] * 25, 13.0, 120.0, 120.0)
    assert min(hypot(a[0] - b[0], a[1] - b[1]) for a, b in combinations(placed_at, 2)) > 11.0


def test_a_mark_alone_stays_where_its_finding_is() -> None:
    assert spread([(20.0, 30.0)], 13.0, 100.0, 100.0)[0] == pytest.approx((20.0, 30.0), abs=0.1)


def test_half_an_outline_makes_a_whole_one() -> None:
    half = parse("M 5 0 C 3 0 0 2 0 5 L 5 10")
    assert folded(half, 10) == (
        *half,
        Stroke("L", ((10.0, 5.0),)),
        Stroke("C", ((10.0, 2.0), (7.0, 0.0), (5.0, 0.0))),
        Stroke("Z"),
    )


@pytest.mark.parametrize("text", ["M 1", "Q 1 2 3 4", "M a b", "C 1 2 3 4"])
def test_what_is_no_path_is_told(text: str) -> None:
    with pytest.raises(VocabularyError, match="no path"):
        parse(text)


def test_a_variant_of_a_whole_region_needs_no_side_to_be_sure() -> None:
    fields = FindingFields(region="tongue", subsite="dorsum", normal_variant="fissured tongue")
    right, left = spots(fields, PROTOCOL)
    assert right.x < left.x
    assert right.sure
    assert left.sure
