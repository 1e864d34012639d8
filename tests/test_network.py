"""No network socket is opened in a session: seen from within Python and from the kernel's side."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from dictate.export.formats import WRITERS

ROOT = Path(__file__).resolve().parents[1]
RECORDING = ROOT / "recordings_synthetic" / "dev" / "dev-13.flac"
FAMILY = re.compile(r"socket\((\w+)")
LOCAL = {"AF_UNIX", "AF_NETLINK"}
"""Sockets that reach other programs of the machine and the kernel, and no network."""


def traced(folder: Path, *arguments: str | Path) -> set[str]:
    """Families of every socket that a Python process and its children opened, by any means."""
    log = folder / "trace"
    strace = ["strace", "-f", "--seccomp-bpf", "-e", "trace=socket", "-o", log]
    env = os.environ | {"HOME": str(folder), "PYTHONPATH": str(ROOT)}
    env = {name: value for name, value in env.items() if not name.startswith(("XDG_", "ORT_"))}
    done = subprocess.run(
        [*strace, sys.executable, *arguments], env=env, capture_output=True, text=True, timeout=280
    )
    assert done.returncode == 0, done.stderr[-2000:]
    return set(FAMILY.findall(log.read_text("utf-8", "replace")))


def test_a_whole_session_opens_no_network_socket(tmp_path: Path) -> None:
    out = tmp_path / "out"
    families = traced(tmp_path, "-m", "tests.whole_session", tmp_path / "home", RECORDING, out)
    told = json.loads(out.read_text("utf-8"))
    wanted = {"replay", "parse", "exam", "review", "due", *WRITERS, "letter", "letter-text"}
    assert set(told["done"]) >= wanted
    assert told["sockets"] == []
    assert families <= LOCAL
    # The record of use that the inference library keeps before it sends it.
    assert [each.name for each in (tmp_path / ".cache").iterdir()] == ["dictate"]


@pytest.mark.parametrize(
    ("code", "family"),
    [
        ("import socket; socket.socket().close()", "AF_INET"),
        ("import socket; socket.socket(socket.AF_INET6, socket.SOCK_DGRAM).close()", "AF_INET6"),
        ("import ctypes; ctypes.CDLL(None).socket(2, 1, 0)", "AF_INET"),
        (
            "import subprocess, sys; subprocess.run("
            "[sys.executable, '-c', 'import socket; socket.socket().close()'], check=True)",
            "AF_INET",
        ),
    ],
)
def test_a_socket_is_seen_whoever_opens_it(tmp_path: Path, code: str, family: str) -> None:
    assert family in traced(tmp_path, "-c", code)


@pytest.mark.parametrize(
    ("code", "event"),
    [
        ("socket.socket()", "socket.__new__"),
        ("socket.gethostbyname('127.0.0.1')", "socket.gethostbyname"),
        ("socket.getaddrinfo('127.0.0.1', 80)", "socket.getaddrinfo"),
    ],
)
def test_the_hook_tells_of_it(code: str, event: str) -> None:
    script = (
        "import socket, sys; from tests.whole_session import SEEN, watch\n"
        f"sys.addaudithook(watch); socket.socketpair()\n{code}\nprint(SEEN)"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert event in done.stdout
    assert "socketpair" not in done.stdout


@pytest.mark.parametrize(("off", "left"), [("pass", []), ("os.environ.clear()", [".cache"])])
def test_the_inference_library_heeds_the_switch(tmp_path: Path, off: str, left: list[str]) -> None:
    """The control of the first test: without the switch the library leaves its record of use."""
    model = ROOT / "models" / "adapted-en" / "decoder_model_merged.ort"
    use = (
        "import os; home = os.environ['HOME']; import dictate\n"
        f"{off}; os.environ['HOME'] = home\n"
        f"import onnxruntime; onnxruntime.InferenceSession({str(model)!r})"
    )
    traced(tmp_path, "-c", use)
    assert [each.name for each in tmp_path.iterdir() if each.name != "trace"] == left
