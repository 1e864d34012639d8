"""The listening process: devices, sample rates, overflow, and what its callback may not do."""

from __future__ import annotations

import threading
from types import SimpleNamespace
from typing import Any

import pytest

from dictate.audio import portaudio
from dictate.audio.capture import Blocks, listen
from dictate.audio.portaudio import Device
from dictate.child_process import Message
from dictate.errors import AudioError

FINE = SimpleNamespace(input_overflow=False)
OVERFLOW = SimpleNamespace(input_overflow=True)


class FakeStream:
    def __init__(self, sound: FakeSound, **settings: Any) -> None:
        self.settings = settings
        self.active = False
        self.closed = False
        self._sound = sound

    def start(self) -> None:
        self.active = True
        self._sound.streams.append(self)

    def close(self) -> None:
        self.active, self.closed = False, True


class FakeSound:
    """As much of the sounddevice module as the project uses."""

    class PortAudioError(Exception):
        pass

    def __init__(self, *names: str, refuses: tuple[int, ...] = (), hosts: tuple[int, ...] = ()):
        self.streams: list[FakeStream] = []
        self._refuses = refuses
        self._devices = [
            {
                "name": name,
                "hostapi": hosts[i] if hosts else 0,
                "max_input_channels": 0 if name == "Loudspeaker" else 2,
                "default_samplerate": 44100.0,
                "index": i,
            }
            for i, name in enumerate(names)
        ]

    def query_hostapis(self) -> tuple[dict[str, str], ...]:
        return ({"name": "First"}, {"name": "Second"})

    def query_devices(self, kind: str | None = None) -> Any:
        if kind is None:
            return self._devices
        if not self._devices:
            raise self.PortAudioError("Error querying device -1")
        return self._devices[-1]

    def RawInputStream(self, samplerate: int, **settings: Any) -> FakeStream:  # noqa: N802
        if samplerate in self._refuses:
            raise self.PortAudioError("Invalid sample rate", -9997)
        return FakeStream(self, samplerate=samplerate, **settings)


def names(sound: FakeSound) -> list[str]:
    return [device.name for _, device in portaudio.microphones(sound)]


def test_only_what_records_is_a_microphone() -> None:
    assert names(FakeSound("Chairside USB", "Loudspeaker", "Built-in")) == [
        "Chairside USB",
        "Built-in",
    ]


def test_no_microphone_says_what_to_do() -> None:
    with pytest.raises(AudioError, match=r"no microphone; plug one in.*--from FILE\.wav"):
        portaudio.choose(portaudio.microphones(FakeSound()), None)


def test_the_default_is_the_systems() -> None:
    found = portaudio.microphones(FakeSound("Chairside USB", "Built-in"))
    assert portaudio.choose(found, None)[1].name == "Built-in"


def test_a_part_of_the_name_will_do() -> None:
    found = portaudio.microphones(FakeSound("Chairside USB", "Built-in"))
    assert portaudio.choose(found, "usb") == (0, found[0][1])


def test_an_unknown_name_lists_the_known_ones() -> None:
    found = portaudio.microphones(FakeSound("Chairside USB", "Built-in"))
    with pytest.raises(AudioError, match="called 'headset'; there is: 'Chairside USB', 'Built-in'"):
        portaudio.choose(found, "headset")


def test_an_ambiguous_name_is_refused() -> None:
    found = portaudio.microphones(FakeSound("Left USB", "Right USB"))
    with pytest.raises(AudioError, match="more than one"):
        portaudio.choose(found, "usb")


def test_one_microphone_under_two_hosts_is_taken_from_the_defaults_host() -> None:
    sound = FakeSound("USB", "USB", "Built-in", hosts=(0, 1, 1))
    assert portaudio.choose(portaudio.microphones(sound), "USB")[0] == 1


@pytest.mark.parametrize(
    ("refuses", "rate"), [((), 16000), ((16000,), 44100), ((16000, 44100), 48000)]
)
def test_a_refused_rate_is_negotiated(refuses: tuple[int, ...], rate: int) -> None:
    sound = FakeSound("USB", refuses=refuses)
    index, device = portaudio.microphones(sound)[0]
    opened = portaudio.open_stream(sound, index, device, print, print)
    assert (opened.rate, opened.channels) == (rate, 1)


def test_a_microphone_that_refuses_everything_is_named() -> None:
    sound = FakeSound("USB", refuses=(16000, 32000, 44100, 48000))
    index, device = portaudio.microphones(sound)[0]
    with pytest.raises(AudioError, match=r"'USB' cannot be opened \(16000 Hz: Invalid.*another"):
        portaudio.open_stream(sound, index, device, print, print)


def test_a_rate_too_low_for_speech_is_never_tried() -> None:
    device = Device("Telephone", "First", 1, 8000)
    sound = FakeSound("Telephone", refuses=(16000, 32000, 44100, 48000))
    with pytest.raises(AudioError):
        portaudio.open_stream(sound, 0, device, print, print)


def test_blocks_that_find_no_room_are_counted() -> None:
    blocks = Blocks(waiting=2)
    for _ in range(5):
        blocks.on_block(bytes(1024), 512, None, FINE)
    assert [blocks.get(0), blocks.get(0)] == [(0, bytes(1024))] * 2
    blocks.on_block(bytes(1024), 512, None, FINE)
    assert blocks.get(0) == (3 * 512, bytes(1024))


def test_an_overflow_counts_as_a_block_at_least() -> None:
    blocks = Blocks()
    blocks.on_block(bytes(1024), 512, None, OVERFLOW)
    blocks.on_block(bytes(1024), 512, None, FINE)
    assert blocks.get(0) == (512, bytes(1024))
    assert blocks.get(0) == (0, bytes(1024))


def test_a_callback_that_fails_ends_the_listening_with_a_cause() -> None:
    """An exception in PortAudio's thread would be printed and then hang in silence."""
    sound = FakeSound("USB")
    errors: list[str] = []

    def run() -> None:
        try:
            listen(sound, None, lambda message: None, threading.Event())
        except AudioError as error:
            errors.append(str(error))

    thread = threading.Thread(target=run)
    thread.start()
    while not sound.streams:
        pass
    sound.streams[0].settings["callback"](object(), 512, None, None)
    thread.join(10)
    assert errors
    assert "could not be read" in errors[0]
    assert sound.streams[0].closed


def test_every_block_is_sent_before_the_end_is_told() -> None:
    sound, sent = FakeSound("USB"), []

    def send(message: Message) -> None:
        sent.append(message)
        if "ready" in message.head:
            settings = sound.streams[0].settings
            for fill in b"abc":
                settings["callback"](bytes([fill]) * 1024, 512, None, FINE)
            settings["finished_callback"]()

    with pytest.raises(AudioError, match="unplugged"):
        listen(sound, None, send, threading.Event())
    assert [message.body[:1] for message in sent[1:]] == [b"a", b"b", b"c"]
