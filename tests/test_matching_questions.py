"""Questions that protect nobody are not asked; the dangerous neighbour of each still is.

Common practice, no source.
"""

from __future__ import annotations

import pytest

from dictate.exam.commands import AddDetail, AddFinding, ChangeField, GoTo, MarkRegion
from dictate.exam.events import NOTHING_SAID
from dictate.exam.finding import FindingFields
from dictate.matching.reading import Context
from dictate.speech.heard import Utterance
from tests.matching_helpers import AFTER_ULCER, MATCHER, NOWHERE, found, heard, marks, read

GONE_TO = Context(region="soft palate", gone_to=True)
MENTIONED = Context(region="soft palate")
AFTER_PLAQUE = Context(
    region="buccal mucosa",
    side="left",
    last=FindingFields(region="buccal mucosa", side="left", kind="plaque"),
)


def asked(text: str, context: Context) -> set[str]:
    """Fields in doubt of all findings and details, and "mark" for a doubted statement."""
    names: set[str] = set()
    for command in read(text, context).commands:
        if isinstance(command, AddFinding | AddDetail):
            names |= {doubt.field for doubt in command.needs_review}
        elif isinstance(command, MarkRegion) and command.doubt:
            names.add("mark")
    return names


SETTLED = [
    # A region that was gone to is meant by what names none.
    ("ulcer on the left, five millimetres", GONE_TO, "region"),
    ("normal", GONE_TO, "mark"),
    ("left side normal", GONE_TO, "mark"),
    # "Same site", "same side", and the opposite of the side in hand, say it.
    ("same site, red patch, seven millimetres", AFTER_ULCER, "side"),
    ("same side, floor of mouth, red patch", AFTER_ULCER, "side"),
    ("normal on the right", AFTER_ULCER, "mark"),
    ("other side clear", AFTER_PLAQUE, "mark"),
    # Another one on a named side: all but the side is the same.
    ("another on the right, nine millimetres", AFTER_ULCER, "region"),
    ("lower lip, left papule two millimetres, right papule three millimetres", NOWHERE, "region"),
    # Variants of a whole region, and single parts, have no side.
    ("geographic tongue", NOWHERE, "side"),
    ("stippled gingiva", NOWHERE, "side"),
    ("tip of the tongue, papilloma, two millimetres", NOWHERE, "side"),
    ("posterior pharyngeal wall, ulcer, four millimetres", NOWHERE, "side"),
    # Names that fix their region, and parts that only one region has.
    ("torus palatinus and bilateral mandibular tori", NOWHERE, "side"),
    ("torus palatinus and bilateral mandibular tori", NOWHERE, "region"),
    ("gingival recession, lower left, three millimetres", NOWHERE, "region"),
    ("ulcer, lateral border, left", NOWHERE, "region"),
    # No centimetres in the mouth are so large.
    ("white plaque, left buccal mucosa, twelve by eight", NOWHERE, "size_mm"),
    # Words around a finding are understood, and doubt nothing beside them.
    ("location, left lateral tongue, type, ulcer, size, six by four millimetres", NOWHERE, "side"),
    ("biting trauma, left buccal mucosa, ulcer", NOWHERE, "side"),
]
STILL_ASKED = [
    ("ulcer on the left, five millimetres", MENTIONED, "region"),
    ("ulcer on the left of the bible, five millimetres", GONE_TO, "region"),
    ("normal", MENTIONED, "mark"),
    ("ulcer, five millimetres", GONE_TO, "side"),
    ("another one, three millimetres", AFTER_ULCER, "side"),
    ("another one, three millimetres", AFTER_ULCER, "region"),
    ("another one on the other side, three millimetres", AFTER_ULCER, "side"),
    ("varicosities, ventral tongue", NOWHERE, "side"),
    ("cheek biting, buccal mucosa", NOWHERE, "side"),
    ("dorsum of the tongue, papule, two millimetres", NOWHERE, "side"),
    ("foliate papillae", NOWHERE, "side"),
    ("torus, both sides", NOWHERE, "region"),
    ("swelling, lower left, three millimetres", NOWHERE, "region"),
    ("ulcer, lateral, left", NOWHERE, "region"),
    ("white plaque, left buccal mucosa, six by four", NOWHERE, "size_mm"),
    ("mass, left neck, twelve by eight", NOWHERE, "size_mm"),
    ("plaque crossing the midline of the hard palate", NOWHERE, "side"),
    ("ulcer near the midline, hard palate", NOWHERE, "side"),
    ("left neck mass, level two, four centimetres", NOWHERE, "region"),
    ("ulcer between the lower lip and the gum, midline", NOWHERE, "region"),
    ("stone in the right submandibular duct", NOWHERE, "subsite"),
    ("i think it is the left parotid, lump", NOWHERE, "region"),
    ("looks like a mucocele, lower lip, left", NOWHERE, "kind"),
    ("lower lip, left, firm, looks like a fibroma", NOWHERE, "kind"),
    ("a sore on the lower lip, right", NOWHERE, "kind"),
    ("roof of the mouth, anterior, left, ulcer", NOWHERE, "region"),
    ("for thirty years", AFTER_ULCER, "duration_days"),
    ("papule, left cheek, three millimetres", Context(region="face", gone_to=True), "region"),
]


@pytest.mark.parametrize(("text", "context", "name"), SETTLED)
def test_what_is_settled_is_not_asked(text: str, context: Context, name: str) -> None:
    assert read(text, context).commands
    assert name not in asked(text, context)


@pytest.mark.parametrize(("text", "context", "name"), STILL_ASKED)
def test_the_dangerous_neighbour_is_asked(text: str, context: Context, name: str) -> None:
    assert name in asked(text, context)


CORRECTED = [
    ("ulcer, left lateral tongue, sorry, right lateral tongue", "side", "right"),
    ("plaque right, no left, buccal mucosa", "side", "left"),
    ("ulcer on the hard palate, sorry, soft palate, on the left", "region", "soft palate"),
    ("ulcer, eight, no, nine millimetres, right floor of mouth", "size_mm", [9.0]),
    ("level two, correction, level three, left node", "node_level", "III"),
    ("nodule, make that papule, right upper lip", "kind", "papule"),
]


@pytest.mark.parametrize(("text", "name", "value"), CORRECTED)
def test_a_self_correction_counts_and_only_what_it_changed_is_asked(
    text: str, name: str, value: object
) -> None:
    (finding,) = found(read(text))
    assert finding[name] == value
    assert asked(text, NOWHERE) == {name}


def test_an_unresolved_repair_leaves_all_in_doubt() -> None:
    assert {"region", "side", "size_mm"} <= asked(
        "ulcer left tongue six millimetres sorry", NOWHERE
    )


NOT_SAID_OF_THE_FINDING = [
    "soft food for three days",
    "that was left over from yesterday",
    "the white one, not the red one",
    "the kids have had sore throats all week",
    "that's perfectly normal",
    "there's a white car blocking the entrance",
]


@pytest.mark.parametrize("text", NOT_SAID_OF_THE_FINDING)
def test_talk_adds_nothing_to_the_finding_in_hand(text: str) -> None:
    assert read(text, AFTER_ULCER).kind == "ignored"


def test_what_only_a_lesion_can_be_is_of_the_finding_before_and_asked() -> None:
    elsewhere = Context(region="hard palate", last=AFTER_ULCER.last)
    (detail,) = read("mobile", elsewhere).commands
    assert isinstance(detail, AddDetail)
    assert {doubt.field for doubt in detail.needs_review} == {"mobility"}


HEALTHY = [
    ("tongue, left border normal", [("tongue", "inspected", "left")]),
    ("tongue colour normal", [("tongue", "inspected", None)]),
    ("level two on the right is clear", [("lymph nodes", "inspected", "right")]),
    ("right submandibular node not palpable", [("lymph nodes", "inspected", "right")]),
    ("no submandibular nodes on the left", [("lymph nodes", "palpated", "left")]),
    ("incisive papilla normal", [("hard palate", "inspected", None)]),
    ("upper and lower lips normal", [("lips", "normal", None)]),
    ("upper lip normal", [("lips", "inspected", None)]),
    ("nothing on the hard palate", [("hard palate", "normal", None)]),
    ("tongue's fine", [("tongue", "normal", None)]),
    ("fine", []),
]


@pytest.mark.parametrize(("text", "meant"), HEALTHY)
def test_health_is_taken_for_what_it_was_said_of(
    text: str, meant: list[tuple[str, str, str | None]]
) -> None:
    assert marks(read(text, AFTER_ULCER if text == "fine" else NOWHERE)) == meant


def test_each_side_keeps_its_own_words() -> None:
    reading = read("ulcer on the right of the tongue, left normal")
    assert [each["side"] for each in found(reading)] == ["right"]
    assert marks(reading) == [("tongue", "normal", "left")]


def test_a_badly_heard_number_of_a_deletion_is_asked_back() -> None:
    said = "delete finding two"
    assert MATCHER.read(heard(said), AFTER_ULCER).commands
    weak = MATCHER.read(heard(said, weak={"two": 0.5}), AFTER_ULCER)
    other = MATCHER.read(heard(said, "delete finding ten"), AFTER_ULCER)
    assert not weak.commands
    assert not other.commands


def test_a_short_um_says_nothing_and_a_long_one_may_hide_words() -> None:
    hypotheses = heard("um").hypotheses
    short, long = (Utterance(hypotheses, 0.0, end, 0.97) for end in (0.6, 5.0))
    assert MATCHER.read(short, AFTER_ULCER).why == NOTHING_SAID
    assert MATCHER.read(long, AFTER_ULCER).why != NOTHING_SAID


def test_a_region_that_was_not_heard_well_is_gone_to_in_doubt() -> None:
    (sure,) = MATCHER.read(heard("go to the soft palate"), NOWHERE).commands
    (weak,) = MATCHER.read(heard("go to the soft palate", weak={"soft": 0.5}), NOWHERE).commands
    assert isinstance(sure, GoTo)
    assert isinstance(weak, GoTo)
    assert not sure.doubted
    assert weak.doubted


def test_a_region_heard_without_the_vocabulary_is_asked_where_none_was_said() -> None:
    said = heard("ulcer on the left five millimetres", free="ulcer hard palate on the left five")
    (finding,) = MATCHER.read(said, GONE_TO).commands
    assert isinstance(finding, AddFinding)
    assert "region" in {doubt.field for doubt in finding.needs_review}


def test_an_edge_said_alone_may_be_of_the_region_or_of_the_lesion() -> None:
    """After "ulcer" a "left edge" may tell where it lies, or which side of it is meant."""
    after = Context(
        region="tongue",
        side="left",
        last=FindingFields(region="tongue", side="left", kind="ulcer", size_mm=(4.0,)),
    )
    assert asked("left edge", after) >= {"region", "subsite"}
    assert not asked("left lateral border", after)


BESIDE = "white plaque left buccal mucosa {} six millimetres"


def doubted_fields(utterance: Utterance) -> set[str]:
    (finding,) = MATCHER.read(utterance, NOWHERE).commands
    assert isinstance(finding, AddFinding)
    return {doubt.field for doubt in finding.needs_review}


@pytest.mark.parametrize("word", ["always", "occupies", "toothpaste", "worried"])
def test_an_everyday_word_surely_heard_beside_a_place_or_figure_is_not_asked(word: str) -> None:
    text = BESIDE.format(word)
    assert not doubted_fields(heard(text, free=text)) & {"size_mm", "subsite"}


@pytest.mark.parametrize("word", ["rim", "wisdom", "previously", "weight"])
def test_a_word_that_may_name_a_part_or_another_time_is_asked(word: str) -> None:
    text = BESIDE.format(word)
    assert "size_mm" in doubted_fields(heard(text, free=text))


def test_an_everyday_word_that_may_be_a_mishearing_is_asked() -> None:
    text = BESIDE.format("always")
    assert "size_mm" in doubted_fields(heard(text, free=text, weak={"always": 0.8}))
    assert "size_mm" in doubted_fields(heard(text, free=BESIDE.format("anterior")))


@pytest.mark.parametrize(
    ("text", "in_doubt"),
    [
        ("make it eight by four millimetres", False),
        ("change that to the right buccal mucosa", False),
        ("change that to the right buccal mucosa, ten millimetres", True),
        ("set to the skin it feels this lump eighteen mils parotid left one", True),
    ],
)
def test_a_correction_that_changes_much_at_once_is_asked(text: str, in_doubt: bool) -> None:
    """It may be another lesion: a sentence that began with a misheard word did this."""
    changes = read(text, AFTER_PLAQUE).commands
    assert changes
    for change in changes:
        assert isinstance(change, ChangeField)
        assert bool(change.doubt) is in_doubt
