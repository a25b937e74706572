"""Who works, and what is asked of unit and vehicle, by sound; the spelling alphabet commands nothing.

Synthetic voices in quiet; what is refused is asked again, what is taken is read back.
"""

from __future__ import annotations

import numpy as np
import pytest

from assistant.commands.understanding import expectation_of
from assistant.grammar.meaning import Meaning
from assistant.hearing.recogniser import Recogniser
from assistant.job import events as e
from assistant.phrasing.en.words import SPELLING
from tests.bench import Bench, grammar
from tests.benchmark.voices import spoken
from tests.dialogue.test_reckonings_by_sound import QUIET, VOICES, ear, heard, speakers

__all__ = ["ear", "speakers"]
pytestmark = pytest.mark.full

LETTERS = tuple(SPELLING)
PAIRS = [
    (f"initials {SPELLING[one]} {SPELLING[other]}", one + other)
    for one, other in zip(LETTERS[::2], LETTERS[1::2], strict=True)
]
ASKED = (
    ("this is mike kilo", "named"), ("plan the job", "plan"), ("what was done last time", "no-last-service"),
    ("hand over to juliet romeo", "handed-over"), ("how long on the transfer case", "no-timer"),
    ("stop the engine drain timer", "no-timer"), ("not known", "ask-skip"),
)  # fmt: skip
LEAST_TAKEN = 0.75


def _meanings(ear: Recogniser, bench: Bench, voice: str, words: str) -> list[Meaning]:
    """Return what is understood when a voice says these words."""
    ear.expectation = expectation_of(bench.session.state)
    wave = spoken(voice, words)
    sound = np.concatenate([QUIET, 0.5 * wave / np.max(np.abs(wave)), QUIET, QUIET])
    found = [*ear.feed((sound * 32767).astype("<i2").tobytes()), *ear.finish()]
    return [one.meaning for one in found if one.meaning is not None]


def test_every_letter_is_heard_as_itself(ear: Recogniser) -> None:
    """Each letter of the alphabet in somebody's initials: most are taken at once, none as other initials."""
    bench, right = Bench(), 0
    for number, (words, who) in enumerate(PAIRS):
        taken = _meanings(ear, bench, VOICES[number % len(VOICES)], words)
        assert [one.slot("who") for one in taken if one.kind == "initials"] in ([who], []), words
        assert all(one.kind == "initials" for one in taken), words
        right += bool(taken)
    assert right >= LEAST_TAKEN * len(PAIRS), f"{right} of {len(PAIRS)} taken"


def test_a_letter_alone_commands_nothing(ear: Recogniser) -> None:
    """Said by itself, no word of the alphabet is obeyed."""
    bench = Bench()
    obeyed = {
        word: taken
        for number, word in enumerate(SPELLING.values())
        if (taken := _meanings(ear, bench, VOICES[number % len(VOICES)], word))
    }
    assert obeyed == {}


@pytest.mark.parametrize(("words", "key"), ASKED)
def test_it_is_asked_and_told_by_sound(ear: Recogniser, words: str, key: str) -> None:
    """Heard, and answered."""
    bench = Bench()
    assert heard(ear, bench, "slt", words) == [key]
    if key == "named":
        assert [one.who for one in bench.history if isinstance(one, e.MechanicNamed)] == ["MK"]
    assert isinstance(grammar().parse(words), Meaning)
