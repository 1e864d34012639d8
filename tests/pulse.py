"""A sound system of its own for a test: PulseAudio with a null sink, no sound card needed.

What is played into the sink is what the microphone hears (the sink's monitor). Works as
root in a container. Debian packages: pulseaudio pulseaudio-utils libasound2-plugins
libportaudio2 (and espeak-ng for speech to play).

    from tests.pulse import NullSink, pulse_null_sink  # noqa: F401  (the fixture)

    def test_hears(pulse_null_sink):
        microphone = open_microphone()
        pulse_null_sink.play(recording)
"""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

_DAEMON = ("pulseaudio", "-n", "--daemonize=no", "--exit-idle-time=-1", "--use-pid-file=no")
_SINK = "module-null-sink sink_name=room rate=48000 channels=1"
_ALSA = """
</usr/share/alsa/alsa.conf>
pcm.!default { type pulse }
ctl.!default { type pulse }
"""


class NullSink:
    """A private PulseAudio daemon; `environment` leads programs to it."""

    def __init__(self, folder: Path) -> None:
        self._socket = folder / "native"
        (folder / "asound.conf").write_text(_ALSA)
        self.environment = {
            "HOME": str(folder),
            "XDG_RUNTIME_DIR": str(folder),
            "PULSE_RUNTIME_PATH": str(folder),
            "PULSE_SERVER": f"unix:{self._socket}",
            "PULSE_SOURCE": "room.monitor",
            "PULSE_SINK": "room",
            "ALSA_CONFIG_PATH": str(folder / "asound.conf"),
        }
        self._daemon = subprocess.Popen(
            [
                *_DAEMON,
                *("-L", _SINK),
                *("-L", f"module-native-protocol-unix socket={self._socket} auth-anonymous=1"),
            ],
            env=os.environ | self.environment,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        self._wait_until_up()

    def play(self, path: Path) -> None:
        """Play a sound file into the sink; returns when it has been played."""
        self._run("paplay", str(path))

    def unplug(self) -> None:
        """Take the sink and its monitor away, as pulling the microphone's plug does."""
        self._run("pactl", "unload-module", "module-null-sink")

    def plug_in(self) -> None:
        """Bring it back."""
        self._run("pactl", "load-module", *_SINK.split())

    def close(self) -> None:
        """End the daemon."""
        self._daemon.terminate()
        try:
            self._daemon.wait(5)
        except subprocess.TimeoutExpired:
            self._daemon.kill()
            self._daemon.wait()

    def _run(self, *command: str) -> str:
        done = subprocess.run(
            command,
            env=os.environ | self.environment,
            capture_output=True,
            text=True,
            timeout=120,
            check=True,
        )
        return done.stdout

    def _wait_until_up(self) -> None:
        for _ in range(100):
            try:
                if "room.monitor" in self._run("pactl", "list", "short", "sources"):
                    return
            except subprocess.CalledProcessError:
                time.sleep(0.1)
        self.close()
        raise RuntimeError("pulseaudio did not start")


@pytest.fixture
def pulse_null_sink(monkeypatch: pytest.MonkeyPatch) -> Iterator[NullSink]:
    """A running null sink; this process and its children play to it and record from it."""
    missing = [name for name in ("pulseaudio", "pactl", "paplay") if not shutil.which(name)]
    if missing:
        pytest.fail(
            f"{', '.join(missing)} missing: apt-get install pulseaudio pulseaudio-utils "
            "libasound2-plugins libportaudio2"
        )
    # Not tmp_path: a socket's path may have 107 characters at most.
    folder = Path(tempfile.mkdtemp(prefix="sink"))
    sink = None
    try:
        sink = NullSink(folder)
        for name, value in sink.environment.items():
            monkeypatch.setenv(name, value)
        yield sink
    finally:
        if sink is not None:
            sink.close()
        shutil.rmtree(folder, ignore_errors=True)
