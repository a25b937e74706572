"""Noises of a workshop, made here from a seed, and mixing them with speech at a stated ratio.

Every noise is a float array with an RMS of one. The shapes (firing harmonics over pink noise, the hum and
thump of a piston compressor, struck metal) are common practice in building test noise, no source; they
stand in for recordings, of which no open ones from a workshop are known to us.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import numpy.typing as npt

Wave = npt.NDArray[np.float64]
Rng = np.random.Generator

FIRING_HZ = 25.0
"""Firing rate of four cylinders at 750 revolutions a minute (four-stroke: two firings a revolution)."""
MAINS_HZ, PISTON_HZ = 50.0, 11.0
CLANKS_PER_S = 1.5


def pink(count: int, rate: int, rng: Rng) -> Wave:
    """Noise whose power falls by 3 dB an octave from 20 Hz up."""
    spectrum = np.fft.rfft(rng.standard_normal(count))
    hertz = np.fft.rfftfreq(count, 1 / rate)
    return _unit(np.fft.irfft(spectrum / np.sqrt(np.maximum(hertz, 20.0)), count))


def engine(count: int, rate: int, rng: Rng) -> Wave:
    """An engine idling near by: harmonics of an uneven firing rate, and pink noise pulsing with it."""
    wander = np.cumsum(rng.standard_normal(count)) / np.sqrt(rate)
    phase = 2 * np.pi * np.cumsum(FIRING_HZ * (1 + 0.01 * np.tanh(wander))) / rate
    tone = np.zeros(count)
    for order in np.arange(0.5, 24.5, 0.5):  # the half orders come from cylinders that differ
        strength = (0.4 if order % 1 else 1.0) / order**0.9
        tone += strength * np.sin(order * phase + rng.uniform(0, 2 * np.pi))
    pulsing = 1 + 0.6 * np.sin(phase + rng.uniform(0, 2 * np.pi))
    return _unit(_unit(tone) + 0.8 * pulsing * pink(count, rate, rng))


def compressor(count: int, rate: int, rng: Rng) -> Wave:
    """A piston compressor across the hall: mains hum, piston thump, a hiss that breathes with it."""
    at = np.arange(count) / rate
    hum = sum(np.sin(2 * np.pi * MAINS_HZ * order * at) / order for order in (1, 2, 3, 4, 6))
    beat = np.maximum(0, np.sin(2 * np.pi * PISTON_HZ * at)) ** 4
    thump = beat * np.sin(2 * np.pi * 70 * at)
    hiss = (0.4 + beat) * rng.standard_normal(count)
    return _unit(0.5 * _unit(np.asarray(hum)) + _unit(thump) + 0.6 * _unit(hiss))


def clanks(count: int, rate: int, rng: Rng) -> Wave:
    """Tools put down and dropped: struck metal at random moments over a bed of pink noise."""
    wave = 0.15 * pink(count, rate, rng)
    blows = max(1, rng.poisson(CLANKS_PER_S * count / rate))
    for start in rng.integers(0, max(1, count - rate // 10), blows):
        at = np.arange(min(count - start, rate // 2)) / rate
        blow = np.zeros(len(at))
        for hertz in rng.uniform(900, min(6_500, rate * 0.45), 7):
            blow += rng.uniform(0.3, 1) * np.exp(-at * rng.uniform(12, 60)) * np.sin(2 * np.pi * hertz * at)
        wave[start : start + len(at)] += rng.uniform(0.4, 1.0) * blow
    return _unit(wave)


NOISES: dict[str, Callable[[int, int, Rng], Wave]] = {
    "pink": pink,
    "engine": engine,
    "compressor": compressor,
    "clanks": clanks,
}
"""Name -> noise of `count` samples at `rate` Hz. Babble is apart: it is made of speech."""


def babble(count: int, talk: Sequence[Wave], rng: Rng, voices: int = 5) -> Wave:
    """Several people talking: `voices` streams of randomly chosen pieces of `talk`, equally loud."""
    whole = np.zeros(count)
    for _ in range(voices):
        stream = np.zeros(0)
        while len(stream) < count:
            stream = np.concatenate([stream, _unit(talk[int(rng.integers(len(talk)))])])
        whole += np.roll(stream, int(rng.integers(len(stream))))[:count]
    return _unit(whole)


def mixed(speech: Wave, noise: Wave, snr_db: float, level: float) -> Wave:
    """Return noise all through, with `speech` in its middle at `snr_db`.

    `level` is the RMS of the speech while it speaks; the ratio is of that RMS to the noise's RMS (20 log).
    """
    before = (len(noise) - len(speech)) // 2
    scaled = noise * level / 10 ** (snr_db / 20)
    scaled[before : before + len(speech)] += speech * (level / active_rms(speech))
    return scaled


def active_rms(speech: Wave, frame: int = 320) -> float:
    """Return the RMS of the frames (320 samples: 20 ms at 16 kHz) within 30 dB of the loudest one."""
    whole = speech[: len(speech) // frame * frame].reshape(-1, frame)
    powers = np.mean(whole**2, axis=1)
    return float(np.sqrt(np.mean(powers[powers >= powers.max() / 1000])))


def _unit(wave: Wave) -> Wave:
    return wave / max(float(np.sqrt(np.mean(wave**2))), 1e-12)
