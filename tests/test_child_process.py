"""Messages to and from a process that may end, hang or print at any time."""

from __future__ import annotations

import io
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dictate.child_process import Child, ChildGoneError, Message, read_message, write_message

HELPER = """
import os, sys, time
from dictate.child_process import Message, own_pipes, read_message, write_message
receive, send = own_pipes()
os.write(1, b"by a library\\n")
while (message := read_message(receive)) is not None:
    if message.head == {"do": "exit"}:
        sys.exit(3)
    if message.head == {"do": "hang"}:
        time.sleep(1000)
    write_message(send, Message({"echo": message.head}, message.body))
"""


@pytest.fixture
def helper(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    (tmp_path / "helper.py").write_text(HELPER)
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    child = Child("helper")
    yield child
    child.stop()
    child.stop()


@given(
    st.dictionaries(st.text(), st.integers() | st.text() | st.lists(st.text()), max_size=3),
    st.binary(max_size=200),
)
@settings(max_examples=100)
def test_a_message_arrives_as_it_was_sent(head: dict, body: bytes) -> None:
    stream = io.BytesIO()
    write_message(stream, Message(head, body))
    stream.seek(0)
    assert read_message(stream) == Message(head, body)
    assert read_message(stream) is None


@given(st.binary(max_size=60))
@settings(max_examples=200)
def test_garbage_is_no_message(data: bytes) -> None:
    read = read_message(io.BytesIO(data))
    assert read is None or read.body in data


def test_questions_are_answered_whatever_it_prints(helper: Child) -> None:
    for number in range(5):
        helper.send(Message({"do": number}, bytes([number]) * 100_000))
        answer = helper.receive(20)
        assert answer == Message({"echo": {"do": number}}, bytes([number]) * 100_000)
    assert helper.printed() == "by a library"


def test_its_end_is_told_to_every_caller(helper: Child) -> None:
    helper.send(Message({"do": "exit"}))
    for _ in range(2):
        with pytest.raises(ChildGoneError, match="exit code 3"):
            helper.receive(20)
    with pytest.raises(ChildGoneError):
        helper.send(Message({"do": 1}))


def test_a_hang_blocks_neither_sending_nor_stopping(helper: Child) -> None:
    helper.send(Message({"do": "hang"}))
    helper.send(Message({"do": 1}, bytes(10_000_000)))
    assert helper.receive(0.2) is None
    helper.stop()
    assert helper.exit_code == (-9 if sys.platform != "win32" else 1)
