"""Holding off the garbage collector. Outside reference: what the collector says of itself."""

from __future__ import annotations

import gc

import pytest

from dictate.uncollected import uncollected


def test_it_is_off_inside_and_on_again_after() -> None:
    assert gc.isenabled()
    with uncollected():
        assert not gc.isenabled()
        with uncollected():
            assert not gc.isenabled()
        assert not gc.isenabled()
    assert gc.isenabled()


def test_it_is_on_again_after_a_fault() -> None:
    @uncollected()
    def fails() -> None:
        raise ValueError("broken")

    with pytest.raises(ValueError, match="broken"):
        fails()
    assert gc.isenabled()


def test_who_keeps_it_off_keeps_it_off() -> None:
    gc.disable()
    try:
        with uncollected():
            pass
        assert not gc.isenabled()
    finally:
        gc.enable()


def test_what_stays_is_passed_by_from_then_on() -> None:
    before = gc.get_freeze_count()
    with uncollected():
        pass
    assert gc.get_freeze_count() == before
    with uncollected(stays=True):
        kept = [[] for _ in range(100)]  # type: ignore[var-annotated]
    assert gc.get_freeze_count() >= before + len(kept)
    assert gc.isenabled()
