"""Faults of the microphone at random moments: `python -m tests.fault_storm --faults 200`.

Each fault strikes a real listening process with a stand-in sound library, in real time. It
counts as survived when deafness was told within two seconds of the fault, hearing came back
by itself once the fault was gone, and no frame before it went missing untold.
"""

from __future__ import annotations

import argparse
import os
import random
import tempfile
import time
from pathlib import Path

from dictate.audio.hearing import Status
from dictate.audio.microphone import open_microphone
from tests.microphone_helpers import Recorder, States

STRIKES = ("unplugged", "crashes", "falls silent")
"""What befalls a running stream."""
MEANWHILE = ("", "refuses", "no microphone", "hangs on opening", "no portaudio", "falls silent")
"""What opening it again meets with until the fault is gone."""
WITHIN_S = 2.0


def main() -> None:
    """Print how many faults were survived, and the longest times."""
    parser = argparse.ArgumentParser(prog="tests.fault_storm")
    parser.add_argument("--faults", type=int, default=50)
    parser.add_argument("--seed", type=int, default=1)
    arguments = parser.parse_args()
    rng = random.Random(arguments.seed)
    with tempfile.TemporaryDirectory() as folder:
        control = Path(folder) / "fault"
        control.write_text("")
        os.environ |= {
            "PYTHONPATH": str(Path(__file__).parent / "fakes"),
            "FAKE_SOUND_FILE": str(control),
        }
        told = storm(control, rng, arguments.faults)
    survived = sum(each <= WITHIN_S for each, _ in told)
    print(f"{survived} of {arguments.faults} faults survived")
    print(f"deafness told after {max(each for each, _ in told):.2f} s at most")
    print(f"hearing back {max(each for _, each in told):.2f} s after the fault's end at most")


def storm(control: Path, rng: random.Random, faults: int) -> list[tuple[float, float]]:
    """For each fault: seconds until deafness was told, and until hearing was back."""
    states = States()
    recorder = Recorder(open_microphone(on_change=states))
    states.wait_for(Status.LISTENING)
    times = []
    for _ in range(faults):
        time.sleep(rng.uniform(0.05, 0.6))
        struck = time.monotonic()
        _set(control, rng.choice(STRIKES))
        states.wait_for(Status.DEAF)
        deaf = time.monotonic()
        _set(control, rng.choice(MEANWHILE))
        time.sleep(rng.uniform(0.0, 1.5))
        gone = time.monotonic()
        _set(control, "")
        states.wait_for(Status.LISTENING)
        times.append((deaf - struck, time.monotonic() - gone))
    recorder.stop()
    assert all(frame.lost > 0 for frame in _jumps(recorder))
    return times


def _jumps(recorder: Recorder) -> list:
    """Frames whose time does not follow on from the frame before."""
    pairs = zip(recorder.frames, recorder.frames[1:], strict=False)
    return [late for early, late in pairs if late.start_s - early.start_s > 0.033]


def _set(control: Path, fault: str) -> None:
    """At once: the listening process must not read half a word."""
    temporary = control.with_suffix(".new")
    temporary.write_text(fault)
    temporary.replace(control)


if __name__ == "__main__":
    main()
