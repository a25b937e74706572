"""However certain the recogniser is, nothing is believed on that alone."""

from __future__ import annotations

import pytest

from assistant.dialogue.reply import Heard
from assistant.grammar.meaning import Meaning
from assistant.job import events as e
from tests.straight_job import bench_at


@pytest.mark.parametrize(
    ("step", "meaning", "words", "said"),
    [
        ("measure", Meaning("drained", "3.5", "litre", (("form", "bare"),)),
         "drained three point five litres", ("three point five", "litres")),
        ("measure-temperature", Meaning("temperature", "55", "celsius"), "fifty five degrees celsius",
         ("fifty five", "degrees")),
        ("torque", Meaning("torque", "36", "newton_metre"), "torque three six newton metres",
         ("three six", "newton metres")),
    ],
)  # fmt: skip
def test_a_certain_reading_is_read_back_and_does_not_stand_by_that(
    step: str, meaning: Meaning, words: str, said: tuple[str, ...]
) -> None:
    """Number and unit are spoken; what it is used for waits for a yes, the next sentence, or time."""
    bench = bench_at(step)

    bench.hear_so(Heard(meaning, words, share=1.0, seconds=2.0))

    spoken = " ".join(bench.sentences).lower()
    assert all(piece in spoken for piece in said)
    kept = [event for event in bench.events if isinstance(event, e.ReadingHeard)]
    assert len(kept) == 1
    assert not bench.session.state.readings[kept[0].reading].standing
