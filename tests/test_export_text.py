"""The chart note: nothing said is missing, a draft says so, nothing in it can act."""

from __future__ import annotations

import unicodedata
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from dictate.exam.readback import finding_words
from dictate.export.chart import Chart
from dictate.export.markdown import escaped, markdown
from dictate.export.plain import visible
from dictate.export.text import WIDTH, summary
from tests.export_samples import EXTRAS, amended, chair, dictated, signed


def flat(text: str) -> str:
    return " ".join(text.split())


def test_every_finding_stands_in_full_in_the_order_of_the_protocol() -> None:
    session = signed().session
    told = flat(summary(session))
    places = [told.index(flat(finding_words(each))) for each in session.findings]
    assert [session.findings[at].region for at in sorted(range(3), key=places.__getitem__)] == [
        "face",
        "tongue",
        "hard palate",
    ]


def test_a_draft_says_so_at_both_ends_and_lists_what_is_to_be_confirmed() -> None:
    told = summary(dictated().session)
    assert "DRAFT" in told.splitlines()[2]
    assert told.rstrip().splitlines()[-1].startswith("DRAFT")
    assert "TO CONFIRM: side (no side was said)" in told
    assert '"is the water warm enough"' in told


def test_a_signed_note_counts_what_was_put_aside_and_repeats_none_of_it() -> None:
    told = summary(signed().session)
    assert "DRAFT" not in told
    assert "1 utterance was put aside" in told
    assert "water" not in told
    assert "Confirmed and signed by A. Berg" in told


def test_silence_is_never_called_normal() -> None:
    told = summary(signed().session)
    assert "buccal mucosa               normal" in told
    assert "lips                        not examined" in told
    assert "oropharynx                  not examined: gag reflex" in told
    assert "tongue                      finding 2; right side not mentioned" in told


def test_what_is_known_beyond_the_session_is_told() -> None:
    told = flat(summary(signed().session, EXTRAS))
    for words in (
        "Alva Nyström-O'Brien",
        "tobacco 20 a day for 30 years",
        "White patch of the tongue, first seen 2031-01-10: larger",
        "2031-01-10 6 by 4 mm; 2031-02-02 8 by 5 mm; 2031-03-04 10 by 6 mm",
        "Since 2031-01-10: larger: longest +4 mm (+67%), product +150%.",
        "DO NOT WAIT: Finding 2: indurated (ADA 2017)",
        "Finding 2: refer to oral medicine, because indurated (A. Berg, 2031-03-04)",
        "Finding 1: by 2031-03-18: look again",
    ):
        assert words in told


def test_an_amendment_is_told_with_who_and_why() -> None:
    told = flat(summary(amended().session, EXTRAS))
    assert "by C. Dahl: side mistaken. finding 2 side: left -> right" in told
    assert "struck out as entered in error: Right chin of the face" in told
    assert "added: Left chin of the face: scar." in told
    assert "f3, no longer in the record: by 2031-03-18" in told
    assert "signed by C. Dahl" in told
    assert "version 2" in told


def test_nothing_found_is_said_in_words() -> None:
    assert "No finding was recorded." in summary(chair().session)


def test_lines_fit_the_page() -> None:
    assert max(map(len, summary(dictated().session, EXTRAS).splitlines())) <= WIDTH


@pytest.mark.parametrize(
    ("said", "shown"),
    [
        ("red\x1b[31m", "red[U+001B][31m"),
        ("one\r\ntwo\tthree", "one ⏎ two three"),
        ("left\u202egnihton", "left[U+202E]gnihton"),
        ("a\u200bb", "a[U+200B]b"),
        ("\ud800", "[U+D800]"),
        ("e\u0301", "é"),
    ],
)
def test_what_acts_or_hides_is_shown_as_its_number(said: str, shown: str) -> None:
    assert visible(said) == shown


@given(st.text(max_size=60))
@settings(max_examples=200, deadline=None)
def test_no_text_brings_a_control_character_or_a_line_of_its_own(text: str) -> None:
    seen = visible(text)
    # Categories of Unicode: Cc control, Cf format (directions), Cs surrogate, Zl and Zp breaks.
    kinds = {unicodedata.category(each) for each in seen if each not in "\u200c\u200d"}
    assert not kinds & {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}
    seen.encode("utf-8")


def rendered(text: str) -> str:
    """The text of the HTML that an independent CommonMark renderer makes."""
    html = MarkdownIt("commonmark").render(text)
    return flat("".join(ElementTree.fromstring(f"<x>{html}</x>").itertext()))


@given(st.text(max_size=60))
@settings(max_examples=200, deadline=None)
def test_markdown_shows_any_text_as_it_stands(text: str) -> None:
    assert rendered(f"x {escaped(text)}") == flat(f"x {visible(text)}")


@pytest.mark.parametrize("start", ["1. a", "2) a", "# a", "- a", "+ a", "> a", "=== a", "    a"])
def test_no_line_of_a_note_becomes_a_list_or_a_heading(start: str) -> None:
    html = MarkdownIt("commonmark").render(escaped(start.strip()))
    assert html.startswith("<p>")


def test_the_markdown_note_tells_what_the_text_note_tells() -> None:
    session = dictated().session
    told = rendered(markdown(session, EXTRAS))
    for entry in Chart(session, EXTRAS).entries:
        assert flat(f"{entry.number}. {entry.sentence}") in told
    assert told.count("DRAFT") == 2
    assert "<b>tooth</b> & *crown*" in told
