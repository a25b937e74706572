"""Every question that is reckoned, driven by sound: spoken by a synthetic voice, heard, and answered.

The whole way of a running job without its devices: sound, recogniser, judgement by what the job awaits,
dialogue, journal. One recogniser for all. The figures are those of the typed tests.
"""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from assistant.commands.understanding import expectation_of, from_utterance
from assistant.dialogue.reckonings import RECKONINGS
from assistant.errors import MissingPart
from assistant.grammar.meaning import RECKONED, Meaning
from assistant.hearing.graph_cache import prepared_folder
from assistant.hearing.model import default_folder, fetch_model, find_model
from assistant.hearing.recogniser import Recogniser
from assistant.shelf.places import cache_folder
from assistant.units import Measure
from tests.bench import Bench, grammar
from tests.benchmark.voices import spoken
from tests.dialogue.reckoning_bench import bench_with
from tests.straight_job import bench_at

pytestmark = pytest.mark.full

VOICES = ("slt", "kal16", "awb")
QUIET = np.zeros(8_000)


@pytest.fixture(scope="module")
def ear(tmp_path_factory: pytest.TempPathFactory) -> Recogniser:
    """Return the recogniser of the shipped grammar; the model is fetched where it is not there yet."""
    try:
        model = find_model(None, cache_folder())
    except MissingPart:
        model = fetch_model(default_folder(cache_folder()), lambda _done, _total: None)
    folder = prepared_folder(grammar().acceptor, model, tmp_path_factory.mktemp("graphs"))
    return Recogniser(folder, grammar())


@pytest.fixture(autouse=True)
def speakers(lacking: Callable[[str], None]) -> None:
    """Stop where the synthetic speakers are not installed."""
    if shutil.which("flite") is None:
        lacking("flite, whose voices ask the questions; on Debian: apt install flite")


def heard(ear: Recogniser, bench: Bench, voice: str, words: str) -> list[str]:
    """Speak a sentence into the running job; return the keys of the replies."""
    ear.expectation = expectation_of(bench.session.state)
    wave = spoken(voice, words)
    sound = np.concatenate([QUIET, 0.5 * wave / np.max(np.abs(wave)), QUIET, QUIET])
    utterances = [*ear.feed((sound * 32767).astype("<i2").tobytes()), *ear.finish()]
    assert [one.meaning for one in utterances] == [grammar().parse(words)], [one.words for one in utterances]
    return bench.hear_so(from_utterance(utterances[0], grammar(), bench.session.state, lambda _: None))


def litres(value: str) -> Measure:
    """Return litres."""
    return Measure(value, "litre")


def degrees(value: str) -> Measure:
    """Return degrees Celsius."""
    return Measure(value, "celsius")


GEARBOX = {
    "capacity": "10 litre",
    "drain_expected": "4.7 litre",
    "container": "4 litre",
    "span": "0.36 litre",
    "span_length": "6 millimetre",
    "drain_plug_torque": "80 newton metre",
    "hot_low": "70 degree celsius",
    "hot_high": "80 degree celsius",
    "workshop": "20 degree celsius",
    "fluid_grade": "gear 75W-90",
    "fluid_viscosity": "15 centistokes",
    "fluid_viscosity_40": "100 centistokes",
    "fluid_density": "870 kilogram per cubic metre",
    "pan_area": "600 square centimetre",
    "hole": "12 millimetre",
    "wall_width": "250 centimetre",
    "wall_height": "20 centimetre",
    "coolant_share": "50 percent",
    "density_ratio": "1.11 one",
    "bolt_count": "8 one",
    "pan_bolt_torque": "10 newton metre",
}
"""An invented gearbox on which the figures of the typed tests come out."""
DRAINED = ("drained four litres",)
WARMING = ("temperature three zero degrees celsius", 296, "temperature four zero degrees celsius")
COOLING = ("temperature nine five degrees celsius", 1796, "temperature six one degrees celsius")
DRIPPING = ("start drain timer ten minutes", 296, "drip interval nought point five seconds")

CASES: tuple[tuple[tuple[str | int, ...], str, str, dict[str, object]], ...] = (
    (DRAINED, "how much is old", "old-left", {"share": Measure("60", "percent"), "amount": litres("6")}),
    (DRAINED, "how many changes to get to ninety percent", "changes", {"count": 5, "fluid": litres("20")}),
    (DRAINED, "how many changes for ten percent old", "changes", {"count": 5}),
    ((), "what does three five newton metres make in foot pounds", "torque-makes",
     {"given": Measure("35", "newton_metre"), "torque": Measure("26", "pound_foot")}),
    ((), "convert one zero six inch pounds to newton metres", "torque-makes",
     {"torque": Measure("12", "newton_metre")}),
    (WARMING, "is it warm enough", "too-cold", {"temperature": degrees("40"), "low": degrees("70")}),
    (WARMING, "how long until fifty degrees", "wait-left",
     {"minutes": Measure("5", "minute"), "goal": degrees("50")}),
    (WARMING, "how long until it is warm", "wait-left", {"goal": degrees("70"), "rough": True}),
    (COOLING, "when can i touch it", "wait-left", {"minutes": Measure("1", "minute"), "goal": degrees("60")}),
    (DRIPPING, "is it worth waiting", "worth-waiting",
     {"left": Measure("60", "millilitre"), "worth": True}),
    (DRIPPING, "how bad is the leak", "leak", {"interval": Measure("0.5", "second")}),
    (("wrench is four zero centimetres long",), "what do i set with a five centimetre adapter",
     "adapter-setting", {"setting": Measure("71", "newton_metre")}),
    ((), "what do i set with a five centimetre adapter", "needs-figure", {"figure": "wrench-length"}),
    ((), "plan the job", "plan", {}),
    ((), "what do i buy", "buy", {"count": 2, "left": litres("3.3")}),
    (("in stock four litres",), "how many cans do i need", "buy", {"count": 1, "stock": litres("4")}),
    ((), "how much from each can", "pour-plan", {"full": 1, "last": litres("0.7"), "left": litres("3.3")}),
    (("drained one US quart", "another three point nine US quarts", "poured three US quarts"),
     "what is owed", "owed", {"how": "still-short", "amount": Measure("1.9", "us_quart")}),
    (WARMING, "what should the stick read", "reads-away", {"mark": "hot", "lower": True}),
    (("clock reads one two three four five six kilometres", "service every six zero thousand kilometres"),
     "next service", "due-at", {"distance": Measure("183500", "kilometre")}),
    ((*DRAINED, "coolant left is three zero percent"), "how much concentrate for fifty percent", "mixture",
     {"concentrate": litres("3.2"), "water": litres("0.8")}),
    ((), "is it the right class", "class-verdict", {"verdict": "of-class"}),
    ((), "wrench is four zero centimetres long", "figure-kept", {"measure": Measure("40", "centimetre")}),
    ((), "in stock four litres", "figure-kept", {"measure": litres("4")}),
    ((), "service every six zero thousand kilometres", "figure-kept",
     {"measure": Measure("60000", "kilometre")}),
    # units, wrench, bolts
    ((), "what is four litres in us quarts", "makes", {"made": Measure("4.2", "us_quart")}),
    ((), "convert four quarts into litres", "which-measure", {}),
    ((), "wrench from two zero to one zero zero newton metres", "figure-kept", {}),
    (("wrench from two zero to one zero zero newton metres",), "will this wrench do", "wrench-fits",
     {"verdict": "fits"}),
    ((), "what does the wrench really give", "torque-band", {"least": Measure("76.8", "newton_metre")}),
    ((), "check two five foot pounds", "torque-check", {"verdict": "far"}),
    (("bolt diameter one zero millimetres", "friction nought point two"), "what is the clamping force",
     "preload", {"force": Measure("5", "kilonewton")}),
    ((), "start the bolts", "bolts-begin", {"count": 8, "torque": Measure("3", "newton_metre")}),
    (("start the bolts",), "bolt one done", "bolt-next", {"next": 5, "in_turn": True}),
    (("start the bolts",), "round one done", "bolts-round", {"number": 2}),
    # fluids
    ((), "how thick is it at eight zero degrees celsius", "viscosity-at", {}),
    ((), "what is the viscosity index", "viscosity-index", {"index": Measure("157", "one")}),
    ((*DRAINED, "old viscosity ten"), "how thick is the mixture", "blend",
     {"share": Measure("60", "percent")}),
    ((), "what do five litres at eight zero degrees celsius make cold", "volume-cold",
     {"cold": litres("4.8")}),
    ((), "what do eight litres of coolant at nine zero degrees celsius make cold", "volume-cold",
     {"cold": litres("7.7")}),
    ((), "what do eight litres of water at nine zero degrees celsius make cold", "volume-cold",
     {"cold": litres("7.7")}),
    ((), "correction factor at eight zero degrees celsius", "oil-factor",
     {"factor": Measure("0.9525", "one")}),
    ((), "how much concentrate for fifty percent in five litres", "mixture", {"concentrate": litres("2.5")}),
    (("coolant left is three zero percent",), "how much do i exchange for fifty percent", "coolant-exchange",
     {"amount": litres("2.9")}),
    (("drained six litres", "poured three litres"), "is air trapped", "coolant-taken", {"trapped": True}),
    ((), "how much concentrate by weight for thirty percent", "mixture", {"concentrate": litres("2.8")}),
    ((), "what is left after an exchange of twelve litres", "exchange-leaves",
     {"mixed": Measure("30", "percent")}),
    ((), "how much for an exchange to ninety percent", "exchange-takes", {"volume": litres("23")}),
    ((*DRAINED, "in stock twenty litres"), "when does the drum run out", "drum", {"count": 5}),
    (WARMING, "how warm will it be in ten minutes", "warm-after", {"temperature": degrees("60")}),
    ((*WARMING, 296, "temperature four five degrees celsius"), "where does it settle", "settles-at",
     {"sure": True}),
    # levels and draining
    (("five millimetres below the hot mark",), "how much is that on the stick", "level-offset",
     {"away": litres("0.3"), "low": True}),
    (("five millimetres below the hot mark",), "how much to the mark", "level-to-add",
     {"amount": litres("0.3")}),
    (WARMING, "how far will it rise", "level-rise", {"falls": False}),
    ((), "how much is one five millimetres in the pan", "pan-volume", {"volume": litres("0.9")}),
    (("just drops", "temperature seven five degrees celsius"), "what does the plug say", "plug-says", {}),
    (("nothing on the stick",), "can i believe the stick", "believe-stick",
     {"verdict": "wipe-and-dip-again"}),
    (("a drop a second",), "how much does it drip", "drip-rate", {}),
    ((), "how long does it take to drain", "time-to-drain", {}),
    ((*WARMING, "start drain timer ten minutes", 60), "how much clings to the wall", "clinging", {}),
    (WARMING, "how much more clings cold", "clings-colder", {}),
    # pouring and what is due
    ((), "how much first", "first-pour", {"first": litres("4")}),
    ((), "must i stop pouring", "no-advice-yet", {}),
    (DRAINED, "is that plausible", "plausible-amount", {"verdict": "plausible"}),
    (DRAINED, "what does each unit need", "unit-owed", {"how": "still-short", "amount": litres("4")}),
    (("service every twelve months",), "which date is the next service", "due-on", {"date": "2027-09-21"}),
    (("clock reads one two three four five six kilometres",
      "service due at one three zero thousand kilometres"), "how far to the next service", "distance-left",
     {"distance": Measure("6500", "kilometre")}),
)  # fmt: skip
"""What was typed before (seconds of waiting between), what is spoken, what is answered with which figures."""


def test_every_question_is_heard_and_answered(ear: Recogniser, tmp_path: Path) -> None:
    """Each by another voice than the last."""
    wrong = []
    for number, (before, words, key, figures) in enumerate(CASES):
        bench = bench_with(tmp_path, **GEARBOX)
        for line in before:
            bench.wait(line) if isinstance(line, int) else bench.hear(line)
        said = heard(ear, bench, VOICES[number % len(VOICES)], words)
        told = bench.replies[-1].args
        if set(said) != {key} or any(told.get(name) != figure for name, figure in figures.items()):
            wrong.append((words, said, dict(told)))
    assert wrong == []


def test_every_kind_of_reckoned_question_is_among_them() -> None:
    """A question added to the reckoning is driven by sound, too."""
    asked = {
        meaning.kind for _, words, _, _ in CASES if isinstance(meaning := grammar().parse(words), Meaning)
    }

    assert set(RECKONINGS) | {"figure", "bolt", "bolt-round"} <= asked


def test_every_computation_asked_by_name_is_among_them() -> None:
    """And of a volume at another temperature every fluid."""
    meanings = [grammar().parse(words) for _, words, _, _ in CASES]
    asked = [one for one in meanings if isinstance(one, Meaning) and one.kind == "reckon"]

    assert {one.slot("name") for one in asked} == set(RECKONED)
    assert {one.slot("fluid") for one in asked} == {"", "coolant", "water"}


def test_a_job_is_asked_while_the_fluid_goes_in(ear: Recogniser) -> None:
    """4.2 L came out at 55 C, 5 mm of 16 for 0.4 L were short before: 4.08 + 0.13 L go in, 3 L are in."""
    bench = bench_at("pour")
    bench.hear("poured three litres")

    assert heard(ear, bench, "slt", "how much to go") == ["pour-to-go"]
    assert bench.replies[-1].args["done"] == litres("3")
    assert bench.replies[-1].args["left"] == litres("1.2")
    assert heard(ear, bench, "kal16", "what is owed") == ["owed"]
    assert bench.replies[-1].args == {"how": "still-short", "amount": litres("1.1")}
    assert heard(ear, bench, "awb", "how much is old") == ["old-left"]
    assert bench.replies[-1].args["share"] == Measure("52", "percent")
    assert bench.step == "pour"


def test_what_is_reckoned_from_a_reading_is_driven_by_it(ear: Recogniser) -> None:
    """Nobody asks for these: a drop's interval tells what is still to come, the amounts what goes in."""
    bench = bench_at("drain-wait")
    bench.wait(595)
    assert "drip-advice" in heard(ear, bench, "slt", "a drop every two zero seconds")
    assert [each.name for each in bench.session.state.advice.values()] == ["still-to-come"]

    bench = bench_at("measure-temperature")
    assert "heard" in heard(ear, bench, "kal16", "five five degrees celsius")
    assert "advise-refill" in heard(ear, bench, "awb", "next step")
    assert "refill" in [each.name for each in bench.session.state.advice.values()]


def test_two_plugs_are_asked_apart(ear: Recogniser, tmp_path: Path) -> None:
    """20 N m for the drain plug, 15 for the fill plug."""
    bench = bench_with(tmp_path, drain_plug_torque="20 newton metre", fill_plug_torque="15 newton metre")

    assert heard(ear, bench, "slt", "check two zero newton metres") == ["which-plug-torque"]
