"""The PDF summary: its text is the session's, a draft is marked on each page, nothing is cut."""

from __future__ import annotations

import subprocess
from datetime import date
from functools import lru_cache
from io import BytesIO
from itertools import combinations
from pathlib import Path
from unicodedata import normalize

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pdfminer.high_level import extract_pages
from pdfminer.layout import LTChar, LTCurve, LTPage, LTTextLine
from pypdf import PasswordType, PdfReader
from pypdf.errors import FileNotDecryptedError

from dictate.errors import ExportError
from dictate.exam.commands import Sign
from dictate.exam.session import Session
from dictate.export.chart import Chart
from dictate.export.extras import NOTHING, Extras, PatientDetails, SizePoint
from dictate.export.pdf import fonts, look
from dictate.export.pdf.fonts import drawable, in_visual_order
from dictate.export.pdf.plot import SizePlot
from dictate.export.pdf.prose import Run, paragraph
from dictate.export.pdf.protect import protected
from dictate.export.pdf.summary import summary_pdf
from tests.exam_samples import Chair
from tests.export_samples import EXTRAS, chair, dictated, signed

MARK_SIZES = (7.6, 5.8)
"""Of the numbers on the drawings, in points: up to two characters, and three."""


def pages(document: bytes) -> list[str]:
    """The text of each page, spaces evened out, as an independent library reads it."""
    return [" ".join(each.extract_text().split()) for each in PdfReader(BytesIO(document)).pages]


def tight(text: str) -> str:
    """Without spaces: lines are broken anywhere."""
    return "".join(text.split())


@lru_cache(maxsize=1)
def of_signed() -> bytes:
    return summary_pdf(signed().session, EXTRAS)


@lru_cache(maxsize=6)
def of_many(count: int, paper: str = "a4") -> bytes:
    return summary_pdf(many(count).session, EXTRAS if count else NOTHING, paper=paper)


def many(count: int) -> Chair:
    """That many findings all over, a dozen of them at one place; signed."""
    seat = chair()
    sites = [each for each in seat.session.protocol.stations for _ in range(2)]
    for index in range(count):
        station = sites[index % len(sites)]
        part = station.subsites[index % len(station.subsites)] if station.subsites else None
        if index < 12:
            seat.plaque(duration_days=index)
        else:
            seat.plaque(region=station.region, subsite=part, side=("left", "right")[index % 2])
    seat.confirm_all()
    seat.key(Sign(examiner="A. Berg"))
    return seat


def test_the_text_of_the_pages_is_the_sessions() -> None:
    session = signed().session
    told = tight(" ".join(pages(of_signed())))
    chart = Chart(session, EXTRAS)
    for entry in chart.entries:
        assert tight(entry.place) in told
        assert tight(entry.description) in told
    for region, words in chart.coverage:
        assert tight(region.region) in told
        assert tight(words) in told
    for words in (
        chart.signature,
        "Alva Nyström-O'Brien",
        "refer to oral medicine, because indurated (A. Berg, 2031-03-04)",
        "DO NOT WAIT: Finding 2: indurated [1]",
        "[1] ADA 2017",
        "A record and a reminder, not a diagnosis",
        "longest +4 mm (+67%)",
    ):
        assert tight(words) in told


def test_every_page_of_a_draft_says_that_it_is_one() -> None:
    found = pages(summary_pdf(dictated().session, EXTRAS))
    assert len(found) == 4
    for page in found:
        assert "DRAFT: not confirmed, not signed" in page
        assert "DRAFT not confirmed" in page  # the diagonal mark
    assert "TO CONFIRM: side (no side was said)" in " ".join(found)


def test_a_signed_summary_has_no_such_mark() -> None:
    for page in pages(of_signed()):
        assert "DRAFT" not in page
        assert "not confirmed" not in page


def test_every_page_says_at_its_foot_which_session_it_is_of() -> None:
    found = pages(of_signed())
    for number, page in enumerate(found, 1):
        assert "session s-2031 · version 1" in page
        assert f"page {number} of {len(found)}" in page


def test_the_patients_page_is_in_plain_words_and_has_the_date() -> None:
    page = pages(of_signed())[-1]
    for words in (
        "Edge of the tongue, left side",
        "One white slightly raised patch (the clinician's word: plaque)",
        "cannot be wiped off",
        "with: burning; without: numb feeling",
        "there for 3 weeks",
        "usual difference between people",
        "By 18 March 2031 (number 1)",
        "Not looked at this time",
        "not a diagnosis",
    ):
        assert words in page
    assert "indurated" not in page
    assert "erythro" not in page


def test_without_a_date_the_patient_is_told_to_ask() -> None:
    assert "No date is recorded" in pages(summary_pdf(signed().session))[-1]


def words_of(line: LTTextLine) -> str:
    return line.get_text().strip()


def lines_of(page: LTPage) -> list[LTTextLine]:
    boxes = [each for each in page if hasattr(each, "__iter__")]
    return [line for box in boxes for line in box if isinstance(line, LTTextLine)]


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("count", [0, 1, 25])
def test_nothing_runs_off_the_page_or_over_the_foot(paper: str, count: int) -> None:
    for page in extract_pages(BytesIO(of_many(count, paper))):
        for line in lines_of(page):
            assert 30 < line.x0 < line.x1 < page.width - 30, line.get_text()
            assert 15 < line.y0 < line.y1 < page.height - 15, line.get_text()


def test_no_words_lie_over_others() -> None:
    for page in extract_pages(BytesIO(of_many(25))):
        for one, two in combinations([each for each in lines_of(page) if words_of(each)], 2):
            across = min(one.x1, two.x1) - max(one.x0, two.x0)
            down = min(one.y1, two.y1) - max(one.y0, two.y0)
            assert across < 1 or down < 3, (one.get_text(), two.get_text())


def marks_on(page: LTPage) -> list[str]:
    """The numbers on the drawings: set in their own size, letters that touch being one number."""
    chars = sorted(
        (
            char
            for line in lines_of(page)
            for char in line
            if isinstance(char, LTChar) and round(char.size, 1) in MARK_SIZES
        ),
        key=lambda char: (round(char.y0), char.x0),
    )
    numbers: list[str] = []
    last: LTChar | None = None
    for char in chars:
        if last and abs(last.y0 - char.y0) < 0.1 and char.x0 - last.x1 < 1:
            numbers[-1] += char.get_text()
        else:
            numbers.append(char.get_text())
        last = char
    return [each.rstrip("?") for each in numbers]


def test_all_of_twenty_five_findings_are_numbered_on_the_drawings() -> None:
    found = list(extract_pages(BytesIO(of_many(25))))
    (drawings,) = [p for p in found if any("Numbers are" in words_of(each) for each in lines_of(p))]
    assert {*map(str, range(1, 26))} == set(marks_on(drawings))


def test_a_finding_of_the_left_is_drawn_at_the_viewers_right() -> None:
    seat = chair()
    seat.plaque(subsite="dorsum", side="left")
    seat.confirm_all()
    seat.key(Sign(examiner="A. Berg"))
    page = list(extract_pages(BytesIO(summary_pdf(seat.session))))[1]
    titles = [each for each in lines_of(page) if "Tongue from above" in each.get_text()]
    middle = (titles[0].x0 + titles[0].x1) / 2
    marks = [each for each in lines_of(page) if each.get_text().strip() == "1"]
    assert len(marks) == 1
    assert marks[0].x0 > middle + 5


def test_no_finding_needs_no_drawing_and_says_so() -> None:
    seat = chair()
    seat.confirm_all()
    seat.key(Sign(examiner="A. Berg"))
    found = pages(summary_pdf(seat.session))
    assert len(found) == 2
    assert "No finding was recorded." in found[0]


def test_sizes_over_time_are_drawn_true_to_scale() -> None:
    pages_of = list(extract_pages(BytesIO(of_signed())))
    dots = [
        each
        for page in pages_of[:-1]
        for each in page
        if isinstance(each, LTCurve) and 4.3 < each.width < 4.9 and 4.3 < each.height < 4.9
    ]
    xs = [(each.x0 + each.x1) / 2 for each in dots]
    ys = [(each.y0 + each.y1) / 2 for each in dots]
    assert len(dots) == 3
    # 2031-01-10, 2031-02-02 and 2031-03-04 are 23 and 53 days apart; 6, 8 and 10 mm.
    assert (xs[1] - xs[0]) / (xs[2] - xs[0]) == pytest.approx(23 / 53, abs=0.01)
    assert ys[1] - ys[0] == pytest.approx(ys[2] - ys[1], abs=0.05)


def text_of(session: Session, extras: Extras = NOTHING) -> str:
    return " ".join(pages(summary_pdf(session, extras)))


def test_a_very_long_note_is_carried_over_pages_whole() -> None:
    seat = chair()
    seat.plaque(note="begin " + "lorem " * 3000 + "end")
    # Once in the findings; the patient's page has no notes.
    assert text_of(seat.session).count("lorem") == 3000


def test_a_word_without_end_is_broken_not_cut() -> None:
    seat = chair()
    seat.plaque(note="W" * 900)
    assert tight(text_of(seat.session)).count("W") >= 900


@pytest.mark.parametrize(
    "name", ["Łukasz Żółć", "Ирина Петрова", "Ελένη Παπαδοπούλου", "Nguyễn Thị Hồng", "ნინო"]
)
def test_names_in_other_alphabets_are_printed(name: str) -> None:
    seat = chair()
    told = text_of(seat.session, Extras(patient=PatientDetails("K-1", name, 1950)))
    assert normalize("NFC", name) in normalize("NFC", told)


@pytest.mark.parametrize("name", ["张伟", "山田 はなこ", "김민준", "Li 王芳 MD"])
def test_names_in_wide_letters_are_printed_where_their_font_is(name: str) -> None:
    """Debian package fonts-droid-fallback; also at the foot of each page, and in bold."""
    seat = chair()
    seat.plaque(note=f"seen by {name}")
    document = summary_pdf(seat.session, Extras(patient=PatientDetails("K-1", name, 1950)))
    told = [normalize("NFC", page) for page in pages(document)]
    assert all(tight(name) in tight(page) for page in told)
    assert "printed as its Unicode number" not in told[0]


def test_without_that_font_they_are_printed_as_numbers(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(fonts, "WIDE_FILES", ())
    fonts.wide.cache_clear()
    try:
        told = text_of(chair().session, Extras(patient=PatientDetails("K-1", "张伟", 1950)))
    finally:
        fonts.wide.cache_clear()
    assert "[U+5F20][U+4F1F]" in told
    assert "printed as its Unicode number" in told


def place_of(letter: str, name: str) -> float:
    """How far to the right the letter stands on a page with that patient's name, in points."""
    document = summary_pdf(chair().session, Extras(patient=PatientDetails("K-1", name)))
    page = next(iter(extract_pages(BytesIO(document), maxpages=1)))
    chars = [char for line in lines_of(page) for char in line if isinstance(char, LTChar)]
    return next(each.x0 for each in chars if each.get_text() == letter)


def test_hebrew_stands_from_right_to_left() -> None:
    # The visual order of "shalom" by the Unicode Bidirectional Algorithm (UAX 9): reversed.
    assert in_visual_order("שלום") == "םולש"
    assert in_visual_order("said שלום twice") == "said םולש twice"
    first, last = (place_of(each, "מרים כהן") for each in "מן")
    assert first > last


def test_arabic_letters_are_joined() -> None:
    # Unicode: Arabic Presentation Forms-B; beh initial FE91, alef final FE8E, beh isolated 0628.
    assert in_visual_order("باب") == "\u0628\ufe8e\ufe91"
    # meem initial FEE3, dal final FEAA
    first, last = (place_of(each, "محمد") for each in "\ufee3\ufeaa")
    assert first > last


def test_right_to_left_text_keeps_its_marks_across_lines() -> None:
    # Hebrew alone: each printed line is the logical one reversed, commas and stops included.
    text = ("הפצע הזה כואב מאוד, כבר שלושה שבועות. " * 6).strip().rstrip(".")
    lines = paragraph(look.BODY, 150, text).text.split("<br/>")
    assert len(lines) > 3
    assert " ".join(each[::-1] for each in lines) == text


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("\U00020000", "[U+20000]"),
        ("\U0001f600", "[U+1F600]"),
        ("हरि", "[U+0939][U+0930][U+093F]"),
        ("\x1b[2J", "[U+001B][2J"),
        ("\u202e", "[U+202E]"),
    ],
)
def test_what_the_letters_lack_is_printed_as_its_number_and_explained(
    text: str, shown: str
) -> None:
    assert drawable(text) == shown
    told = text_of(chair().session, Extras(patient=PatientDetails("K-1", f"A {text}")))
    assert f"A {shown}" in told
    assert "printed as its Unicode number" in told


@pytest.mark.parametrize("text", ["<b>x</b>", "</para>", "&amp; &lt;", "<img src='x'/>", "<"])
def test_markup_in_a_note_is_printed_and_not_obeyed(text: str) -> None:
    seat = chair()
    seat.plaque(note=text)
    assert tight(text) in tight(text_of(seat.session))


@given(st.text(max_size=80))
@settings(max_examples=150, deadline=None)
def test_any_text_can_be_set(text: str) -> None:
    made = paragraph(look.BODY, 90, Run("Label: ", bold=True), text)
    width, height = made.wrap(90, 10_000)
    assert width <= 90
    assert height >= look.BODY.leading


def test_letters_are_embedded() -> None:
    reader = PdfReader(BytesIO(of_signed()))
    fonts = [
        font.get_object() for page in reader.pages for font in page["/Resources"]["/Font"].values()
    ]
    used = {each["/BaseFont"].split("+")[-1] for each in fonts if "+" in each["/BaseFont"]}
    assert used == {"FiraGO-Regular", "FiraGO-Bold"}
    letters = {
        char.fontname.split("+")[0]
        for page in extract_pages(BytesIO(of_signed()))
        for line in lines_of(page)
        for char in line
        if isinstance(char, LTChar)
    }
    assert not any("Helvetica" in each for each in letters)


def test_the_same_session_gives_the_same_bytes() -> None:
    assert summary_pdf(signed().session, EXTRAS) == of_signed()


def test_the_documents_information_names_no_patient() -> None:
    information = PdfReader(BytesIO(of_signed())).metadata
    assert information is not None
    assert not any("Nystr" in str(each) or "K-1042" in str(each) for each in information.values())


def test_an_unknown_paper_is_refused() -> None:
    with pytest.raises(ExportError, match="No paper is called a7; choose a4 or letter"):
        summary_pdf(chair().session, paper="a7")


def test_a_protected_document_opens_with_its_passphrase_only() -> None:
    document = protected(of_signed(), "quay lantern 7")
    assert b"Nystr" not in document
    reader = PdfReader(BytesIO(document))
    assert reader.is_encrypted
    with pytest.raises(FileNotDecryptedError):
        reader.pages[0].extract_text()
    assert reader.decrypt("quay lantern 8") == PasswordType.NOT_DECRYPTED
    assert reader.decrypt("quay lantern 7") != PasswordType.NOT_DECRYPTED
    assert "Examination of face" in reader.pages[0].extract_text()
    # ISO 32000-2: V 5 and R 6 are AES-256.
    encryption = reader.trailer["/Encrypt"]
    assert (encryption["/V"], encryption["/R"]) == (5, 6)


def test_a_short_passphrase_is_refused() -> None:
    with pytest.raises(ExportError, match="shorter than 8"):
        protected(of_signed(), "short")


def test_an_independent_program_draws_every_page(tmp_path: Path) -> None:
    (tmp_path / "x.pdf").write_bytes(of_signed())
    done = subprocess.run(
        ["pdftoppm", "-r", "40", "-gray", "x.pdf", "page"],
        cwd=tmp_path,
        capture_output=True,
        check=True,
    )
    assert done.stderr == b""
    drawn = sorted(tmp_path.glob("page*.pgm"))
    assert len(drawn) == len(pages(of_signed()))
    for each in drawn:
        head, _, rest = each.read_bytes().partition(b"255\n")
        assert head.startswith(b"P5")
        dark = sum(1 for value in rest if value < 128)
        assert 0.002 < dark / len(rest) < 0.2


def test_no_size_lies_on_another_in_the_plot() -> None:
    """Three visits within a week, and one two years later."""
    fonts.register()
    days = (date(2029, 1, 3), date(2029, 1, 6), date(2029, 1, 10), date(2031, 9, 30))
    points = [SizePoint(day, (size,)) for day, size in zip(days, (12, 12.5, 13, 4), strict=True)]
    labels = SizePlot("Finding 1", points, 240.0).labels()
    shown = [each.text for each in labels.values()]
    assert set(shown) >= {"12", "4"}, "the first and the latest"
    assert not any(a.overlaps(b) for a, b in combinations(labels.values(), 2))
    assert len(shown) < len(points)
    apart = [SizePoint(date(2031, month, 1), (10.0,)) for month in (1, 5, 9)]
    assert len(SizePlot("Finding 1", apart, 240.0).labels()) == 3
