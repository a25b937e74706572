"""A room too loud to be heard in is told of once for each time it is so."""

from __future__ import annotations

import numpy as np
import pytest

from assistant.commands.din import LASTING_S, Din
from assistant.commands.live import TOO_NOISY
from assistant.grammar.meaning import Meaning
from assistant.hearing.sound import NoiseMeter, rms_db
from assistant.hearing.utterance import Utterance
from tests.benchmark import noises
from tests.straight_job import bench_at

BLOCK_S = 0.1


def told(din: Din, noise_db: float, seconds: float, decided: tuple[Utterance, ...] = ()) -> int:
    """How often it tells in so many seconds of a room so loud."""
    blocks = round(seconds / BLOCK_S)
    return sum(din.hear(decided if not at else (), noise_db, BLOCK_S) for at in range(blocks))


def understood(peak_db: float) -> Utterance:
    return Utterance("next step", 0.0, 1.0, 1.2, peak_db, -60.0, meaning=Meaning("next"), share=1.0)


def test_a_loud_room_is_told_of_once_while_it_lasts() -> None:
    din = Din()
    assert told(din, -20.0, 600.0) == 1


def test_a_short_noise_and_a_quiet_room_are_not() -> None:
    din = Din()
    assert told(din, -20.0, LASTING_S - 1.0) == 0
    assert told(din, -50.0, 1.0) == 0
    assert told(din, -20.0, LASTING_S - 1.0) == 0
    assert told(din, -45.0, 3600.0) == 0


def test_the_next_loud_time_is_told_of_again_a_flicker_at_the_edge_is_not() -> None:
    din = Din()
    assert told(din, -20.0, 60.0) == 1
    for _ in range(10):  # just over and just under
        assert told(din, -28.0, 10.0) == 0
        assert told(din, -26.0, 10.0) == 0
    assert told(din, -50.0, 10.0) == 0
    assert told(din, -20.0, 60.0) == 1


def test_loud_is_measured_against_the_voice_that_is_usual_here() -> None:
    """A quiet voice, or a microphone far away, drowns in less; one close to the mouth in more."""
    for peak_db, drowned in ((-30.0, True), (-3.0, False)):
        din = Din()
        told(din, -70.0, 5.0, tuple(understood(peak_db) for _ in range(9)))
        assert bool(told(din, -30.0 if drowned else -19.0, 20.0)) is drowned


@pytest.mark.parametrize(("level_db", "loud"), [(-15.0, True), (-40.0, False)])
def test_the_meter_of_the_ear_says_so_of_a_real_engine(level_db: float, loud: bool) -> None:
    """The made engine noise, through the meter the ear uses."""
    rng = np.random.default_rng(3)
    wave = noises.NOISES["engine"](20 * 16_000, 16_000, rng)
    wave = wave / np.sqrt(np.mean(wave**2)) * 10 ** (level_db / 20) * 32_768
    meter, din, count = NoiseMeter(), Din(), 0
    for at in range(0, len(wave) - 511, 512):
        meter.hear(rms_db(np.clip(wave[at : at + 512], -32_768, 32_767).astype(np.int16)))
        count += din.hear((), meter.level_db, 0.032)

    assert count == int(loud)


def test_the_job_says_it_once_and_then_counts_nothing_as_a_refusal() -> None:
    """Nobody need have spoken, so nobody is taught anything."""
    bench = bench_at("torque")
    assert bench.hear_so(TOO_NOISY, 5.0) == ["sound-noisy"]
    assert bench.hear_so(TOO_NOISY, 5.0) == []
    assert bench.hear_so(TOO_NOISY, 5.0) == []


def test_a_job_standing_by_is_left_alone() -> None:
    bench = bench_at("torque")
    bench.hear("stand by")
    assert bench.hear_so(TOO_NOISY, 5.0) == []
