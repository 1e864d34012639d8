"""Each fuzzing harness on its seeds and on some bytes; `python -m tests.fuzz` tries many more."""

from __future__ import annotations

from dataclasses import replace
from math import inf

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dictate.errors import StoreError
from tests.fuzz.oracle import FoundError, Target, edited
from tests.fuzz.targets import TARGETS


@pytest.mark.parametrize("name", TARGETS)
def test_every_seed_is_taken_or_refused_as_it_should_be(name: str) -> None:
    target = replace(TARGETS[name], limit_s=inf)
    taken = [target.check(seed) for seed in target.seeds]
    assert any(taken)


@given(name=st.sampled_from(sorted(TARGETS)), data=st.binary(max_size=120))
@settings(max_examples=500, deadline=None)
def test_any_bytes_are_taken_or_refused(name: str, data: bytes) -> None:
    """How long it takes is for `python -m tests.fuzz` to judge: here other tests run beside it."""
    replace(TARGETS[name], limit_s=inf).check(data)


@given(st.binary(max_size=16))
def test_edits_without_any_change_nothing(whole: bytes) -> None:
    assert edited(whole, b"") == whole


def test_the_harness_finds_what_it_should() -> None:
    def refuse(_: bytes) -> None:
        raise StoreError("Two lines\nof error.")

    def hang(_: bytes) -> None:
        sum(range(3_000_000))

    for read in (refuse, hang):
        with pytest.raises(FoundError):
            Target("made up", read, limit_s=0.001).check(b"")
    with pytest.raises(ZeroDivisionError):
        Target("made up", lambda _: 1 / 0).check(b"")
