"""What is sealed opens in its own place, with its own key, unaltered; and not otherwise."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dictate.store.primitives import BrokenSealError
from dictate.store.sealing import Sealer
from tests.seal_samples import SEALER, marked_apart, opened_apart

TEXTS = st.text(st.characters(codec="utf-8"), max_size=200)


@given(TEXTS)
@settings(max_examples=50, deadline=None)
def test_a_text_comes_back_and_by_other_means_too(text: str) -> None:
    sealed = SEALER.seal(text, "events.event")
    assert SEALER.open(sealed, "events.event") == text
    assert opened_apart(bytes(range(32)), sealed, "events.event") == text
    assert SEALER.open_alike(SEALER.seal_alike(text, "p"), "p") == text
    assert SEALER.mark(text) == marked_apart(bytes(range(32)), text)


def test_the_same_text_looks_different_unless_it_is_to_be_found() -> None:
    assert SEALER.seal("P-17", "p") != SEALER.seal("P-17", "p")
    assert SEALER.seal_alike("P-17", "p") == SEALER.seal_alike("P-17", "p")
    assert SEALER.seal_alike("P-17", "p") != SEALER.seal_alike("P-18", "p")
    assert SEALER.seal_alike("P-17", "p") != SEALER.seal_alike("P-17", "q")


@pytest.mark.parametrize("way", ["", "_alike"])
def test_elsewhere_with_another_key_or_altered_it_does_not_open(way: str) -> None:
    seal, opened = getattr(SEALER, f"seal{way}"), getattr(SEALER, f"open{way}")
    sealed = seal("left lateral border", "draft s1 0")
    with pytest.raises(BrokenSealError):
        opened(sealed, "draft s2 0")
    with pytest.raises(BrokenSealError):
        getattr(Sealer.new(), f"open{way}")(sealed, "draft s1 0")
    for index, letter in enumerate(sealed):
        for other in ("A", "B", "=", "\n", "é"):
            if other != letter:
                with pytest.raises(BrokenSealError):
                    opened(sealed[:index] + other + sealed[index + 1 :], "draft s1 0")
    for short in ("", sealed[:8], sealed[:-4], sealed + "A", sealed + "=", f" {sealed}"):
        with pytest.raises(BrokenSealError):
            opened(short, "draft s1 0")


def test_every_purpose_has_a_key_of_its_own() -> None:
    key = Sealer.new()
    with pytest.raises(BrokenSealError):
        key.open(key.seal_alike("x", "p"), "p")
    with pytest.raises(BrokenSealError):
        key.open_alike(key.seal("x", "p"), "p")
    assert len({key.file_key(b"a", b"1"), key.file_key(b"a", b"2"), key.file_key(b"b", b"1")}) == 3


def test_a_key_is_not_shown(capsys: pytest.CaptureFixture[str]) -> None:
    print(SEALER, repr(SEALER), SEALER.id, vars(SEALER).keys())
    shown = capsys.readouterr().out
    assert bytes(range(32)).hex() not in shown
    assert "\\x01\\x02" not in shown
    assert Sealer.new().id != Sealer.new().id
