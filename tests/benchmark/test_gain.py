"""The gain that follows the level, and what counts as taken, asked and wrong."""

from __future__ import annotations

import numpy as np
import pytest

from assistant.grammar.meaning import Meaning
from assistant.hearing.sound import RATE
from assistant.hearing.utterance import Utterance
from tests.benchmark.enrolment import outcome
from tests.benchmark.gain import TARGET_DB, following

WANTED, OTHER = Meaning("torque", "35", "newton_metre"), Meaning("torque", "25", "newton_metre")


@pytest.mark.parametrize("peak_db", [-40.0, -26.0, -6.0])
def test_a_following_gain_brings_a_steady_tone_to_its_target(peak_db: float) -> None:
    tone = np.sin(np.arange(10 * RATE) * 0.3) * 32_767 * 10 ** (peak_db / 20)
    last = following(np.round(tone).astype(np.int16))[-RATE:]
    assert 20 * np.log10(np.abs(last.astype(float)).max() / 32_768) == pytest.approx(TARGET_DB, abs=0.5)


def utterance(meaning: Meaning | None, doubtful: bool = False) -> Utterance:
    """What an ear decided."""
    return Utterance("", 0.0, 1.0, 1.2, -12.0, -60.0, meaning=meaning, doubtful=doubtful)


def test_the_last_word_on_a_sentence_counts() -> None:
    assert outcome([utterance(WANTED)], WANTED) == "taken"
    assert outcome([utterance(OTHER)], WANTED) == "wrong"
    assert outcome([utterance(OTHER), utterance(WANTED)], WANTED) == "taken"
    assert outcome([utterance(OTHER, doubtful=True)], WANTED) == "asked"
    assert outcome([utterance(None)], WANTED) == "asked"
    assert outcome([], WANTED) == "asked"
