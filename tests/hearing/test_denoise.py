"""The noise suppressor behind the second view: it keeps the speech in place and takes noise away."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from assistant.hearing.denoise import Denoise, denoiser
from assistant.hearing.sound import RATE, Samples
from tests.benchmark.noises import engine
from tests.hearing.synthetic import said

pytestmark = pytest.mark.full


@pytest.fixture(scope="module")
def speech() -> Samples:
    """A sentence with half a second of silence at either end."""
    quiet = np.zeros(RATE // 2, dtype=np.int16)
    return np.concatenate([quiet, said("drained four point two litres"), quiet])


@pytest.fixture
def clean(lacking: Callable[[str], None]) -> Denoise:
    """The suppressor."""
    found = denoiser()
    if found is None:
        lacking("the package pyrnnoise is not installed")
    assert found is not None
    return found


def rms(samples: np.ndarray) -> float:
    return float(np.sqrt(np.mean(np.square(samples.astype(np.float64)))))


def test_speech_stays_where_it_was(clean: Denoise, speech: Samples) -> None:
    """As many samples, and none of them moved by more than 2 ms."""
    found = clean(speech)

    assert len(found) == len(speech)
    lags = range(-160, 161, 4)
    middle = slice(RATE // 2, -RATE // 2)
    match = [
        float(np.dot(np.roll(found, -lag)[middle].astype(float), speech[middle].astype(float)))
        for lag in lags
    ]
    assert abs(list(lags)[int(np.argmax(match))]) <= 32


def test_an_engine_is_made_fainter_than_the_speech(clean: Denoise, speech: Samples) -> None:
    """At 5 dB: the noise before the sentence falls by 10 dB more than the sentence does."""
    active = speech[RATE // 2 : -RATE // 2]
    noise = engine(len(speech), RATE, np.random.default_rng(1)) * rms(active) / 10 ** (5 / 20)
    mixed = np.clip(speech + noise, -32_768, 32_767).astype(np.int16)
    found = clean(mixed)

    def ratio(samples: Samples) -> float:
        return 20 * float(
            np.log10(rms(samples[RATE // 2 : -RATE // 2]) / max(rms(samples[: RATE // 3]), 1e-3))
        )

    assert ratio(found) > ratio(mixed) + 10


def test_the_same_sound_gives_the_same_sound(clean: Denoise, speech: Samples) -> None:
    """Nothing is left over from the utterance before."""
    first = clean(speech)
    clean(speech[::-1].copy())

    assert np.array_equal(clean(speech), first)
