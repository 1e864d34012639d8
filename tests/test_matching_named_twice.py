"""What is said twice over in one breath, and its dangerous neighbours.

Sentences and truths: common practice, no source.
"""

from __future__ import annotations

import pytest

from dictate.exam.commands import AddFinding, MarkRegion
from dictate.exam.finding import FindingFields
from dictate.matching.reading import Context
from tests.matching_helpers import asked, only, read


def test_a_mole_on_the_cheek_of_the_face_is_on_its_skin() -> None:
    fields = only("On the face, there is a mole on the right cheek, brown.").fields
    assert (fields.region, fields.subsite, fields.side) == ("face", "cheek skin", "right")


def test_a_patch_in_the_cheek_after_a_face_in_health_is_not() -> None:
    found = read("Face clear, white patch on the left cheek.").commands
    finding = next(each for each in found if isinstance(each, AddFinding))
    assert finding.fields.region == "buccal mucosa"


def test_the_exact_name_settles_the_loose_one() -> None:
    assert not asked(only("Roof of the mouth, hard palate, right side, swelling, 5 mm."))
    assert "region" in asked(only("Roof of the mouth, right side, swelling, 5 mm."))


def test_the_jaw_only_tells_where_a_node_is() -> None:
    command = only("A node at the angle of the jaw, jugulodigastric on the right, ten millimetres.")
    assert command.fields.region == "lymph nodes"
    assert (command.fields.subsite, command.fields.side) == ("jugulodigastric", "right")


def test_nodes_of_the_neck_are_lymph_nodes_and_a_mass_at_a_level_is_asked() -> None:
    assert not asked(only("Lymph nodes, right neck, matted, the largest thirty millimetres."))
    assert "region" in asked(only("Left neck mass, four centimetres, level two."))


def test_a_variant_names_the_lump_before_it() -> None:
    command = only("Both sides of the lower jaw on the inside, those bony bumps, mandibular tori.")
    assert command.fields.normal_variant == "torus mandibularis"
    assert (command.fields.kind, command.fields.side) == (None, "bilateral")


def test_a_level_said_again_after_a_correction_is_of_one_node() -> None:
    command = only("Left neck node, level two, sorry, right neck, level two, seventeen mil.")
    assert (command.fields.side, command.fields.node_level) == ("right", "II")
    assert "side" in asked(command)


def test_two_clicks_on_two_sides_are_two() -> None:
    found = read("Right TMJ clicking, left TMJ clicking.").commands
    assert [each.fields.side for each in found if isinstance(each, AddFinding)] == ["right", "left"]


@pytest.mark.parametrize(
    "text", ["Soft in the middle, five millimetres.", "Red in the middle, five millimetres."]
)
def test_the_middle_of_a_lesion_is_no_side(text: str) -> None:
    last = FindingFields(region="tongue", side="left", kind="nodule")
    found = read(text, Context(region="tongue", last=last)).commands
    assert all(getattr(each, "fields", FindingFields()).side is None for each in found)


def test_the_middle_third_is_a_part() -> None:
    fields = only("Ulcer in the middle third of the left cheek, 5 mm.").fields
    assert (fields.subsite, fields.side) == ("middle buccal mucosa", "left")


def test_left_or_right_is_a_question_but_for_what_is_not_there() -> None:
    assert "side" in asked(only("Ulcer left or right buccal mucosa, 5 mm."))
    (mark,) = read("No palpable nodes left or right.").commands
    assert isinstance(mark, MarkRegion)
    assert (mark.region, mark.side, mark.doubt) == ("lymph nodes", None, None)


def test_what_could_not_be_seen_was_left_out_and_what_was_looked_for_is_not_there() -> None:
    (left_out,) = read("Could not see the oropharynx.").commands
    (looked_at,) = read("Could not see any ulcer on the tongue.").commands
    assert isinstance(left_out, MarkRegion)
    assert isinstance(looked_at, MarkRegion)
    assert (left_out.state, looked_at.state) == ("not_examined", "inspected")


def test_the_part_in_hand_is_carried_and_asked() -> None:
    there = Context(region="tongue", subsite="dorsum", gone_to=True)
    (command,) = read("Red patch in the midline, 5 mm.", there).commands
    assert isinstance(command, AddFinding)
    assert command.fields.subsite == "dorsum"
    assert "subsite" in {each.field for each in command.needs_review}


def test_a_heading_of_places_is_of_the_sentence_after_it() -> None:
    fields = only("Level two A, left. Hard fixed node, twenty two millimetres.").fields
    assert (fields.node_level, fields.side, fields.size_mm) == ("IIA", "left", (22.0,))
    several = read("Level two, left. Level three node on the right, ten millimetres.").commands
    found = [each for each in several if isinstance(each, AddFinding)]
    assert [(each.fields.node_level, each.fields.side) for each in found] == [("III", "right")]


def test_a_level_after_no_takes_back_the_one_before_unless_a_node_is_denied() -> None:
    command = only("Level four, no level five, left, node, nine millimetres.")
    assert command.fields.node_level == "V"
    assert "node_level" in asked(command)


def test_the_last_word_of_two_names_may_stand_before_them() -> None:
    marks = read("Palate, hard and soft, nothing abnormal.").commands
    assert [(m.region, m.state, m.doubt) for m in marks if isinstance(m, MarkRegion)] == [
        ("hard palate", "normal", None),
        ("soft palate", "normal", None),
    ]


def test_two_statements_of_two_regions_are_both_kept() -> None:
    marks = read("Neck is normal, and there are no nodes to feel.").commands
    assert [m.region for m in marks if isinstance(m, MarkRegion)] == ["neck", "lymph nodes"]


def test_what_is_denied_goes_on_over_it() -> None:
    last = FindingFields(region="tongue", side="left", kind="patch")
    there = Context(region="tongue", last=last)
    (detail,) = read("She does not get any burning with it, or any pain.", there).commands
    assert not isinstance(detail, MarkRegion)
    assert detail.model_dump()["fields"]["denied_symptoms"] == ("burning", "pain")
    assert detail.model_dump()["fields"]["symptoms"] == ()


def test_nil_is_health_beside_a_place_and_a_denial_before_a_sign() -> None:
    (mark,) = read("Thyroid, nil.").commands
    assert isinstance(mark, MarkRegion)
    assert (mark.region, mark.state) == ("thyroid gland", "normal")
    fields = only("Ulcer on the left cheek, nil pain.").fields
    assert (fields.symptoms, fields.denied_symptoms) == ((), ("pain",))


def test_the_numbers_of_a_list_count_nothing() -> None:
    text = "One, scar on the left neck, four centimetres. Two, mole on the right chin."
    found = [each.fields for each in read(text).commands if isinstance(each, AddFinding)]
    assert [(each.kind, each.count, each.size_mm) for each in found] == [
        ("scar", 1, (40.0,)),
        ("naevus", 1, ()),
    ]


def test_good_is_health_only_where_it_ends_what_is_said_of_a_place() -> None:
    (mark,) = read("Lips, good.").commands
    assert isinstance(mark, MarkRegion)
    assert mark.state == "normal"
    bigger = "The right submandibular gland feels a good bit bigger than the left."
    assert not [m for m in read(bigger).commands if isinstance(m, MarkRegion)]


def test_the_place_of_an_operation_is_not_that_of_the_scar() -> None:
    command = only("Anterior neck midline, scar, sixty millimetres, old thyroid surgery.")
    assert (command.fields.region, command.fields.side) == ("neck", "midline")


def test_the_side_in_hand_is_taken_where_only_a_part_is_said_and_asked() -> None:
    there = Context(region="buccal mucosa", side="right", gone_to=True)
    (command,) = read("White plaque, posterior, 5 mm.", there).commands
    assert isinstance(command, AddFinding)
    assert command.fields.side == "right"
    assert "side" in asked(command)


def test_a_level_may_be_said_without_the_word_where_the_nodes_are_in_hand() -> None:
    nodes = Context(region="lymph nodes", gone_to=True)
    (command,) = read("Right two A, fifteen millimetres, firm.", nodes).commands
    assert isinstance(command, AddFinding)
    assert (command.fields.node_level, command.fields.side) == ("IIA", "right")
    elsewhere = read("Right two A, fifteen millimetres, firm.", Context(region="tongue")).commands
    assert not any(getattr(each, "fields", FindingFields()).node_level for each in elsewhere)


def test_a_socket_that_does_not_heal_is_named_by_that() -> None:
    fields = only("Lower left socket not healing, painful, three weeks.").fields
    assert (fields.kind, fields.subsite) == ("non-healing socket", "extraction socket")
    assert "kind" in asked(only("Left lateral border of the tongue not healing, painful."))


def test_a_lump_named_after_another_is_that_other() -> None:
    text = "Node, level four left, 13 mm, another below the ear, parotid tail, left, lump, 9 mm."
    found = [each.fields for each in read(text).commands if isinstance(each, AddFinding)]
    assert [(each.kind, each.region) for each in found] == [
        ("lymph node", "lymph nodes"),
        ("lump", "parotid gland"),
    ]


def test_a_part_said_of_a_joint_that_clicked_is_asked() -> None:
    click = FindingFields(region="temporomandibular joint", side="left", kind="click")
    there = Context(region="temporomandibular joint", last=click)
    (detail,) = read("Left masseter is tender.", there).commands
    assert "subsite" in {each["field"] for each in detail.model_dump()["needs_review"]}


def test_in_the_middle_of_a_left_cheek_is_left_and_asked() -> None:
    command = only("Ulcer in the middle of the left cheek, 5 mm.")
    assert command.fields.side == "left"
    assert "side" in asked(command)


def test_a_denial_ends_before_the_place_of_what_comes_next() -> None:
    found = read("Left side nodes not felt, right node one centimetre.").commands
    (node,) = [each.fields for each in found if isinstance(each, AddFinding)]
    assert (node.side, node.size_mm) == ("right", (10.0,))
