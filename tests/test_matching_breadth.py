"""Many ways to say it: what a clinician means by sentences that read wrongly once.

The sentences are our own, in the wording of the trade; what they mean is common practice.
"""

from __future__ import annotations

from typing import Any

import pytest

from dictate.exam import commands as cmd
from tests.matching_helpers import AFTER_ULCER, doubted, found, marks, read

Fields = dict[str, Any]

BUCCAL_L: Fields = {"region": "buccal mucosa", "side": "left"}
BUCCAL_R: Fields = {"region": "buccal mucosa", "side": "right"}
NODES_L: Fields = {"region": "lymph nodes", "side": "left", "kind": "lymph node"}

PLAIN: list[tuple[str, list[Fields]]] = [
    (
        "level four, left, two nodes, the larger one centimetre",
        [NODES_L | {"node_level": "IV", "count": 2, "size_mm": [10.0]}],
    ),
    (
        "lump in the right cheek and a smaller one in the left cheek",
        [BUCCAL_R | {"kind": "lump"}, BUCCAL_L | {"kind": "lump"}],
    ),
    (
        "two papules, one on the left upper lip three millimetres, "
        "one on the right upper lip four millimetres",
        [
            {"region": "lips", "subsite": "upper lip", "side": side}
            | {"kind": "papule", "size_mm": [mm]}
            for side, mm in (("left", 3.0), ("right", 4.0))
        ],
    ),
    (
        "mass of the right tonsil extending to the soft palate and tongue base, four centimetres",
        [
            {"region": "oropharynx", "subsite": "tonsil", "side": "right"}
            | {"kind": "mass", "size_mm": [40.0]}
        ],
    ),
    (
        "scalloped lateral borders of the tongue, bilateral",
        [
            {"region": "tongue", "subsite": "lateral border", "side": "bilateral"}
            | {"normal_variant": "crenated tongue"}
        ],
    ),
    (
        "foliate papillae prominent on both sides",
        [
            {"region": "tongue", "subsite": "posterior lateral border", "side": "bilateral"}
            | {"normal_variant": "foliate papillae"}
        ],
    ),
    (
        "ulcer left edge of tongue, raised edges",
        [
            {"region": "tongue", "subsite": "lateral border", "side": "left"}
            | {"kind": "ulcer", "borders": ["raised"]}
        ],
    ),
    (
        "a node in the left neck, level 2, about 2 centimetres",
        [NODES_L | {"node_level": "II", "size_mm": [20.0]}],
    ),
    (
        "bilateral white patches on the buccal mucosa, 10 mm on the right and 15 mm on the left",
        [
            BUCCAL_R | {"kind": "patch", "colours": ["white"], "size_mm": [10.0]},
            BUCCAL_L | {"kind": "patch", "colours": ["white"], "size_mm": [15.0]},
        ],
    ),
    (
        "ulcers on both sides of the tongue, left five millimetres, right seven millimetres",
        [
            {"region": "tongue", "side": "left", "kind": "ulcer", "size_mm": [5.0]},
            {"region": "tongue", "side": "right", "kind": "ulcer", "size_mm": [7.0]},
        ],
    ),
    (
        "gingival swelling upper right between canine and first premolar, five millimetres",
        [
            {"region": "gingiva", "subsite": "maxillary", "side": "right"}
            | {"kind": "swelling", "size_mm": [5.0]}
        ],
    ),
    (
        "right border of tongue, posterior third, exophytic mass three centimetres",
        [
            {"region": "tongue", "subsite": "posterior lateral border", "side": "right"}
            | {"kind": "mass", "surface": ["exophytic"], "size_mm": [30.0]}
        ],
    ),
    (
        "right hand border of the tongue, six millimetre ulcer",
        [
            {"region": "tongue", "subsite": "lateral border", "side": "right"}
            | {"kind": "ulcer", "size_mm": [6.0]}
        ],
    ),
    (
        "red patch in the left half of the soft palate",
        [{"region": "soft palate", "side": "left", "kind": "patch", "colours": ["red"]}],
    ),
    (
        "a pair of papules on the lower lip, left",
        [{"region": "lips", "subsite": "lower lip", "side": "left", "kind": "papule", "count": 2}],
    ),
]
"""Read as meant, with nothing to ask."""

ASKED: list[tuple[str, list[Fields], set[str]]] = [
    (
        "skin lesion right cheek, crusted, eight millimetres",
        [BUCCAL_R | {"kind": "lesion", "surface": ["crusted"], "size_mm": [8.0]}],
        {"region"},
    ),
    (
        "lesion on the outside of the left cheek, four millimetres",
        [BUCCAL_L | {"kind": "lesion", "size_mm": [4.0]}],
        {"region"},
    ),
    (
        "mucocele left lower lip inside, six millimetres",
        [
            {"region": "lips", "subsite": "lower lip", "side": "left"}
            | {"kind": "mucocele", "size_mm": [6.0]}
        ],
        {"region"},
    ),
    (
        "white patch on both lips",
        [{"region": "lips", "side": "bilateral", "kind": "patch", "colours": ["white"]}],
        {"side"},
    ),
    (
        "ulcer at the incisive papilla",
        [{"kind": "ulcer"}],
        {"region", "side"},
    ),
    (
        "half a dozen vesicles on the right palate, hard",
        [
            {"region": "hard palate", "side": "right", "kind": "vesicle", "count": 6}
            | {"consistency": ["hard"]}
        ],
        {"region"},
    ),
    (
        "level two and three nodes on the right",
        [
            {"region": "lymph nodes", "side": "right", "node_level": "II"}
            | {"kind": "lymph node", "count": 3}
        ],
        {"count", "node_level"},
    ),
    (
        "soft palate, right of the uvula, red patch five millimetres",
        [
            {"region": "soft palate", "side": "right"}
            | {"kind": "patch", "colours": ["red"], "size_mm": [5.0]}
        ],
        {"subsite"},
    ),
    (
        "both parotids enlarged, soft, non tender",
        [
            {"region": "parotid gland", "side": "bilateral"}
            | {"consistency": ["soft"], "tender": False}
        ],
        {"kind"},
    ),
    (
        "ulcer on the left side of the tongue and one on the right side",
        [
            {"region": "tongue", "side": "left", "kind": "ulcer"},
            {"region": "tongue", "side": "right", "kind": "ulcer"},
        ],
        set(),
    ),
    (
        "nodes at levels two and three on the left, each one centimetre",
        [
            {"region": "lymph nodes", "kind": "lymph node", "node_level": "II"}
            | {"size_mm": [10.0]},
            NODES_L | {"node_level": "III", "size_mm": [10.0]},
        ],
        {"side"},
    ),
]
"""Read as well as can be, and asked about."""

MARKED: list[tuple[str, list[tuple[str, str, str | None]]]] = [
    (
        "hard and soft palate normal",
        [("hard palate", "normal", None), ("soft palate", "normal", None)],
    ),
    (
        "soft and hard palate are unremarkable",
        [("soft palate", "normal", None), ("hard palate", "normal", None)],
    ),
    ("no obvious lesion of the lips", [("lips", "inspected", None)]),
    ("could not see the oropharynx, strong gag", [("oropharynx", "not_examined", None)]),
    ("neck not examined, patient wearing a collar", [("neck", "not_examined", None)]),
    ("mark the tongue as normal", [("tongue", "normal", None)]),
    ("the rest of the tongue is normal", [("tongue", "inspected", None)]),
]

TALK = [
    "my dog had a lump on his neck",
    "I had a cold sore on my lip last year",
    "patients with ulcers should come back",
    "a lump like that would be removed",
    "this is the submandibular gland",
    "these are the tonsils",
    "twenty a day",
    "all other areas are normal",
    "on my left, white patch of the cheek",
    "next Tuesday",
    "it's on the left of the drawer",
    "the red one please",
]


@pytest.mark.parametrize(("text", "meant"), PLAIN)
def test_what_is_plainly_said_is_read_and_not_asked(text: str, meant: list[Fields]) -> None:
    reading = read(text)
    assert found(reading) == meant
    assert doubted(reading) == [set()] * len(meant)


@pytest.mark.parametrize(("text", "meant", "asked"), ASKED)
def test_what_the_words_leave_open_is_asked(
    text: str, meant: list[Fields], asked: set[str]
) -> None:
    reading = read(text)
    assert found(reading) == meant
    assert asked in doubted(reading)


@pytest.mark.parametrize(("text", "meant"), MARKED)
def test_regions_are_marked_as_said(text: str, meant: list[tuple[str, str, str | None]]) -> None:
    assert marks(read(text)) == meant


@pytest.mark.parametrize("text", TALK)
def test_talk_with_words_of_the_trade_does_nothing(text: str) -> None:
    for reading in (read(text), read(text, AFTER_ULCER)):
        assert reading.kind == "ignored"
        assert reading.commands == ()


COMMANDS: list[tuple[str, cmd.Command]] = [
    ("undo the last finding", cmd.Undo()),
    ("no, undo that", cmd.Undo()),
    ("oops undo", cmd.Undo()),
    ("redo it", cmd.Redo()),
    ("please delete that one", cmd.DeleteFinding(target="last")),
    ("delete that last finding", cmd.DeleteFinding(target="last")),
    ("delete finding one", cmd.DeleteFinding(target="f1")),
    ("let's go to the lips", cmd.GoTo(region="lips")),
    ("back to the lips", cmd.GoTo(region="lips")),
    ("take me to the thyroid", cmd.GoTo(region="thyroid gland")),
    ("let's do the tongue now", cmd.GoTo(region="tongue")),
    ("one region back", cmd.PreviousRegion()),
    ("go on to the next region", cmd.NextRegion()),
    ("pause the recording", cmd.Pause()),
    ("carry on listening", cmd.Resume()),
    ("let's review", cmd.StartReview()),
    ("read back the last finding", cmd.Repeat()),
    ("end exam", cmd.Save()),
    ("save the session", cmd.Save()),
    ("skip this question", cmd.Skip()),
]

CORRECTIONS: list[tuple[str, str, Any]] = [
    ("the side should be right", "side", "right"),
    ("size should be ten millimetres", "size_mm", [10.0]),
    ("site should be the floor of the mouth", "region", "floor of mouth"),
    ("correct the level to three", "node_level", "III"),
    ("change the level to two a", "node_level", "IIA"),
    ("no, I said fifteen millimetres", "size_mm", [15.0]),
]


@pytest.mark.parametrize(("text", "command"), COMMANDS)
def test_commands_are_obeyed_in_other_words(text: str, command: cmd.Command) -> None:
    assert read(text, AFTER_ULCER).commands == (command,)


@pytest.mark.parametrize(("text", "field", "value"), CORRECTIONS)
def test_corrections_in_other_words(text: str, field: str, value: Any) -> None:
    (command,) = read(text, AFTER_ULCER).commands
    assert isinstance(command, cmd.ChangeField)
    assert (command.field, command.value) == (field, value)


def test_another_side_said_of_the_finding_before_is_asked() -> None:
    (command,) = read("it's on the right, not the left", AFTER_ULCER).commands
    assert isinstance(command, cmd.AddDetail)
    assert command.fields.side == "right"
    assert [doubt.field for doubt in command.needs_review] == ["side"]


def test_one_thing_is_no_size() -> None:
    for text in ("the left one", "the red one", "ulcer, left tongue, the one on the side"):
        for command in read(text, AFTER_ULCER).commands:
            assert isinstance(command, cmd.AddDetail | cmd.AddFinding)
            assert command.fields.size_mm == ()


def test_nothing_new_is_not_new() -> None:
    (command,) = read("nothing new", AFTER_ULCER).commands
    assert isinstance(command, cmd.AddDetail)
    assert command.fields.change == "stable"
