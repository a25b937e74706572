"""What each service has that no other has: a gate, an exit and a computation, each tried in the real job.

A gate is tried against first, and nothing of the job has moved; then what it asks for is done, and it opens.
An exit leads elsewhere than the straight run. A computation gives the figure of a source outside of the
program. That the three are of this service alone is read from the files: a copy with other words has none.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from assistant.grammar.meaning import Meaning
from assistant.job import events as e
from assistant.job.procedure import LEAVE, Procedure
from assistant.units import Measure
from tests.dialogue.straight import Run, changed_sheet, of_step, service_of, services

Lines = tuple[str | float, ...]


@dataclass(frozen=True)
class Gate:
    """A guard of one step: what it is called, where it is tried, and what opens it."""

    key: str
    at: str
    against: Lines
    refused: str
    """The key of the reply that refuses."""
    held: str
    """The step that is not entered meanwhile."""
    right: Lines
    """What is done then; where it is nothing, the straight run is gone on with."""
    drive: bool = False
    """Whether the guarded step lies further on: the straight run is gone on with until it refuses."""


@dataclass(frozen=True)
class Way:
    """An exit or a finding: what it is called, where it is taken, by what, and the step it leads to."""

    key: str
    at: str
    lines: Lines
    to: str
    sheet: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Sum:
    """A computation: what asks for it in the file, and the reply with its figure."""

    key: str
    at: str
    lines: Lines
    reply: str
    figures: Mapping[str, object]
    source: str
    sheet: Mapping[str, str] = field(default_factory=dict)
    said: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """What is said at steps on the way there instead of the straight run."""


def litres(value: str) -> Measure:
    """Return an amount in litres."""
    return Measure(value, "litre")


def quarts(value: str) -> Measure:
    """Return an amount in US quarts."""
    return Measure(value, "us_quart")


OWN: Mapping[str, tuple[Gate, Way, Sum]] = {
    "automatic-drain-refill": (
        Gate(
            "forbids owner=to-be-asked", "paper",
            ("black", "yes", "skip step not needed", "engine off", "on the stands"),
            "held-until", "clean-plug", ("done",),
        ),
        Way("cooked-on-stick>one-change", "paper", ("brown and burnt", "yes"), "one-change"),
        Sum(
            "tells old-left", "paper", ("black", "yes"), "one-change-leaves",
            {"share": Measure("57", "percent"), "amount": quarts("10")},
            "public question, recomputed: 7.5 of 17.5 US quarts come out, 57.1 % old is left",
            sheet={
                "capacity": "17.5 us quart", "drain_expected": "7.5 us quart", "drain_least": "5 us quart",
                "drain_most": "9 us quart", "run_minimum": "12 us quart",
            },
        ),
    ),
    "automatic-pan-filter": (
        Gate("until bolts=torqued", "pan-bolts", ("done", "next step"), "held", "close-plug", ()),
        Way("nothing-comes>pan-off", "drain-wait", ("nothing comes out",), "pan-off"),
        Sum(
            "until bolts=torqued", "pan-bolts", ("it has fourteen bolts", "start the bolts"), "bolts-begin",
            {"torque": Measure("3", "newton_metre"), "count": 14},
            "a pan bolt's 10 N m: public question; rounds of 30, 60 and 100 %: ASME PCC-1, from memory",
            sheet={"pan_bolt_torque": "10 newton metre"},
        ),
    ),
    "automatic-repeat": (
        Gate(
            "requires mixing=done", "ranges-after", ("skip step not needed",), "held", "enough", (),
            drive=True,
        ),
        Way(
            "short-of-stock>short", "enough", ("yes",), "short",
            sheet={"new_wanted": "95 percent", "stock": "6 litre"},
        ),
        Sum(
            "repeat", "enough", (), "share-new", {"share": Measure("41", "percent")},
            "public question, recomputed: 4 of 9.8 US quarts, 40.8 % new after one round",
            sheet={
                "capacity": "9.8 us quart", "drain_expected": "4 us quart", "drain_least": "2 us quart",
                "drain_most": "5 us quart", "run_minimum": "6 us quart", "new_wanted": "95 percent",
            },
            said={
                "measure": ("drained four US quarts", "done"), "plan": ("yes",),
                "pour": ("poured four US quarts", "done"), "level_cold": ("on the cold mark",),
            },
        ),
    ),
    "automatic-overflow": (
        Gate(
            "requires start=cool", "cool-start", ("50 c", "done", "next step", "hand warm"),
            "start-too-warm", "start-overflow", ("30 c", "all clear"),
        ),
        Way("overflow-over>surplus", "overflow", ("40 c", "drained 950 ml", "still a stream"), "surplus"),
        Sum(
            "overflow overflow-over", "overflow", ("55 c", "drained 950 ml", "still a stream"),
            "overflow-let-run", {"much": True},
            "public question: more than 900 cc within two minutes at 50 to 60 C is too much",
            sheet={
                "overflow_too_much": "900 millilitre", "overflow_low": "50 degree celsius",
                "overflow_high": "60 degree celsius",
            },
        ),
    ),
    "continuously-variable": (
        Gate(
            "gate the-one-fluid", "plan", ("yes", "no", "done", "next step"), "holding", "pour", ("yes",),
        ),
        Way("will-not-take>case-full", "pour", ("poured 3 litres", "will not take any more"), "case-full"),
        Sum(
            "tells still-owed", "pour", ("poured four litres", "will not take any more"), "pour-to-go",
            {"done": litres("4"), "left": litres("1.5")},
            "public question, recomputed: 5.5 L came out, the case is full before; 5.5 less 4",
            said={
                "measure": ("drained 5.5 litres", "done"), "measure_temperature": ("20 c",),
                "plan": ("yes", "yes"),
            },
        ),
    ),
    "twin-clutch": (
        Gate("waits wait at filter-out", "filter-loose", ("done", "next step"), "held-by-timer", "filter-out",
             (60.0, "done")),
        Way("gushing>ebbing", "overflow", ("40 c", "it is gushing"), "ebbing"),
        Sum(
            "overflow drip", "overflow", ("40 c", "every thirty seconds"), "overflow-drops",
            {"rate": Measure("0.1", "millilitre_per_minute")},
            "20 drops to the millilitre, as pharmacopoeias count; a wave every 30 s is none: public question",
        ),
    ),
    "transfer-and-differentials": (
        Gate(
            "a plug of another unit", "front-torque-fill", ("skip step not needed",), "held", "short-drive",
            (), drive=True,
        ),
        Way("plug-stuck>the next unit", "transfer-loosen-fill", ("plug will not move", "plug will not move"),
            "front-confirm"),
        Sum(
            "a balance for each of 3", "front-measure", ("drained 1.1 litres", "what does each unit need"),
            "unit-owed", {"unit": "front differential", "how": "still-short", "amount": litres("1.1")},
            "what came out of a unit less what went into it; the other unit's 1.3 L are in again",
        ),
    ),
    "manual-gearbox": (
        Gate("gate right-class", "plan", ("yes", "no", "done", "next step"), "holding", "pour", ("yes",)),
        Way("brass-in-oil>worn-rings", "magnet", ("brass flakes", "yes"), "worn-rings"),
        Sum(
            "tells oil-class", "other-oil", (), "class-verdict", {"verdict": "too-thin"},
            "SAE J306 of 2019: class 90 has 13.5 up to 18.5 cSt at 100 C, so 13.4 is too thin",
            sheet={"fluid_viscosity": "13.4 centistokes"},
        ),
    ),
    "engine-oil-filter": (
        Gate(
            "requires cap=shut", "pour", ("poured 4.9 litres", "skip step not needed"), "held",
            "first-start", (), drive=True,
        ),
        Way("lamp-stays>lamp-stays", "first-start", ("oil lamp stays on",), "lamp-stays"),
        Sum(
            "adds filter-holds and cooler-holds", "plan", (), "advise-refill", {"amount": litres("4.9")},
            "public question: 4.3 L, filter and cooler 0.3 L each",
            said={"measure_temperature": ("20 c",)},
        ),
    ),
    "coolant": (
        Gate("requires system=cool", "cool", ("72 c", "done", "next step", "hand warm"), "cool-not-yet",
             "open-cap", ("35 c", "all clear")),
        Way("air-trapped>bleed-cold", "pour", ("poured one litre", "done"), "bleed-cold"),
        Sum(
            "mix", "mix", (), "advise-mixture", {"concentrate": quarts("4"), "water": quarts("1")},
            "public question, recomputed: water in 8 US quarts, 5 out, half wanted",
            sheet={
                "capacity": "8 us quart", "drain_expected": "5 us quart", "drain_least": "2 us quart",
                "drain_most": "7 us quart", "run_minimum": "7 us quart",
            },
            said={"old_share": ("zero percent",), "measure": ("drained five US quarts", "done")},
        ),
    ),
}  # fmt: skip
"""Service -> its own gate, exit and computation."""


# ---------------------------------------------------------------- what a file has


def gates(service: Procedure) -> Iterator[str]:
    """Yield what guards the steps of a service, by what it is called here."""
    for step in service.steps:
        yield from (f"requires {fact}" for fact in step.requires)
        yield from (f"forbids {fact}" for fact in step.forbids)
        yield from ([f"gate {step.gate}"] if step.gate else [])
        yield from ([f"until {step.until}"] if step.until else [])
        yield from ([f"waits {step.waits} at {step.id}"] if step.waits else [])
    if len(service.units) > 1:
        yield "a plug of another unit"  # the engine serves them all: none of them may be open


def ways(service: Procedure) -> Iterator[str]:
    """Yield the exits and findings of a service that lead elsewhere, by name and target."""
    plain = {f"{unit.partition('-')[0]}-" for unit in service.units}
    for step in service.steps:
        for name, then in [
            *((one.on, one.then) for one in step.exits), *((one.name, one.then) for one in step.findings)
        ]:  # fmt: skip
            for prefix in plain:
                then = then.removeprefix(prefix)
            yield f"{name}>{'the next unit' if then == LEAVE and len(service.units) > 1 else then}"


def sums(service: Procedure) -> Iterator[str]:
    """Yield what a service has reckoned, by what asks for it in the file."""
    for step in service.steps:
        yield from ([step.kind] if step.kind in ("mix", "repeat") else [])
        yield from ([f"tells {step.tells}"] if step.tells else [])
        yield from ([f"until {step.until}"] if step.until else [])
        yield from ([f"adds {' and '.join(step.adds)}"] if step.adds else [])
        if step.kind == "overflow":
            told = (*(one.reading for one in step.awaits), *(one.on for one in step.exits))
            yield from (f"overflow {name}" for name in told)
    if len(service.units) > 1:
        yield f"a balance for each of {len(service.units)}"


def own(
    key: str, read: Callable[[Procedure], Iterator[str]], name: str, shelf: Mapping[str, Procedure]
) -> bool:
    """Say whether a service has something of this name, and no other of the shelf has it."""
    return [other for other, service in shelf.items() if key in set(read(service))] == [name]


def shelf() -> dict[str, Procedure]:
    """Return every shipped service by its name."""
    return {name: service_of(name) for name in services()}


def test_each_service_is_here() -> None:
    """A new service needs its row: what it has that no other has."""
    assert set(OWN) == set(services())


@pytest.mark.parametrize("name", OWN)
def test_each_gate_exit_and_computation_is_of_this_service_alone(name: str) -> None:
    """Not so any more where it was taken out, altered, or stands in a copy of the service."""
    for row, read in zip(OWN[name], (gates, ways, sums), strict=True):
        assert own(row.key, read, name, shelf()), row.key
        assert not own(row.key, read, name, {**shelf(), "a copy": service_of(name)})
        assert not own(
            row.key, read, name, {**shelf(), name: next(s for n, s in shelf().items() if n != name)}
        )


# ---------------------------------------------------------------- what the real job does


def say(run: Run, lines: Lines) -> list[str]:
    """Say lines or let seconds pass; return the keys of all replies."""
    keys: list[str] = []
    for line in lines:
        keys += run.bench.wait(line) if isinstance(line, float) else run.bench.hear(line)
    return keys


def made_by(run: Run, step: str) -> tuple[bool, ...]:
    """Return which of the facts a step makes true are true now."""
    made = service_of(run.service).step(step)
    there = run.bench.session.state.at_unit(made.unit)
    return (made.id in there.completed, *(there.has(fact) for fact in made.sets))


def entered(run: Run, step: str) -> int:
    """Return how often a step was entered."""
    return sum(isinstance(one, e.StepEntered) and one.step == step for one in run.bench.history)


@pytest.mark.full
@pytest.mark.parametrize("name", OWN)
def test_the_gate_refuses_until_it_is_right(name: str) -> None:
    """Tried against, it says so and nothing has moved; then what it asks for is done and it opens."""
    gate = OWN[name][0]
    run = Run(name)
    run.to(gate.at)
    before, times = made_by(run, gate.held), entered(run, gate.held)

    keys = say(run, gate.against)
    run.visits[gate.at] = len(gate.against) - 1 if gate.drive else 0  # what its readings are, it has
    for _ in range(60 if gate.drive else 0):
        if gate.refused in keys:
            break
        keys = run.do_step()
    assert gate.refused in keys, keys
    assert entered(run, gate.held) == times
    made = made_by(run, gate.held)
    assert made == before, made

    say(run, gate.right)
    for _ in range(60):
        if entered(run, gate.held) > times:
            return
        run.do_step()
    raise AssertionError(f"{gate.held} is never entered any more, the job stands at {run.step}")


@pytest.mark.full
@pytest.mark.parametrize("name", OWN)
def test_the_exit_leads_elsewhere(name: str, tmp_path: Path) -> None:
    """Another step than the straight run goes to, and the record tells why."""
    way = OWN[name][1]
    run = Run(name, changed_sheet(tmp_path, name, **way.sheet) if way.sheet else None)
    run.to(way.at)
    run.bench.forget()
    say(run, way.lines)

    assert run.step == way.to
    what = way.key.partition(">")[0]
    taken = [one.what for one in run.bench.history if isinstance(one, e.ExitTaken)]
    found = [one.finding for one in run.bench.history if isinstance(one, e.FindingMade)]
    assert what in (*taken, *found)


@pytest.mark.full
@pytest.mark.parametrize("name", OWN)
def test_the_computation_gives_the_figure_of_its_source(name: str, tmp_path: Path) -> None:
    """Each source stands beside its figures."""
    row = OWN[name][2]
    run = Run(name, changed_sheet(tmp_path, name, **row.sheet) if row.sheet else None)
    for _ in range(80):
        if run.step == row.at:
            break
        of_step(run, **row.said)
    assert run.step == row.at
    keys = say(run, row.lines)

    assert row.lines == () or row.reply in keys, keys
    replies = [one.args for one in run.bench.replies if one.key == row.reply]
    assert any(row.figures.items() <= dict(args).items() for args in replies), replies


def test_every_line_is_a_sentence() -> None:
    """What is said to gates, exits and computations is heard as one sentence each."""
    from assistant.commands.understanding import from_line
    from tests.bench import grammar

    for rows in OWN.values():
        lines = [*rows[0].against, *rows[0].right, *rows[1].lines, *rows[2].lines]
        for line in lines:
            if isinstance(line, str):
                assert isinstance(from_line(line, grammar()).meaning, Meaning), line
