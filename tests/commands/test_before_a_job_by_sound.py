"""What is told aloud before a job: a vehicle's sheet by its questions, and which services go into one job.

A voice answers, the real recogniser hears it. Synthetic voices in quiet; what is not taken is said again,
slower, as one does.
"""

from __future__ import annotations

import shutil
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

import numpy as np
import pytest

from assistant.commands.ears import Over
from assistant.commands.sheet_keeping import keeps_figures
from assistant.commands.understanding import expectation_of, from_utterance
from assistant.commands.vehicle import asked
from assistant.dialogue.reply import Heard, Reply
from assistant.dialogue.starting import Choice, choose, first
from assistant.grammar.meaning import Meaning
from assistant.hearing.graph_cache import prepared_folder
from assistant.hearing.recogniser import Recogniser
from assistant.job.sheet import sheet_from_data
from assistant.job.state import State
from assistant.phrasing import phrase
from assistant.shelf.vehicle_file import load_units
from assistant.units import Measure
from tests.bench import Bench, grammar
from tests.benchmark.voices import spoken
from tests.dialogue.test_starting import offer

pytestmark = pytest.mark.full

VOICES = ("slt", "kal16")
SLOWER = (1.0, 0.9, 0.85)
QUIET = np.zeros(8_000)


def _last(key: str, **args: object) -> str:
    """Return the sentence a question ends with."""
    return phrase(Reply(key, args), "en")[-1]


FIGURES: Mapping[str, str] = {
    "capacity": "two point four litres",
    "drain-expected": "two point three litres",
    "drain-least": "one point seven litres",
    "drain-most": "not known",
    "pan-holds": "eight litres",
    "run-minimum": "not known",
    "container": "one litre",
    "drain-plug-torque": "four two newton metres",
    "fill-plug-torque": "that is done",
}
ANSWERS: Mapping[str, str] = {
    _last("sheet-vehicle"): "plate reads quebec seven",
    _last("menu", what="unit", options=("engine",)): "number five",
    **{_last("sheet-ask", name=name): words for name, words in FIGURES.items()},
    _last("sheet-version", unit="manual gearbox"): "no",
    _last("sheet-another"): "no",
}
"""The end of a question -> what the mechanic says."""
MOST_AGAIN = 3


class Mechanic:
    """Hears what is asked and answers aloud; what comes back is what the recogniser made of it."""

    def __init__(self, ear: Recogniser) -> None:
        self.ear, self.asked, self.tries = ear, "", 0
        self.again: list[str] = []

    def say(self, sentences: Sequence[str]) -> bool:
        """Listen to the assistant."""
        questions = [one for one in sentences if one in ANSWERS]
        self.asked, self.tries = (questions[-1], 0) if questions else (self.asked, self.tries)
        return True

    def next(self, timeout_s: float | None, state: State | None) -> Heard | Over | None:
        """Answer the question that stands, slower each time; give up after some."""
        if self.tries == len(SLOWER):
            return Over()
        words = ANSWERS[self.asked]
        self.again += [words] if self.tries else []
        heard = hear(self.ear, words, VOICES[len(words) % 2], SLOWER[self.tries], state)
        self.tries += 1
        return heard

    def watch(self, state: Callable[[], State]) -> None:
        """Nothing changes."""


def hear(ear: Recogniser, words: str, voice: str, speed: float, state: State | None) -> Heard | None:
    """Return what is understood when a voice says this, None where nothing is."""
    ear.expectation = expectation_of(state)
    wave = spoken(voice, words, speed)
    sound = np.concatenate([QUIET, 0.5 * wave / np.max(np.abs(wave)), QUIET, QUIET])
    found = [*ear.feed((sound * 32767).astype("<i2").tobytes()), *ear.finish()]
    taken = [from_utterance(one, grammar(), state, lambda _: None) for one in found]
    return next((one for one in taken if isinstance(one.meaning, Meaning)), next(iter(taken), None))


@pytest.fixture
def ear(model: Path, tmp_path: Path, lacking: Callable[[str], None]) -> Recogniser:
    """Return the recogniser of the shipped grammar."""
    if shutil.which("flite") is None:
        lacking("the synthetic speakers of flite")
    return Recogniser(prepared_folder(grammar().acceptor, model, tmp_path), grammar())


def test_services_are_joined_aloud(ear: Recogniser) -> None:
    """Job, service, another with it, enough of them, vehicle: each said once, by either voice."""
    there = offer()
    for voice in VOICES:
        choice, _ = first(there)
        for words in ("new job", "number one", "number two", "no", "number two"):
            answer = hear(ear, words, voice, 1.0, None)
            assert answer is not None, (voice, words)
            choice, _ = choose(there, choice, answer)
        assert choice == Choice(what="new", services=(0, 1), enough=True, vehicle=1), voice


def test_a_sheet_is_told_aloud_and_what_it_lacks_is_kept_with_its_origin(
    ear: Recogniser, tmp_path: Path
) -> None:
    """Code, unit, five figures; then a job asks the one that was left open, and it goes into the sheet."""
    mechanic = Mechanic(ear)
    path = asked(mechanic, mechanic.say, tmp_path)

    assert path == tmp_path / "q7.toml", mechanic.asked
    (unit,) = load_units(path)
    assert unit["unit"] == "manual gearbox"
    assert dict(sheet_from_data(unit).figures) == {
        "capacity": Measure("2.4", "litre"),
        "drain-expected": Measure("2.3", "litre"),
        "drain-least": Measure("1.7", "litre"),
        "pan-holds": Measure("8", "litre"),
        "container": Measure("1", "litre"),
        "drain-plug-torque": Measure("42", "newton_metre"),
    }
    assert len(mechanic.again) <= MOST_AGAIN, mechanic.again

    bench = Bench(sheet=path, service="manual-gearbox")
    keeps_figures(bench.session, path)
    bench.hear("this is mike kilo")
    figure = hear(ear, "service every six zero thousand kilometres", "slt", 1.0, bench.session.state)
    assert figure is not None
    bench.hear_so(figure)
    bench.hear("finish the job", "yes", "yes")
    (unit,) = load_units(path)
    sheet = sheet_from_data(unit)
    assert sheet.figures["service-interval"] == Measure("60000", "kilometre")
    assert sheet.origins == {"service-interval": "said on 2026-09-21 by MK"}
