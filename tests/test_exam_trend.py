"""Size over time: figures checked against published tables of tumour measurement."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dictate.exam.trend import change_words, plot, size_change, sparkline

SIZES = st.lists(st.floats(0.5, 100).map(lambda x: round(x, 1)), min_size=1, max_size=3).map(tuple)


@pytest.mark.parametrize(
    ("diameter", "product"),
    [
        # Therasse et al., J Natl Cancer Inst 2000;92:205-216, appendix II (from memory): what a
        # change of the diameter means for the product of two, for a sphere.
        (-30, -51),
        (-50, -75),
        (12, 25),
        (20, 44),
        (25, 56),
        (30, 69),
    ],
)
def test_diameter_and_product_as_published(diameter: int, product: int) -> None:
    now = 20 * (1 + diameter / 100)
    change = size_change((20.0, 20.0), (now, now))
    assert change is not None
    assert round(change.longest_percent) == diameter
    assert round(change.product_percent or 0) == product


def test_two_dimensions_are_compared_by_their_product() -> None:
    """WHO Handbook 1979 (Miller et al., Cancer 1981;47:207-214): product of two diameters."""
    change = size_change((10.0, 6.0), (6.0, 4.0))
    assert change is not None
    assert (change.longest_mm, change.longest_percent) == (-4.0, -40.0)
    assert change.product_percent == -60.0
    assert change_words(change) == "smaller: longest -4 mm (-40%), product -60%"


def test_a_dimension_that_was_not_measured_is_not_made_up() -> None:
    change = size_change((10.0,), (12.0, 8.0))
    assert change is not None
    assert change.product_percent is None
    assert change.longest_mm == 2.0
    assert size_change((), (4.0,)) is None
    assert size_change((4.0,), ()) is None


def test_the_order_spoken_does_not_matter() -> None:
    assert size_change((6.0, 10.0), (4.0, 6.0)) is not None
    one, two = size_change((6.0, 10.0), (4.0, 6.0)), size_change((10.0, 6.0), (6.0, 4.0))
    assert one is not None
    assert two is not None
    assert (one.longest_mm, one.product_percent) == (two.longest_mm, two.product_percent)


def test_longer_and_yet_smaller_is_told_by_the_product() -> None:
    change = size_change((10.0, 10.0), (11.0, 5.0))
    assert change is not None
    assert change.direction == "smaller"
    assert change_words(change) == "smaller: longest +1 mm (+10%), product -45%"


def test_no_change() -> None:
    change = size_change((10.0, 6.0), (10.0, 6.0))
    assert change is not None
    assert change.direction == "unchanged"
    assert change_words(change) == "unchanged in size"


@given(SIZES, SIZES)
def test_there_and_back_cancel(before: tuple[float, ...], after: tuple[float, ...]) -> None:
    there, back = size_change(before, after), size_change(after, before)
    assert there is not None
    assert back is not None
    assert there.longest_mm == -back.longest_mm
    if max(before) == max(after):
        assert there.longest_mm == 0


def test_a_plot_is_true_to_scale_and_says_the_figures() -> None:
    days = [date(2031, 3, 4), date(2031, 3, 18), date(2031, 4, 1)]
    lines = plot(zip(days, [(10.0, 6.0), (5.0,), (10.0, 6.0)], strict=True), width=20)
    bars = [line[12:32] for line in lines]
    assert [bar.count("█") for bar in bars] == [20, 10, 20]
    assert lines[0] == f"2031-03-04  {'█' * 20}  10 by 6 mm"
    assert "5 mm  smaller: longest -5 mm (-50%)" in lines[1]
    assert len({line.index("mm") for line in lines}) <= 2
    assert plot([]) == ()


def test_a_sparkline_has_a_sign_a_size() -> None:
    assert sparkline([(10.0,), (5.0, 2.0), (1.0,)]) == "█▄▁"
    assert sparkline([]) == ""
