"""The real canceller on a simulated room, and its self check; a human voice is not needed for either."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import numpy as np
import pytest

from assistant.duplex import canceller
from assistant.duplex.canceller import FRAME, RATE, SpeexCanceller
from assistant.duplex.cancelling import Both, Cancelling
from assistant.duplex.reduction import SETTLED_DB
from assistant.errors import MissingPart
from tests.benchmark.echo.room import echo
from tests.benchmark.noises import Wave

ECHO = 0.05
"""RMS of what is played and of its echo."""
SYLLABLES_HZ = 4.0
SLIP = round(0.020 * RATE)


@pytest.fixture
def cancelling(lacking: Callable[[str], None]) -> Cancelling:
    """A fresh canceller behind its check."""
    try:
        return Cancelling(SpeexCanceller())
    except MissingPart as trouble:
        lacking(str(trouble))
        raise


def babble(seconds: float, seed: int) -> Wave:
    """Noise in the spectrum and the rhythm of speech, RMS one."""
    noise = np.random.default_rng(seed).standard_normal(round(seconds * RATE))
    spectrum, hertz = np.fft.rfft(noise), np.fft.rfftfreq(len(noise), 1 / RATE)
    low = np.fft.irfft(spectrum / (1 + (hertz / 600) ** 2), len(noise))
    at = np.arange(len(noise)) / RATE
    wave = low * np.clip(np.sin(2 * np.pi * SYLLABLES_HZ * at), 0, 1)
    return np.asarray(wave / np.sqrt(np.mean(wave**2)))


def through(cancelling: Cancelling, heard: Wave, played: Wave, at_s: float) -> list[bool]:
    """Whether it had settled, frame by frame."""
    both = [np.round(np.clip(one, -1, 1) * 32_767).astype(np.int16) for one in (heard, played)]
    return [
        block.cancelled
        for at in range(0, len(played), FRAME)
        for block in cancelling.blocks(
            Both(both[0][at : at + FRAME], both[1][at : at + FRAME], at_s + at / RATE)
        )
    ]


def test_it_settles_on_our_voice_and_a_slip_of_20_ms_unsettles_it(cancelling: Cancelling) -> None:
    """Nothing is believed in the first second; and within a second after the slip nothing is any more."""
    played = ECHO * babble(12.0, 1)
    heard = echo(played) + 1e-4 * np.random.default_rng(2).standard_normal(len(played))
    slipped = np.concatenate([heard[: 8 * RATE], heard[8 * RATE + SLIP :], np.zeros(SLIP)])

    settled = through(cancelling, slipped, played, 100.0)

    assert not any(settled[:100])
    assert all(settled[700:800])
    assert not all(settled[800:900])
    assert cancelling.reduction.measured > 1_000


def test_it_stays_settled_while_somebody_speaks_into_it(cancelling: Cancelling) -> None:
    """Ten times as loud as the echo: what is left is as loud as what was captured, and yet it is right."""
    played = ECHO * babble(11.0, 1)
    heard = 0.3 * echo(played)
    settled = through(cancelling, heard[: 8 * RATE], played[: 8 * RATE], 100.0)
    assert all(settled[-100:])
    assert cancelling.reduction.db > SETTLED_DB

    voice = 0.15 * babble(3.0, 7)
    settled = through(cancelling, heard[8 * RATE :] + voice, played[8 * RATE :], 108.0)

    assert cancelling.reduction.db < 3.0
    assert all(settled)


def test_a_side_that_lost_sound_is_believed_only_when_it_was_measured_again(cancelling: Cancelling) -> None:
    """Also where the canceller itself found it again sooner."""
    played = ECHO * babble(8.0, 1)
    heard = echo(played)
    assert all(through(cancelling, heard, played, 100.0)[-100:])
    blank = np.zeros(FRAME, np.int16)

    told = next(cancelling.blocks(Both(blank, blank, 108.0, slipped=True)))

    assert not told.cancelled


def test_without_the_library_it_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    """In one sentence."""
    monkeypatch.setattr(canceller, "NAMES", ("libabsent.so.9",))
    monkeypatch.setattr("ctypes.util.find_library", lambda _: None)
    canceller.library.cache_clear()
    try:
        with pytest.raises(MissingPart, match="apt install libspeexdsp1"):
            canceller.library()
    finally:
        canceller.library.cache_clear()


@pytest.mark.parametrize("rate", [44_100, 48_000])
def test_another_rate_comes_out_as_ours_both_sides_in_step(rate: int) -> None:
    """The two sides are the same here, so their difference is the dither of the resamplers."""

    class Difference:
        def cancel(self, captured: bytes, played: bytes) -> bytes:
            difference = np.frombuffer(captured, "<i2") - np.frombuffer(played, "<i2")
            return difference.astype("<i2").tobytes()

        def close(self) -> None: ...

    cancelling = Cancelling(Difference(), rate)
    tone = np.round(9_000 * np.sin(np.arange(rate) / 17)).astype(np.int16)
    size = rate // 100
    found = [
        block
        for at in range(0, rate, size)
        for block in cancelling.blocks(Both(tone[at : at + size], tone[at : at + size], 50.0 + at / rate))
    ]

    assert max(int(np.abs(np.frombuffer(block.pcm, "<i2")).max()) for block in found) <= 2
    assert 90 <= len(found) <= 100
    assert [after.at - before.at for before, after in pairwise(found)] == pytest.approx(
        [0.01] * (len(found) - 1), abs=2e-3
    )
