"""Readable at both sizes, in both looks, without colour."""

from __future__ import annotations

import re

import pytest
from textual.color import Color
from textual.filter import Monochrome

from dictate.exam.commands import AddFinding, MarkRegion
from dictate.exam.finding import Doubt, FindingFields
from dictate.tui.screens.reviewing import ANSWERS
from dictate.tui.theme import THEMES
from dictate.tui.wording import CAUTION, HEARD_MARKS, LISTENING_MARKS, REGION_MARKS, SHORT_CAUTION
from tests.tui_samples import LARGE, LEXICON, PLAQUE, SMALL, Scene, running

SCREENSHOT_DEFAULT = "#c5c8c6"
"""Colour that a screenshot gives to text without a colour; the terminal has its own."""
LONGEST_SITE = max(
    ((region.value, part.value) for region in LEXICON.regions for part in region.subsites),
    key=lambda pair: len(pair[0]) + len(pair[1]),
)


@pytest.mark.parametrize("size", [SMALL, LARGE])
async def test_side_site_and_size_are_never_cut_off(size: tuple[int, int]) -> None:
    region, subsite = LONGEST_SITE
    async with running(size) as scene:
        fields = FindingFields(
            region=region,
            subsite=subsite,
            side="bilateral",
            size_mm=(123.5, 104.5, 99.5),
            kind="plaque",
            colours=("white", "red"),
            note="a long note " * 8,
        )
        doubts = tuple(Doubt(field=name, why="check") for name in ("side", "subsite", "size_mm"))
        scene.app.desk.do(AddFinding(fields=fields, needs_review=doubts))
        await scene.settle()
        assert table_cell(scene, 1) == "BILATERAL ?"
        assert table_cell(scene, 2) == f"{subsite} ?, {region}"
        assert table_cell(scene, 3) == "123.5 × 104.5 × 99.5 mm ?"


def table_cell(scene: Scene, column: int) -> str:
    """The text of one column of the first finding, its lines joined."""
    from dictate.tui.columns import GAP
    from dictate.tui.widgets.findings_table import FindingsTable

    table = scene.app.screen.query_one(FindingsTable)
    widths = table.widths()
    start = sum(widths[:column]) + GAP * column
    row = str(table.rows.get_option_at_index(0).prompt)
    return " ".join(
        line[start : start + widths[column]].strip() for line in row.split("\n")
    ).strip()


async def test_a_small_screen_shows_regions_findings_words_and_keys_at_once() -> None:
    async with running(SMALL) as scene:
        await scene.say("go to the floor of the mouth", PLAQUE)
        lines = scene.shown().splitlines()
        text = scene.words()
        for wanted in ("LISTENING", "waiting", "TONGUE", "LOOK", "FEEL", "f1", "10 × 6 mm"):
            assert wanted in text
        assert SHORT_CAUTION in text
        assert "? Help" in lines[-1]
        assert "q Quit" in lines[-1]


async def test_a_large_screen_adds_all_regions_and_all_fields() -> None:
    async with running(LARGE) as scene:
        await scene.say(PLAQUE)
        text = scene.words()
        for region in LEXICON.protocol:
            assert region in text
        for label in ("Sub-site", "Consistency", "Wipes off", "Node level", "FINDING f1"):
            assert label in text
        assert CAUTION in text


async def test_the_layout_follows_the_terminal_when_it_is_resized() -> None:
    async with running(LARGE) as scene:
        await scene.say(PLAQUE)
        await scene.pilot.resize_terminal(80, 24)
        await scene.settle()
        assert "FINDING f1" not in scene.shown()
        assert "10 × 6 mm" in scene.shown()
        await scene.pilot.resize_terminal(160, 45)
        await scene.settle()
        assert "FINDING f1" in scene.shown()


async def test_high_risk_sites_are_marked_in_words() -> None:
    async with running() as scene:
        await scene.say("go to the floor of the mouth")
        assert "▲ HIGH-RISK SITE" in scene.words()


async def test_no_color_leaves_no_colour_and_every_state_in_words(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    async with running() as scene:
        assert any(isinstance(each, Monochrome) for each in scene.app._filters)
        await scene.say(PLAQUE, "buccal mucosa within normal limits", "lovely weather")
        scene.app.desk.do(MarkRegion(region="neck", state="not_examined"))
        await scene.settle()
        text = scene.words()
        for wanted in (
            "● LISTENING",
            "✓ 1 normal",
            "● 1 with findings",
            "✕ 1 not examined",
            "– aside",
        ):
            assert wanted in text
        colours = set(re.findall(r"#[0-9a-f]{6}", terminal_styles(scene))) - {SCREENSHOT_DEFAULT}
        assert colours
        for colour in colours:
            red, green, blue = Color.parse(colour).rgb
            assert red == green == blue, colour


def terminal_styles(scene: Scene) -> str:
    """The style rules of a screenshot that the terminal's own text uses."""
    svg = scene.app.export_screenshot()
    return "\n".join(re.findall(r"\.terminal-\d+-r\d+ \{[^}]*\}", svg))


def test_every_state_has_a_symbol_and_a_word_of_its_own() -> None:
    for marks in (REGION_MARKS, LISTENING_MARKS, HEARD_MARKS):
        shown = [(mark.symbol, mark.word) for mark in marks.values()]
        assert len(set(shown)) == len(shown)
        assert all(symbol.strip() and word.strip() for symbol, word in shown)


# WCAG 2.2, success criterion 1.4.6 (enhanced): contrast of text at least 7:1, with the relative
# luminance as that document defines it.
def luminance(colour: Color) -> float:
    def linear(value: int) -> float:
        share = value / 255
        return share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4

    red, green, blue = (linear(value) for value in colour.rgb)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: Color, other: Color) -> float:
    bright, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (bright + 0.05) / (dark + 0.05)


def test_the_contrast_formula_agrees_with_its_published_extremes() -> None:
    # WCAG 2.2: contrast ratios range from 1 to 21 (black on white).
    assert contrast(Color.parse("#000"), Color.parse("#fff")) == pytest.approx(21)
    assert contrast(Color.parse("#777"), Color.parse("#777")) == 1


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
@pytest.mark.parametrize(
    "role",
    ["foreground", "primary", "secondary", "accent", "success", "warning", "error", "muted"],
)
def test_text_stands_out_from_every_ground(theme: object, role: str) -> None:
    chosen = next(each for each in THEMES if each is theme)
    colours = {**chosen.variables, **{k: v for k, v in vars(chosen).items() if isinstance(v, str)}}
    grounds = [colours[name] for name in ("background", "surface", "panel")]
    grounds += [colours["block-cursor-background"], colours["block-cursor-blurred-background"]]
    for ground in grounds:
        assert contrast(Color.parse(colours[role]), Color.parse(ground)) >= 7, (role, ground)


async def test_both_looks_can_be_chosen() -> None:
    async with running() as scene:
        first = scene.app.theme
        await scene.press("f2")
        assert scene.app.theme != first
        await scene.press("f2")
        assert scene.app.theme == first


async def test_the_strip_of_regions_is_never_cut_off() -> None:
    async with running() as scene:
        desk = scene.app.desk
        order = scene.session.protocol.order
        for region, state in zip(
            order, ("inspected", "palpated", "normal", "not_examined"), strict=False
        ):
            desk.do(MarkRegion.model_validate({"region": region, "state": state}))
        desk.do(MarkRegion(region=order[5], state="normal", side="left"))
        desk.do(AddFinding(fields=FindingFields(region=order[6], side="left", kind="node")))
        await scene.settle()
        text = scene.words()
        for wanted in ("waiting", "looked at", "felt", "normal", "with findings", "not examined"):
            assert wanted in text
        strip = scene.shown().splitlines()[2]
        assert "next" not in strip or strip.rstrip().endswith("▸")


@pytest.mark.parametrize("kind", ANSWERS)
def test_the_answers_to_a_question_are_not_cut_off(kind: str) -> None:
    """They stand in the lower frame of the question: corners and gaps take six cells."""
    shown = "   ".join(f"{key}  {does}" for key, does in ANSWERS[kind])
    assert len(shown) <= SMALL[0] - 6
