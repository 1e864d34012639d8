"""The noises have the ratio and the character they claim, measured by other means."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import signal

from dictate.bench.clips import LEAD_S, TAIL_S, Clip
from dictate.bench.conditions import ALL, Condition, heard, named
from dictate.bench.noise import active_level, babble, mixed, suction, whine
from dictate.bench.problems import BenchError
from dictate.bench.room import DECAY_S, impulse_response, reverberant
from dictate.bench.sentences import Sentence
from dictate.bench.synthesis import Wave
from dictate.bench.voices import Voice

RATE = 16_000


def tone(seconds: float = 2.0, hertz: float = 440.0, level: float = 0.3) -> Wave:
    return (level * np.sin(2 * np.pi * hertz * np.arange(int(seconds * RATE)) / RATE)).astype("f4")


def clip() -> Clip:
    """A tone between two silences, as if it were speech."""
    quiet, tail = np.zeros(int(LEAD_S * RATE), "f4"), np.zeros(int(TAIL_S * RATE), "f4")
    sentence = Sentence(id="dev-x", kind="offtalk", accent="us", say="hello")
    voice = Voice(
        id="v", family="flite", split="dev", accent="us", character="natural", speaker=("rms",)
    )
    return Clip(sentence, voice, np.concatenate([quiet, tone(), tail]))


def test_the_active_level_of_a_sine_is_its_amplitude_over_root_two() -> None:
    """Textbook value; silence around the sine must not lower it."""
    padded = np.concatenate([np.zeros(RATE, "f4"), tone(level=0.3), np.zeros(RATE, "f4")])
    assert active_level(padded) == pytest.approx(0.3 / np.sqrt(2), rel=0.01)


@pytest.mark.parametrize("snr_db", [20.0, 10.0, 5.0])
@pytest.mark.parametrize("make", [suction, whine])
def test_the_mixture_has_the_ratio_asked_for(make: object, snr_db: float) -> None:
    """The ratio measured by Welch's power spectra (scipy), from the mixture less the speech."""
    speech = tone()
    noise = make(len(speech), np.random.default_rng(3))  # type: ignore[operator]
    both = mixed(speech, noise, snr_db)
    scale = 1.0 if np.abs(both).max() < 0.98 else _scale(both, speech, noise)
    left = both.astype(float) - scale * speech
    power = [np.trapezoid(signal.welch(x, RATE)[1]) for x in (scale * speech, left)]
    assert 10 * np.log10(power[0] / power[1]) == pytest.approx(snr_db, abs=0.4)


def _scale(both: Wave, speech: Wave, noise: np.ndarray) -> float:
    basis = np.stack([speech, noise], axis=1)
    return float(np.linalg.lstsq(basis, both, rcond=None)[0][0])


def test_nothing_clips_however_loud_the_noise() -> None:
    assert np.abs(mixed(tone(level=0.9), suction(2 * RATE, np.random.default_rng(1)), -5)).max() < 1


def test_the_whine_is_a_high_tone_with_its_octave() -> None:
    sound = whine(4 * RATE, np.random.default_rng(5))
    hertz, power = signal.welch(sound, RATE, nperseg=4096)
    peak = hertz[np.argmax(power)]
    assert 2400 <= peak <= 3600
    octave = power[(hertz > 1.85 * peak) & (hertz < 2.15 * peak)].max()
    assert octave > 10 * np.median(power)


def test_the_hiss_is_broad() -> None:
    hertz, power = signal.welch(suction(4 * RATE, np.random.default_rng(5)), RATE, nperseg=1024)
    inside = power[(hertz > 700) & (hertz < 6500)]
    assert inside.max() / inside.min() < 300
    assert inside.sum() > 0.5 * power.sum()


def test_babble_has_every_talker_in_it() -> None:
    talkers = [tone(1.0, hertz) for hertz in (300.0, 700.0, 1500.0)]
    sound = babble(3 * RATE, talkers, np.random.default_rng(2))
    hertz, power = signal.welch(sound, RATE, nperseg=4096)
    for expected in (300.0, 700.0, 1500.0):
        near = (hertz > 0.85 * expected) & (hertz < 1.15 * expected)
        assert power[near].max() > 100 * np.median(power)


def test_the_room_decays_in_the_time_it_claims() -> None:
    """Schroeder's backward integration (J. Acoust. Soc. Am. 1965;37:409), fitted -5 to -25 dB."""
    energy = np.cumsum(impulse_response(np.random.default_rng(4))[::-1] ** 2)[::-1]
    level = 10 * np.log10(energy / energy[0])
    tail = np.flatnonzero((level < -5) & (level > -25))
    slope = np.polyfit(tail / RATE, level[tail], 1)[0]
    assert -60 / slope == pytest.approx(DECAY_S, rel=0.15)


def test_reverberation_keeps_peak_and_length() -> None:
    wet = reverberant(tone(), np.random.default_rng(1))
    assert len(wet) == 2 * RATE
    assert np.abs(wet).max() == pytest.approx(0.3, rel=0.01)


def test_a_condition_always_gives_the_same_samples() -> None:
    talkers = [tone(1.0, 200.0), tone(1.0, 900.0)]
    for condition in ALL:
        first, second = (heard(clip(), condition, talkers) for _ in range(2))
        assert np.array_equal(first, second), condition.name


def test_the_same_noise_is_only_turned_up_from_ratio_to_ratio() -> None:
    quiet, loud = (heard(clip(), Condition("suction", db), ()) for db in (20.0, 10.0))
    lead = slice(0, int(LEAD_S * RATE))
    shape = np.corrcoef(quiet[lead], loud[lead])[0, 1]
    assert shape == pytest.approx(1.0, abs=1e-3)
    assert loud[lead].std() / quiet[lead].std() == pytest.approx(10**0.5, rel=0.02)


def test_conditions_go_by_name() -> None:
    assert named(["clean", "whine-5"]) == (Condition("clean"), Condition("whine", 5.0))
    with pytest.raises(BenchError, match="no condition 'loud'"):
        named(["loud"])
