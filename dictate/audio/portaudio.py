"""PortAudio, loaded when first needed: its microphones by name, and streams from them.

Runs only in the process of `dictate.audio.capture`: PortAudio prints to the terminal, can
hang or crash with a driver, and sees a microphone plugged in later only after a restart.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass
from typing import Any

from dictate.audio.source import FRAME, RATE
from dictate.errors import AudioError

NO_MICROPHONE = "there is no microphone; plug one in, or work from a recording with --from FILE.wav"
_USUAL_RATES = (48_000, 44_100, 32_000)


@dataclass(frozen=True, slots=True)
class Device:
    """A microphone as the system names it."""

    name: str
    host_api: str
    channels: int
    rate: int
    """Its own sample rate, Hz."""
    default: bool = False

    def as_dict(self) -> dict[str, Any]:
        """Its fields, for JSON; `Device(**d)` reads them back."""
        return asdict(self)


@dataclass(frozen=True, slots=True)
class OpenStream:
    """A running stream: 16-bit samples, `channels` interleaved, `rate` a second."""

    stream: Any
    rate: int
    channels: int


def load() -> Any:
    """The sounddevice module. Raises AudioError when it or PortAudio is missing."""
    try:
        import sounddevice
    except ImportError as error:
        raise AudioError(f"no sound: {error}; run: pip install sounddevice") from error
    except OSError as error:
        raise AudioError(
            "no sound: the PortAudio library is missing; install libportaudio2 "
            "(Debian and Ubuntu: apt-get install libportaudio2)"
        ) from error
    return sounddevice


def microphones(sd: Any) -> list[tuple[int, Device]]:
    """Every device that can record, with PortAudio's index of it."""
    try:
        hosts, every = sd.query_hostapis(), sd.query_devices()
        default = _default_index(sd)
    except sd.PortAudioError as error:
        raise AudioError(f"the sound system does not answer ({error}); restart it") from error
    return [
        (
            index,
            Device(
                name=str(each["name"]),
                host_api=str(hosts[each["hostapi"]]["name"]),
                channels=int(each["max_input_channels"]),
                rate=int(each["default_samplerate"]),
                default=index == default,
            ),
        )
        for index, each in enumerate(every)
        if each["max_input_channels"] > 0
    ]


def choose(found: list[tuple[int, Device]], wanted: str | None) -> tuple[int, Device]:
    """The microphone called `wanted` (or a part of its name); the default when None.

    Windows lists one microphone under several host systems by one name: the default's
    host comes first, then the order of the list. Raises AudioError.
    """
    if not found:
        raise AudioError(NO_MICROPHONE)
    if wanted is None:
        return next((each for each in found if each[1].default), found[0])
    matching = [e for e in found if e[1].name == wanted] or [
        e for e in found if wanted.casefold() in e[1].name.casefold()
    ]
    names = list(dict.fromkeys(device.name for _, device in matching))
    if len(names) > 1:
        raise AudioError(f"more than one microphone is called '{wanted}': {_quoted(names)}")
    if not names:
        raise AudioError(
            f"there is no microphone called '{wanted}'; there is: "
            + _quoted(dict.fromkeys(device.name for _, device in found))
        )
    host = next((device.host_api for _, device in found if device.default), "")
    return next((each for each in matching if each[1].host_api == host), matching[0])


def open_stream(
    sd: Any,
    index: int,
    device: Device,
    on_block: Callable[..., None],
    on_finished: Callable[[], None],
) -> OpenStream:
    """Start recording at 16 kHz if the microphone agrees, else at a rate it takes.

    Raises AudioError when it refuses every rate.
    """
    refusals = []
    for rate, channels in _formats(device):
        try:
            stream = sd.RawInputStream(
                samplerate=rate,
                blocksize=round(FRAME * rate / RATE),
                device=index,
                channels=channels,
                dtype="int16",
                latency="high",
                callback=on_block,
                finished_callback=on_finished,
            )
            stream.start()
            return OpenStream(stream, rate, channels)
        except (sd.PortAudioError, ValueError) as error:
            refusals.append(f"{rate} Hz: {error.args[0] if error.args else error}")
    raise AudioError(
        f"the microphone '{device.name}' cannot be opened ({refusals[0]}); "
        "is another program using it, or is it forbidden in the system's privacy settings?"
    )


def _formats(device: Device) -> Iterator[tuple[int, int]]:
    rates = dict.fromkeys((RATE, device.rate, *_USUAL_RATES))
    for channels in (1, 2) if device.channels > 1 else (1,):
        for rate in rates:
            if rate >= RATE:
                yield rate, channels


def _default_index(sd: Any) -> int:
    try:
        return int(sd.query_devices(kind="input")["index"])
    except (sd.PortAudioError, ValueError):
        return -1


def _quoted(names: Any) -> str:
    return ", ".join(f"'{name}'" for name in names)
