"""Every wrong vocabulary file gets one line that names file, entry and cause."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dictate.errors import VocabularyError
from dictate.vocabulary.loader import load


def problem(path: Path, content: str | bytes) -> str:
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    with pytest.raises(VocabularyError) as caught:
        load([path])
    return str(caught.value)


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        ("[[kinds]\n", ["not valid TOML", "line 1"]),
        (b"# caf\xe9\n[[kinds]]\n", ["line 1 is not UTF-8"]),
        (b"\n\n\xff", ["line 3 is not UTF-8"]),
        ("[[kindz]]\nvalue = 'x'\n", ["unknown table 'kindz'", "kinds"]),
        ("kinds = 3\n", ["write each entry of kinds as [[kinds]]"]),
        ("[kinds]\nvalue = 'x'\n", ["write each entry of kinds as [[kinds]]"]),
        ("[[protocol]]\norder = []\n", ["write [protocol]"]),
        ("[[kinds]]\nsay = ['wen']\n", ["kinds: an entry has no value"]),
        ("[[kinds]]\nvalue = 'wen'\n", ["kinds 'wen'", "say is missing"]),
        ("[[kinds]]\nvalue = 'wen'\nsay = []\n", ["kinds 'wen'", "say is empty"]),
        ("[[kinds]]\nvalue = 'wen'\nsay = ['  ']\n", ["kinds 'wen'", "say.0 is empty"]),
        ("[[kinds]]\nvalue = 'wen'\nsay = 'wen'\n", ["kinds 'wen'", "say"]),
        ("[[kinds]]\nvalue = 'wen'\nsya = ['wen']\n", ["kinds 'wen'", "unknown key 'sya'", "say"]),
        (
            "[[kinds]]\nvalue = 'wen'\nsay = ['wen']\n[[kinds]]\nvalue = 'wen'\nsay = ['w']\n",
            ["kinds 'wen'", "given twice"],
        ),
        ("[[kinds]]\nvalue = 'wen'\nsay = ['level 2']\n", ["'level 2' holds digits"]),
        ("[[kinds]]\nvalue = 'wen'\nsay = ['...']\n", ["'...' holds no word"]),
        ('[[kinds]]\nvalue = "w\\u001b[2J"\nsay = ["wen"]\n', ["control character"]),
        (
            "[[kinds]]\nvalue = 'wen'\nsay = ['wen']\nimplies = { region = 'elbow' }\n",
            ["kinds 'wen'", "implies region 'elbow', which does not exist"],
        ),
        (
            "[[kinds]]\nvalue = 'wen'\nsay = ['wen']\n"
            "implies = { region = 'tongue', subsite = 'uvula' }\n",
            ["implies subsite 'uvula', which does not exist"],
        ),
        (
            "[[kinds]]\nvalue = 'wen'\nsay = ['wen']\nimplies = { side = 'up' }\n",
            ["implies side 'up', which does not exist"],
        ),
        (
            "[[kinds]]\nvalue = 'wen'\nsay = ['wen']\nimplies = { sight = 'up' }\n",
            ["kinds 'wen'", "implies.sight"],
        ),
        (
            "[[variants]]\nvalue = 'wen'\nsay = ['wen']\nplausible = ['elbow']\n",
            ["variants 'wen'", "plausible names region 'elbow'"],
        ),
        (
            "[[mobility]]\nvalue = 'wobbly'\nsay = ['wobbly']\nopposite = 'steady'\n",
            ["mobility 'wobbly'", "opposite 'steady' does not exist"],
        ),
        (
            "[[bystanders]]\nvalue = 'moods'\nsay = ['fed up']\n",
            ["bystanders 'moods'", "'fed up' is more than one word"],
        ),
        ("[protocol]\norder = ['elbow']\n", ["protocol", "no region is called 'elbow'"]),
        ("[protocol]\norder = ['tongue', 'tongue']\n", ["'tongue' is named twice"]),
        ("[protocol]\norder = []\n", ["protocol", "order is empty"]),
        ("[protocol]\nsequence = ['tongue']\n", ["unknown key 'sequence'"]),
        ("[[regions]]\nvalue = 'knee'\nsay = ['knee']\n", ["regions 'knee'", "zone is missing"]),
        (
            "[[regions]]\nvalue = 'knee'\nsay = ['knee']\nzone = 'far'\n",
            ["regions 'knee'", "zone"],
        ),
        (
            "[[regions]]\nvalue = 'knee'\nsay = ['knee']\nzone = 'extraoral'\n"
            "subsites = [{ value = 'cap', say = ['cap'] }, { value = 'cap', say = ['lid'] }]\n",
            ["regions 'knee'", "sub-site 'cap' is given twice"],
        ),
        (
            "[[regions]]\nvalue = 'tongue'\nsubsites = [{ value = 'dorsum', shape = 'flat' }]\n",
            ["regions 'tongue'", "subsites", "shape"],
        ),
        (
            "[[commands]]\nvalue = 'explode'\nsay = ['explode']\n",
            ["commands 'explode'", "value"],
        ),
        ("[[confusions]]\nwords = ['one']\n", ["confusions", "words is empty"]),
        ("[american]\ncolor = 5\n", ["american", "'color' must stand for a word"]),
        ("[american]\ncolor = 'col our'\n", ["american", "must stand for one word"]),
    ],
)
def test_message(tmp_path: Path, content: str | bytes, expected: list[str]) -> None:
    path = tmp_path / "clinic.toml"
    message = problem(path, content)
    assert message.startswith(str(path))
    assert "\n" not in message
    for part in expected:
        assert part in message


def test_a_missing_file(tmp_path: Path) -> None:
    with pytest.raises(VocabularyError, match=r"none\.toml: no such file"):
        load([tmp_path / "none.toml"])


def test_a_folder_in_place_of_a_file(tmp_path: Path) -> None:
    with pytest.raises(VocabularyError, match="cannot be read"):
        load([tmp_path])


def test_an_empty_folder(tmp_path: Path) -> None:
    with pytest.raises(VocabularyError, match="no vocabulary files"):
        load(folder=tmp_path)


def test_the_error_names_the_file_that_is_wrong_not_the_default(tmp_path: Path) -> None:
    message = problem(tmp_path / "ours.toml", "[[kinds]]\nvalue = 'ulcer'\nplurals = 'ulcers'\n")
    assert "ours.toml: kinds 'ulcer': plurals" in message


SMALL = "[[regions]]\nvalue = 'hand'\nzone = 'extraoral'\nsay = ['hand']\n"


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A tiny vocabulary of its own, quick to load many times."""
    folder = tmp_path_factory.mktemp("small")
    (folder / "all.toml").write_text(SMALL, "utf-8")
    return folder


def outcome(folder: Path, content: bytes) -> str:
    """The error's text; "" if it loads."""
    path = folder.parent / "clinic.toml"
    path.write_bytes(content)
    try:
        load([path], folder=folder)
    except VocabularyError as error:
        return str(error)
    return ""


@given(st.binary(max_size=80) | st.text(max_size=80).map(str.encode))
@settings(max_examples=100, deadline=None)
def test_any_bytes_load_or_are_refused_with_a_line(small: Path, content: bytes) -> None:
    assert "\n" not in outcome(small, content)


_VALUES = st.recursive(
    st.booleans() | st.integers(-3, 3) | st.text(max_size=6) | st.floats(allow_nan=False),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner),
    max_leaves=6,
)
_KEYS = ["value", "say", "subsites", "order", "words", "implies", "zone", "hear", "slot", "x"]


@given(
    st.sampled_from(["kinds", "regions", "protocol", "american", "confusions", "commands"]),
    st.dictionaries(st.sampled_from(_KEYS), _VALUES, max_size=4),
)
@settings(max_examples=150, deadline=None)
def test_any_shape_loads_or_is_refused(small: Path, table: str, entry: dict[str, object]) -> None:
    single = table in ("protocol", "american")
    content = f"{table} = " + (_toml(entry) if single else f"[{_toml(entry)}]")
    assert "\n" not in outcome(small, content.encode())


def _toml(value: object) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f"{_text(key)} = {_toml(each)}" for key, each in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(_toml(each) for each in value) + "]"
    if isinstance(value, bool):
        return str(value).lower()
    return _text(value) if isinstance(value, str) else repr(value)


def _text(text: str) -> str:
    kept = (f"\\U{ord(char):08x}" for char in text if not 0xD800 <= ord(char) <= 0xDFFF)
    return '"' + "".join(kept) + '"'
