"""The listening benchmark counts as a textbook does, and looks at everything that is spoken."""

from __future__ import annotations

import numpy as np
import pytest

from assistant.phrasing import LANGUAGES
from assistant.speaking.sound import from_samples
from tests.benchmark.listening.command import AROUND_S, RATE, SNR_DB, Heard, in_noise, left
from tests.benchmark.listening.listeners import errors, words
from tests.phrasing.spoken import everything


@pytest.mark.parametrize(
    ("said", "heard", "count"),
    [
        ("open the plug", "open the plug", 0),
        ("open the plug", "", 3),
        ("open the plug", "open a plug fully", 2),
        ("", "open", 1),
        ("first can three litres", "can three litres", 1),
    ],
)
def test_errors_are_the_least_number_of_changes(said: str, heard: str, count: int) -> None:
    """Replaced, left out, put in: the usual word error (minimum edit distance, Levenshtein 1966)."""
    assert errors(said.split(), heard.split()) == count
    assert errors(heard.split(), said.split()) == count


def test_a_sentence_counts_by_whoever_understood_it_better() -> None:
    """A word that only one does not know is no fault of the sentence."""
    one = Heard("Open the plug.", "say", 1.5, {"a": words("open the plug"), "b": words("hope in the plug")})

    assert one.best == 0
    assert one.share("b") == pytest.approx(2 / 3)
    assert one.pace == pytest.approx(120)


def test_the_noise_is_as_loud_as_it_is_said_to_be_and_the_same_each_time() -> None:
    """Measured on a tone that fills every frame."""
    tone = from_samples(0.3 * np.sin(0.3 * np.arange(2 * RATE)), RATE)
    wave = np.frombuffer(in_noise(tone, "a"), dtype="<i2").astype(float)
    assert in_noise(tone, "a") == in_noise(tone, "a") != in_noise(tone, "b")

    around = round(AROUND_S * RATE)
    noise = np.concatenate([wave[:around], wave[-around:]])
    both = wave[around:-around]
    ratio = (np.mean(both**2) - np.mean(noise**2)) / np.mean(noise**2)
    assert 10 * np.log10(ratio) == pytest.approx(SNR_DB, abs=3)  # the engine's firing is not even


def test_every_reply_and_every_service_is_listened_to() -> None:
    """By name; each sentence once."""
    found = everything()
    keys = {where.removeprefix("reply ") for where in found.values() if where.startswith("reply ")}

    assert len(found) > 1500
    assert len(set(LANGUAGES["en"].replies) - keys) < 40  # those whose every sentence another says, too
    assert {"say", "full", "ask", "cautions"} <= set(found.values())


def test_a_run_that_was_broken_off_goes_on_with_what_is_left() -> None:
    """Each sentence once, in an order that depends on nothing but the seed."""
    every = everything()
    first = next(iter(left(every, [])))
    rest = left(every, [Heard(first, every[first], 1.0, {})])

    assert set(rest) == set(every) - {first}
    assert list(left(every, []))[1:] == list(rest)
    assert list(rest) != sorted(rest)
