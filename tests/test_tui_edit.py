"""Every field is edited by keyboard, checked before it counts."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from textual.widgets import Input, OptionList

from dictate.exam.commands import AddFinding
from dictate.exam.finding import Alternative, Doubt, FieldValue, FindingFields
from dictate.tui.choices import choices, shape
from dictate.tui.screens.finding import FindingDialog
from dictate.tui.values import UnreadableError, read_count, read_days, read_size, show
from dictate.tui.widgets.field_list import FieldList
from dictate.tui.wording import LABELS
from tests.tui_samples import LARGE, LEXICON, PLAQUE, Scene, running

VALUES: dict[str, tuple[str, FieldValue]] = {
    "region": ("buccal", "buccal mucosa"),
    "side": ("right", "right"),
    "count": ("3", 3),
    "size_mm": ("1.2 x 0.8 cm", [12.0, 8.0]),
    "tender": ("yes", True),
    "wipes_off": ("no", False),
    "duration_days": ("2 weeks", 14),
    "note": ("seen [again] by the nurse", "seen [again] by the nurse"),
}
"""What is typed for a field, and the value it must have then; the others take their first word."""


async def choose_field(scene: Scene, field: str) -> None:
    fields = scene.app.screen.query_one(FieldList)
    fields.focus()
    fields.highlighted = list(LABELS).index(field)
    await scene.press("enter")


async def test_every_field_can_be_set_and_emptied_by_keyboard() -> None:
    async with running(listening=False) as scene:
        await scene.type_line(PLAQUE)
        await scene.press("e")
        for field in LABELS:
            typed, wanted = entry(scene, field)
            await choose_field(scene, field)
            await scene.write(typed)
            await scene.press("enter")
            if shape(field) == "many":
                await scene.press("ctrl+s")
            value = getattr(scene.session.findings[0], field)
            assert (list(value) if isinstance(value, tuple) else value) == wanted, field
            assert isinstance(scene.app.screen, FindingDialog), field
        for field in ("note", "symptoms", "duration_days", "tender", "size_mm", "count", "side"):
            await choose_field(scene, field)
            await unsay(scene)
            assert getattr(scene.session.findings[0], field) in (None, ()), field


def entry(scene: Scene, field: str) -> tuple[str, FieldValue]:
    """What is typed for the field, and what it must hold then."""
    if field in VALUES:
        return VALUES[field]
    finding = scene.session.findings[0]
    before = getattr(finding, field)
    if shape(field) == "many":
        new = next(each for each in choices(field, finding, LEXICON) if each.value not in before)
        return str(new.value), [*before, str(new.value)]
    first = choices(field, finding, LEXICON)[0]
    return str(first.value), first.value


async def unsay(scene: Scene) -> None:
    """Choose "not said" in the open dialog."""
    dialog = scene.app.screen
    field = dialog.query_one(Input)
    field.clear()
    await scene.settle()
    options = dialog.query_one(OptionList)
    shown = [str(options.get_option_at_index(i).prompt) for i in range(options.option_count)]
    options.highlighted = next(i for i, text in enumerate(shown) if "not said" in text)
    await scene.press("enter")


async def test_a_doubted_field_offers_what_else_was_heard_and_keeping_it() -> None:
    async with running(LARGE) as scene:
        scene.app.desk.do(
            AddFinding(
                fields=FindingFields(region="tongue", side="left", kind="ulcer", size_mm=(15.0,)),
                needs_review=(Doubt(field="size_mm", why="fifteen and fifty sound alike"),),
                alternatives=(Alternative(field="size_mm", value=[50.0], score=80.0),),
            )
        )
        await scene.settle()
        assert "15 mm ?" in scene.shown()
        await scene.press("e")
        await choose_field(scene, "size_mm")
        text = scene.words()
        assert "fifteen and fifty sound alike" in text
        assert "keep 15 mm" in text
        assert "also heard as 50 mm" in text
        await scene.press("down", "enter")
        finding = scene.session.findings[0]
        assert finding.size_mm == (15.0,)
        assert not finding.doubted()
        await scene.press("u")
        assert scene.session.findings[0].doubted() == {"size_mm"}
        await choose_field(scene, "size_mm")
        await scene.press("down", "down", "enter")
        assert scene.session.findings[0].size_mm == (50.0,)


async def test_k_keeps_a_doubted_field_as_it_was_heard() -> None:
    async with running() as scene:
        doubt = Doubt(field="side", why="said once")
        fields = FindingFields(region="tongue", side="left", kind="ulcer")
        scene.app.desk.do(AddFinding(fields=fields, needs_review=(doubt,)))
        await scene.press("e", "k")
        assert not scene.session.findings[0].doubted()


async def test_an_impossible_size_is_refused_with_a_reason() -> None:
    async with running(listening=False) as scene:
        await scene.type_line(PLAQUE)
        await scene.press("e")
        await choose_field(scene, "size_mm")
        for typed in ("ten", "10 x", "600 mm", "0", "1 x 2 x 3 x 4", "5 km"):
            scene.app.screen.query_one(Input).value = typed
            await scene.settle()
            assert "✕" in scene.shown(), typed
            await scene.press("enter")
            assert scene.session.findings[0].size_mm == (10.0, 6.0), typed


async def test_a_wide_screen_changes_fields_in_place() -> None:
    async with running(LARGE, listening=False) as scene:
        await scene.type_line(PLAQUE)
        await choose_field(scene, "side")
        await scene.write("right")
        await scene.press("enter")
        assert scene.session.findings[0].side == "right"
        assert "FINDING f1" in scene.shown()


# SI: a centimetre is ten millimetres. A week has 7 days; the contract counts a month as 30.
@pytest.mark.parametrize(
    ("text", "millimetres"),
    [
        ("4", [4.0]),
        ("4mm", [4.0]),
        ("10 x 6", [10.0, 6.0]),
        ("10 by 6 by 2 mm", [10.0, 6.0, 2.0]),
        ("6×10", [6.0, 10.0]),
        ("1.5 cm", [15.0]),
        ("1,5 cm", [15.0]),
        ("1 x 0.5 cm", [10.0, 5.0]),
        ("1 cm x 5 mm", [10.0, 5.0]),
    ],
)
def test_sizes_as_people_write_them(text: str, millimetres: list[float]) -> None:
    assert read_size(text) == millimetres


@pytest.mark.parametrize(
    ("text", "days"),
    [
        ("10 d", 10),
        ("1 day", 1),
        ("3 weeks", 21),
        ("2w", 14),
        ("1 fortnight", 14),
        ("2 months", 60),
    ],
)
def test_durations_as_people_write_them(text: str, days: int) -> None:
    assert read_days(text) == days


sizes = st.lists(st.decimals(min_value="0.1", max_value="500", places=1), min_size=1, max_size=3)


@given(sizes)
@settings(max_examples=60)
def test_a_size_that_is_shown_reads_back_as_itself(millimetres: list[object]) -> None:
    values = [float(str(each)) for each in millimetres]
    assert read_size(show("size_mm", values)) == values


@given(st.integers(min_value=0, max_value=36_500))
@settings(max_examples=60)
def test_a_duration_that_is_shown_reads_back_as_itself(days: int) -> None:
    assert read_days(show("duration_days", days)) == days


@given(st.text(max_size=40))
@settings(max_examples=100)
def test_no_typed_text_breaks_a_reader(text: str) -> None:
    for reader in (read_size, read_days, read_count):
        try:
            value = reader(text)
        except UnreadableError:
            continue
        assert value != []
