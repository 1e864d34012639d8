"""The referral letter: signed findings, addressed as the sender says, nothing made up."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from io import BytesIO

import pytest
from pypdf import PdfReader

from dictate.errors import ExportError
from dictate.exam.readback import finding_words
from dictate.export.extras import NOTHING
from dictate.export.letter import BLANK, OTHERS, LetterDetails, letter, letter_text
from dictate.export.pdf.letter import letter_pdf
from tests.export_samples import EXTRAS, chair, dictated, signed

DETAILS = LetterDetails(
    recipient=("Department of Oral Medicine", "Harbour Hospital"),
    sender=("A. Berg, dentist", "Quay Clinic"),
    written=date(2031, 3, 5),
    request="please see this patient within two weeks",
    findings=("f1",),
)


def flat(text: str) -> str:
    return " ".join(text.split())


def test_the_letter_says_who_to_whom_and_what() -> None:
    session = signed().session
    told = flat(letter_text(session, DETAILS, EXTRAS))
    finding = session.finding("f1")
    assert finding is not None
    for words in (
        "From: A. Berg, dentist Quay Clinic",
        "To: Department of Oral Medicine Harbour Hospital",
        "Date: 2031-03-05",
        "Patient: Alva Nyström-O'Brien",
        "Please see this patient within two weeks.",
        flat(finding_words(finding)),
        "longest +4 mm",
        "Finding 2: refer to oral medicine, because indurated",
        "Tobacco: 20 a day for 30 years",
        "It makes no diagnosis",
        "Confirmed and signed by A. Berg",
    ):
        assert words in told


def test_only_chosen_findings_are_in_it() -> None:
    told = letter_text(signed().session, DETAILS, EXTRAS)
    assert "naevus" not in told
    assert "torus" not in told
    assert "2031-03-18" not in told  # the re-check of another finding


def test_without_a_choice_all_abnormal_ones_are() -> None:
    told = letter_text(signed().session, LetterDetails())
    assert "naevus" in told
    assert "plaque" in told
    assert "torus" not in told


def test_without_a_choice_what_was_decided_to_be_referred_is_asked_about() -> None:
    extras = replace(EXTRAS, decisions=(replace(EXTRAS.decisions[0], kind="refer"),))
    asked, other = letter_text(signed().session, LetterDetails(), extras).split(OTHERS)
    assert "plaque" in asked
    assert "naevus" not in asked
    assert "naevus" in other
    assert "torus" not in asked + other


def test_what_was_not_given_is_left_blank() -> None:
    told = letter_text(signed().session, LetterDetails())
    assert f"From:\n{BLANK}" in told
    assert f"To:\n{BLANK}" in told
    assert f"Date: {BLANK}" in told


def test_what_was_not_examined_is_said() -> None:
    told = flat(letter_text(signed().session, DETAILS))
    assert "Not examined: eyes, ears and nose" in told
    assert "oropharynx." in told
    assert "Nothing was said of: face (left side) and tongue (right side)." in told


def test_a_draft_makes_no_letter() -> None:
    for make in (letter_text, letter_pdf):
        with pytest.raises(ExportError, match="needs a signed session"):
            make(dictated().session, DETAILS, NOTHING)


def test_an_unknown_finding_is_told() -> None:
    with pytest.raises(ExportError, match=r"no finding f9 .* f3, f1 and f2"):
        letter_text(signed().session, LetterDetails(findings=("f9",)))


def test_nothing_to_refer_makes_no_letter() -> None:
    seat = chair()
    seat.signed()
    with pytest.raises(ExportError, match="no abnormal finding"):
        letter_text(seat.session, LetterDetails())


def test_the_pdf_letter_has_the_same_words() -> None:
    session = signed().session
    document = letter_pdf(session, DETAILS, EXTRAS)
    told = "".join(
        "".join(page.extract_text().split()) for page in PdfReader(BytesIO(document)).pages
    )
    # The text letter but for its rules, and for labels that stand apart in print.
    for block in letter_text(session, DETAILS, EXTRAS).split("\n\n")[2:-2]:
        for line in block.splitlines():
            if line not in ("From:", "To:", "Background:"):
                assert "".join(line.removeprefix("Date: ").split()) in told, line


def test_control_characters_of_a_sender_do_not_act() -> None:
    details = LetterDetails(sender=("\x1b[31mA\u202e",), findings=("f1",))
    told = letter_text(signed().session, details)
    assert "[U+001B][31mA[U+202E]" in told
    assert letter_pdf(signed().session, details).startswith(b"%PDF")


@pytest.mark.parametrize(("asked", "told"), [("can you see her?", "Can you see her?"), ("x", "X.")])
def test_what_is_asked_keeps_its_own_mark(asked: str, told: str) -> None:
    made = letter(signed().session, LetterDetails(request=asked))
    assert made.opening[1].endswith(f"examined. {told}")
