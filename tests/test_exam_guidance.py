"""The next step in words; an order that can be left, trimmed and returned to."""

from __future__ import annotations

from pathlib import Path

import pytest

from dictate.errors import ExamError
from dictate.exam.commands import Acknowledge, AddFinding, GoTo, MarkRegion, NextRegion, StartReview
from dictate.exam.finding import FindingFields
from dictate.exam.guidance import next_step
from dictate.exam.protocol import Protocol
from dictate.vocabulary.loader import load
from dictate.vocabulary.schema import Lexicon
from tests.exam_samples import Chair
from tests.visit_samples import chair

LEXICON = load()


@pytest.fixture
def trimmed(tmp_path: Path) -> Lexicon:
    path = tmp_path / "clinic.toml"
    path.write_text('[protocol]\norder = ["tongue", "lips", "hard palate"]\n', "utf-8")
    return load((path,))


def normal(made: Chair, *regions: str, side: str | None = None) -> None:
    for region in regions:
        made.key(MarkRegion(region=region, state="normal", side=side))


def step(made: Chair) -> str | None:
    return next_step(made.session, LEXICON).region


def test_it_begins_with_the_first_region_and_says_what_to_do() -> None:
    made = chair(protocol=Protocol.of(LEXICON))
    first = next_step(made.session, LEXICON)
    assert (first.region, first.place, first.count) == ("face", 1, len(LEXICON.protocol))
    made.key(GoTo(region="floor of mouth"))
    here = next_step(made.session, LEXICON)
    assert here.bimanual, "one finger inside against one outside: NIDCR, step II (6)"
    assert here.high_risk
    assert here.words.startswith("floor of mouth. look: ")
    assert "feel with both hands: " in here.words
    assert "healthy: " in here.words
    assert here.words.endswith("high-risk site")
    assert here.left_behind[0] == "face"


def test_it_stays_until_both_sides_are_done() -> None:
    made = chair()
    normal(made, "face", side="left")
    half = next_step(made.session, LEXICON)
    assert (half.region, half.missing_side) == ("face", "right")
    assert "face, right side" in half.words
    normal(made, "face", side="right")
    assert step(made) == "buccal mucosa"


def test_the_order_can_be_left_and_is_returned_to() -> None:
    made = chair()
    made.key(GoTo(region="tongue"))
    normal(made, "tongue", "hard palate")
    assert step(made) == "face", "what was left behind comes up at the end"
    made.key(NextRegion())
    assert made.session.current_region == "face"
    normal(made, "face")
    made.key(NextRegion())
    assert made.session.current_region == "buccal mucosa"
    normal(made, "buccal mucosa")
    end = next_step(made.session, LEXICON)
    assert end.region is None
    assert end.words.startswith("Every region has been dealt with")


def test_next_region_passes_over_what_is_done() -> None:
    made = chair()
    normal(made, "buccal mucosa")
    made.key(GoTo(region="face"))
    made.key(NextRegion())
    assert made.session.current_region == "tongue"


def test_the_end_shows_what_was_not_examined() -> None:
    made = chair()
    normal(made, "face", "buccal mucosa", "tongue")
    made.key(Acknowledge(regions=("hard palate",), reason="gag reflex"))
    end = next_step(made.session, LEXICON)
    assert end.region is None
    assert end.not_examined == ("hard palate",)
    assert "Not examined: hard palate" in end.words


def test_a_trimmed_protocol_asks_only_for_its_regions(trimmed: Lexicon) -> None:
    protocol = Protocol.of(trimmed)
    assert protocol.order == ("tongue", "lips", "hard palate")
    made = chair(protocol=protocol)
    assert [each.region for each in made.session.coverage] == ["tongue", "lips", "hard palate"]
    made.key(StartReview())
    review = made.session.review
    assert review is not None
    assert [each.region for each in review.open] == ["tongue", "lips", "hard palate"]
    assert next_step(made.session, trimmed).count == 3


def test_a_finding_in_a_trimmed_region_is_recorded_all_the_same(trimmed: Lexicon) -> None:
    made = chair(protocol=Protocol.of(trimmed))
    fields = FindingFields(region="floor of mouth", side="left", kind="ulcer")
    made.key(AddFinding(fields=fields))
    assert made.session.findings[0].needs_review == ()
    assert [each.region for each in made.session.coverage][-1] == "floor of mouth"
    assert made.session.coverage[-1].status == "findings"
    assert next_step(made.session, trimmed).region == "tongue"
    made.key(NextRegion())
    assert made.session.current_region == "tongue"
    made.key(GoTo(region="face"))
    assert next_step(made.session, trimmed).place == 0
    with pytest.raises(ExamError, match="No region is called elbow"):
        made.key(GoTo(region="elbow"))


def test_a_side_left_out_of_a_paired_region_is_pointed_out() -> None:
    made = chair()
    made.plaque()
    normal(made, "face", "buccal mucosa", side="right")
    normal(made, "hard palate")
    made.key(StartReview())
    review = made.session.review
    assert review is not None
    assert set(review.notices) == {
        "Of the tongue only the left side was mentioned, not the right.",
        "Of the face only the right side was mentioned, not the left.",
        "Of the buccal mucosa only the right side was mentioned, not the left.",
    }
