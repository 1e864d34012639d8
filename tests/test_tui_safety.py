"""Nothing that is said or typed can act on the terminal or break the screen."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rich.cells import cell_len
from textual.content import Content

from dictate.exam.commands import AddFinding, MarkRegion
from dictate.exam.finding import Alternative, Doubt, FindingFields
from dictate.speech.heard import Partial
from dictate.tui.columns import GAP, lay_out
from dictate.tui.plain import visible
from tests.tui_samples import LARGE, SMALL, Scene, running

NASTY = [
    "[unk] ulcer [/foo] [b]bold[/b] [@click=app.exit]leave[/]",
    "\x1b[2J\x1b]0;owned\x07\x9b31m\x00\r\b",
    "left \u202eright\u202c \u2066x\u2069 \u200f\u061c",
    "שלום עליכם مرحبا",
    "👩‍⚕️ 👍🏽 🇩🇪 ❤️ ﷽",
    "zalgo" + "\u0301" * 40,
    "line one\nline two\u2028three\ttab",
    "$primary {{x}} %s \\[ \\",
    "\ud800 lone",
]
TOGETHER = [" ".join(NASTY), NASTY[3], NASTY[4]]
"""All at once, and alone those whose width in cells is hard to tell."""


@pytest.mark.parametrize("size", [SMALL, LARGE])
async def test_nasty_text_is_shown_everywhere_and_breaks_nothing(size: tuple[int, int]) -> None:
    async with running(size) as scene:
        for text in TOGETHER:
            scene.listening.report(Partial(text, 0.0))
            await scene.settle()
            check_lines(scene, size)
            scene.app.desk.do(doubtful(text))
            scene.app.desk.do(MarkRegion(region="neck", state="not_examined", reason=text))
            await scene.say(f"nothing of the trade {text}")
            for keys in (["e", "enter"], ["escape", "escape", "s"], ["escape"]):
                await scene.press(*keys)
                check_lines(scene, size)
        await scene.press("v")
        for _ in TOGETHER:
            check_lines(scene, size)
            await scene.press("c")
            check_lines(scene, size)
            await scene.press("escape", "y", "y")


def doubtful(text: str) -> AddFinding:
    """A finding that holds the text wherever a text can stand."""
    return AddFinding(
        fields=FindingFields(region="tongue", side="left", kind=text, note=text, colours=(text,)),
        needs_review=(Doubt(field="kind", why=text),),
        alternatives=(Alternative(field="kind", value=text, score=50.0),),
        said=text,
    )


def check_lines(scene: Scene, size: tuple[int, int]) -> None:
    """Every line of the screen fills its width exactly and holds nothing that acts."""
    strips = scene.app.screen._compositor.render_strips()
    for strip in strips:
        assert cell_len(strip.text) == size[0]
        assert not [c for c in strip.text if unicodedata.category(c) in ("Cc", "Cf", "Cs")]


async def test_nasty_text_can_be_typed() -> None:
    async with running() as scene:
        await scene.press("t")
        for text in NASTY:
            await scene.write(text)
            await scene.press("enter")
            check_lines(scene, SMALL)


async def test_markup_in_a_note_stays_as_it_was_written() -> None:
    async with running(LARGE) as scene:
        note = "seen [again] by [b]two[/b]"
        scene.app.desk.do(AddFinding(fields=FindingFields(region="face", note=note)))
        await scene.settle()
        assert note in scene.words()
        assert scene.session.findings[0].note == note


def test_control_characters_become_visible() -> None:
    assert visible("a\x1b[31mb\x07\x7f") == "a␛[31mb␇␡"
    assert visible("a\u202eb") == "a⟨202E⟩b"
    assert visible("a\nb\tc") == "a⏎b c"
    assert visible("abcdef", 4) == "abc…"


@given(st.text(max_size=80))
@settings(max_examples=200)
def test_what_is_visible_never_acts_on_a_terminal(text: str) -> None:
    shown = visible(text)
    assert not [c for c in shown if unicodedata.category(c) in ("Cc", "Cf", "Cs", "Co", "Cn", "Zl")]
    assert visible(shown) == shown


@given(st.text(alphabet=st.characters(codec="ascii", categories=("L", "N", "P", "Zs"))))
@settings(max_examples=60)
def test_ordinary_text_is_left_alone(text: str) -> None:
    assert visible(text) == text


words = st.text(alphabet="abcäß漢字 ×?-", max_size=60)


@given(st.lists(words, min_size=3, max_size=3))
@settings(max_examples=100)
def test_table_rows_keep_their_columns_and_lose_no_character(cells: list[str]) -> None:
    widths = (6, 11, 17)
    row = lay_out([Content(cell) for cell in cells], widths)
    lines = row.plain.split("\n")
    assert {cell_len(line) for line in lines} == {sum(widths) + 2 * GAP}
    kept = "".join(row.plain.split())
    for cell in cells:
        assert set("".join(cell.split())) <= set(kept)
    assert len(kept) == len("".join("".join(cells).split()))
