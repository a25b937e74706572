"""Jobs at random: any words, any valid sentences in any order, any waits, restarts; every rule holds."""

from __future__ import annotations

import random
from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path

import pytest

from assistant.dialogue.reply import Heard
from assistant.grammar.meaning import NoMatch
from assistant.job import balance
from assistant.job import events as e
from assistant.job.state import State, apply, begin, fold
from assistant.units import Measure, convert, measured
from tests.bench import grammar
from tests.straight_job import BARE, SAID, bench_at

WALKS, SENTENCES = 6, 60
"""Random walks for each sheet, and their length, in the quick tier."""


def test_no_words_at_any_moment_raise_or_ask_a_third_time() -> None:
    """Five thousand random word sequences over a whole job: refused or understood, never an exception."""
    chance = random.Random(20)
    words = sorted({word for _ in range(3000) for word in grammar().sample(chance.randrange).split()})
    benches = [bench_at(step) for step in ("lay-out", "look", "torque", "measure", "plan", "pour")]
    refused = 0
    for number in range(5000):
        bench = benches[number % len(benches)]
        line = " ".join(chance.choice(words) for _ in range(chance.randint(1, 7)))
        meaning = grammar().parse(line)
        if isinstance(meaning, NoMatch):
            refused += 1
            bench.hear_so(Heard(meaning, line), after_s=0.5)
            assert bench.keys.count("say-again") == 0
            assert len(bench.keys) <= 2
    assert refused > 4000
    for bench in benches:
        assert fold(bench.history) == bench.session.state
        keys = [reply.key for reply in bench.replies]
        assert sum(key.startswith("not-understood") for key in keys) <= 3


def check_steps(history: Sequence[e.Event]) -> None:
    """No step is entered before its gate is answered and what it requires is true."""
    state = begin(history[0])
    for event in history[1:]:
        if isinstance(event, e.StepEntered):
            step = state.procedure.step(event.step)
            if step.gate:
                assert state.gate_open == step.id, f"{step.id} entered without its gate"
            for fact in step.requires:
                assert state.has(fact), f"{step.id} entered without {fact}"
        state = apply(event, state)


def check_balance(state: State) -> None:
    """No sum is more than all that was told: nothing counts twice."""
    litre = {"drained": Fraction(0), "poured": Fraction(0), "can-left": Fraction(0)}
    for one in state.readings.values():
        if one.kind in litre and one.counts and one.measure is not None:
            litre[one.kind] += measured(one.measure.exact, one.measure.unit).exact * _litres(one.measure.unit)
    out = balance.drained(state)
    if out is not None:
        assert out.exact * _litres(out.unit) <= litre["drained"] + Fraction(1, 10**6)
    size = state.sheet.figure("container")
    went_in = balance.poured(state)
    if went_in is not None and size is not None:
        cans = sum(one.kind == "can-left" and one.counts for one in state.readings.values())
        most = litre["poured"] + litre["can-left"] + cans * size.exact * _litres(size.unit)
        assert went_in.exact * _litres(went_in.unit) <= most + Fraction(1, 10**6)


def _litres(unit: str) -> Fraction:
    return convert(Measure("1", unit), "litre").exact


LIKELY = (
    "done", "yes", "all clear", "next", "no", "first can 3 litres", "another 1 litre", "2 litres", "36 nm",
    "new washer on", "red and clear", "washer on the plug", "fine fuzz", "a drop every six seconds",
    "plate reads quebec four tango eight", "poured 1 litre", "can at 2 litres", "55 c", "on the cold mark",
    "running", "75 c", "on the hot mark", "2 mm above the hot mark", "correction 3 litres", "disregard",
    "2 quarts", "40 degrees", "low by nought point two", "step back", "skip step later", "emergency",
    "i am back",
)  # fmt: skip


@pytest.mark.parametrize("sheet", [None, BARE], ids=["full", "bare"])
def test_random_walks_keep_every_rule(sheet: Path | None) -> None:
    """Valid sentences in any order with any waits, restarts and power cuts: nothing breaks."""
    for seed in range(WALKS):
        walk(random.Random(seed), SENTENCES, sheet)


@pytest.mark.full
@pytest.mark.parametrize("seed", range(1000, 1020))
def test_long_random_walks_keep_every_rule(seed: int) -> None:
    """The same, two hundred sentences long."""
    for number in range(4):
        walk(random.Random(seed * 10 + number), 200, BARE if number % 2 else None)


def walk(chance: random.Random, sentences: int, sheet: Path | None) -> None:
    """One walk from a random step of the straight job."""
    start = "confirm" if sheet else chance.choice(list(SAID))
    bench = bench_at(start) if sheet is None else bench_at(start, sheet)
    for _ in range(sentences):
        line = chance.choice(LIKELY) if chance.random() < 0.5 else grammar().sample(chance.randrange)
        bench.hear(line, after_s=chance.choice((1.0, 4.0, 4.0, 20.0, 40.0, 700.0)))
        if chance.random() < 0.03:
            bench.restart(boot=chance.choice(("test-boot", "other")))
            assert fold(bench.history) == bench.session.state, line
        check_balance(bench.session.state)
        if bench.session.state.ended:
            break
    history = bench.history
    assert fold(history) == bench.session.state
    check_steps(history)
