"""Microphones: which there are, and listening to one."""

from __future__ import annotations

from collections.abc import Callable

from dictate.audio.hearing import Hearing, Status
from dictate.audio.portaudio import Device
from dictate.audio.resilient import FIRST_S, OPEN_S, ResilientMicrophone
from dictate.child_process import Child, ChildGoneError
from dictate.errors import AudioError


def open_microphone(
    device: str | None = None,
    on_change: Callable[[Hearing], None] | None = None,
    wait_for_it: bool = False,
) -> ResilientMicrophone:
    """Listen to the microphone called `device` (or a part of its name), else the default.

    Raises AudioError when it cannot be opened now: no microphone, no PortAudio, an unknown
    name (the message lists the known ones), a refusal. With `wait_for_it` it starts deaf
    instead and hears as soon as it can. Once open it never raises; see `ResilientMicrophone`.
    """
    microphone = ResilientMicrophone(device, on_change)
    if wait_for_it:
        return microphone
    microphone.settled.wait(OPEN_S + FIRST_S)
    if microphone.hearing.status is Status.DEAF:
        microphone.close()
        raise AudioError(microphone.hearing.why)
    return microphone


def list_microphones() -> tuple[Device, ...]:
    """The microphones plugged in now. Raises AudioError when there is no PortAudio."""
    child = Child("dictate.audio.capture", "--list")
    try:
        message = child.receive(OPEN_S)
    except ChildGoneError as error:
        raise AudioError(f"the sound system broke off ({error}); restart it") from error
    finally:
        child.stop()
    if message is None:
        raise AudioError("the sound system does not answer; restart it")
    if "error" in message.head:
        raise AudioError(str(message.head["error"]))
    return tuple(Device(**each) for each in message.head["devices"])
