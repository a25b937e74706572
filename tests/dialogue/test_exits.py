"""Every exit and every finding of the shipped service, taken once: where it leads, and the way back."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest

from assistant.commands.understanding import from_line
from assistant.grammar.meaning import Meaning
from assistant.job import events as e
from assistant.job.procedure import PARK, STAY, STOP, Exit, Finding, Procedure, procedure_from_data
from tests.bench import SHEET, Bench, grammar, procedure
from tests.straight_job import BARE, bench_at

HAPPENED: Mapping[str, tuple[str, ...]] = {
    "plug-stuck": ("plug will not move",),
    "plug-rounded": ("plug is rounded",),
    "plug-spins": ("plug keeps turning",),
    "plug-dropped": ("plug fell in the pan",),
    "gushing": ("it is gushing",),
    "pan-full": ("pan is nearly full",),
    "will-not-take": ("will not take any more",),
    "runs-back": ("runs back out",),
    "stick-missing": ("dipstick is missing",),
    "stick-unreadable": ("cannot read the stick",),
    "no-thermometer": ("no thermometer",),
    "wrong-vehicle": ("wrong vehicle",),
    "wrong-unit": ("wrong gearbox",),
    "part-missing": ("a part is missing",),
    "plate-unreadable": ("cannot read the plate",),
    "drip-endless": ("will not stop dripping",),
    "leak": ("there is a leak",),
    "nothing-comes": ("nothing comes out",),
    "tube-blocked": ("tube is blocked",),
    "spilled-unknown": ("spilled some",),
    # Exits that a reading takes: it is told, and confirmed where it decides.
    "plate-mismatch": ("plate reads alpha four tango eight",),
    "fluid-mismatch": ("honey",),
    "drained-doubtful": ("first can 14 litres", "14 litres"),
    "poured-doubtful": ("poured 8 litres", "8 litres"),
    "far-less": ("first can 1.1 litres", "done"),
    "level-high": ("off the top of the stick",),
}
"""What is said for each exit."""

FOUND: Mapping[str, tuple[str, ...]] = {
    "dry-before": ("nothing on the stick", "nothing on the stick"),
    "over-before": ("off the top of the stick",),
    "coolant-on-stick": ("milky",),
    "fuel-on-stick": ("red and smells of fuel",),
    "cooked-on-stick": ("brown and burnt",),
    "spent-on-stick": ("black",),
    "coolant-in-fluid": ("milky",),
    "foam-in-fluid": ("foaming",),
    "fuel-in-fluid": ("smells of fuel",),
    "burnt": ("brown and burnt",),
    "cloudy": ("cloudy",),
    "dark": ("black",),
    "sound": ("red and clear",),
    "unusual-colour": ("green",),
    "old-washer-on-plug": ("washer on the plug",),
    "old-washer-on-pan": ("old washer on the pan",),
    "old-washer-missing": ("no old washer",),
    "magnet-clean": ("magnet clean",),
    "magnet-fuzz": ("fine fuzz",),
    "magnet-flakes": ("metal flakes",),
    "magnet-chips": ("metal chips",),
    "magnet-none": ("no magnet fitted",),
    "still-flows": ("still a stream",),
    "used-washer-fitted": ("washer on the plug",),
}
"""What is said for each finding."""


def service() -> Procedure:
    """The shipped service."""
    return procedure_from_data(procedure())


def exits() -> list[tuple[str, Exit]]:
    """Every exit with its step; those valid anywhere are taken at one step each."""
    own = [(step.id, one) for step in service().steps for one in step.exits]
    anywhere = "clean-plug"
    return own + [(anywhere, one) for one in service().exits]


def findings() -> list[tuple[str, Finding]]:
    """Every finding with its step."""
    return [(step.id, one) for step in service().steps for one in step.findings]


def tell(bench: Bench, lines: tuple[str, ...]) -> None:
    """Say the lines, and yes where one of them must be confirmed."""
    events: list[e.Event] = []
    for line in lines:
        bench.hear(line)
        events += bench.events
        question = bench.session.state.question
        if question is not None and question.name == "confirm":
            bench.hear("yes")
            events += bench.events
    bench.events = events


def leave_by(bench: Bench, what: str) -> None:
    """Take an exit; a hot level is only judged with its temperature."""
    if what == "level-high" and bench.step == "level-hot":
        bench.hear("75 c")
    tell(bench, HAPPENED[what])


def brought_to(step_id: str, sheet: Path = SHEET) -> Bench:
    """A job at this step; an aside is reached by the first exit or finding that leads there."""
    steps = service().steps
    if not service().step(step_id).aside:
        return bench_at(step_id, sheet)
    for step in steps:
        for one in step.exits:
            if one.then == step_id and step.id != step_id:
                bench = brought_to(step.id)
                leave_by(bench, one.on)
                return bench
        for finding in step.findings:
            if finding.then == step_id:
                bench = brought_to(step.id)
                tell(bench, FOUND[finding.name])
                return bench
    raise AssertionError(f"nothing leads to {step_id}")


def led(bench: Bench, start: str, then: str) -> None:
    """Check that the job went where the exit or finding says, and that it can go on."""
    state = bench.session.state
    if then == STOP:
        assert state.ended == "handed-back"
        return
    if then == PARK:
        assert state.standing_by
        assert "welcome-back" in bench.hear("i am back")
    assert bench.step == (start if then in (STAY, PARK) else then)
    back = bench.hear("step back")
    assert back, "the way back is silent"
    question = bench.session.state.question
    held = question is not None and question.name == "gate"  # the step before needs its gate first
    assert held or not bench.session.state.step.aside, f"no way back from {then}"


@pytest.mark.parametrize(("start", "one"), exits(), ids=[f"{step}-{one.on}" for step, one in exits()])
def test_each_exit_leads_where_it_says_and_there_is_a_way_back(start: str, one: Exit) -> None:
    """What is said to it is the procedure's own text; the event says where it went."""
    bench = brought_to(start)
    assert bench.step == start
    leave_by(bench, one.on)

    taken = [event for event in bench.events if isinstance(event, e.ExitTaken)]
    assert [(event.what, event.step, event.then) for event in taken] == [(one.on, start, one.then)] or (
        one.on == "level-high"  # the level's own verdict leads there, and is in the record as the reading
    )
    if one.say and one.on != "level-high":
        assert any(reply.args.get("text") == one.say for reply in bench.replies)
    led(bench, start, one.then)


@pytest.mark.parametrize(("start", "one"), findings(), ids=[f"{step}-{one.name}" for step, one in findings()])
def test_each_finding_is_kept_and_decides(start: str, one: Finding) -> None:
    """A finding that sends the job elsewhere needs a yes first."""
    any_colour = one.name == "unusual-colour"  # a sheet that names colours takes another way out
    bench = brought_to(start, BARE if any_colour else SHEET)

    tell(bench, FOUND[one.name])

    made = [event for event in bench.events if isinstance(event, e.FindingMade)]
    assert (one.name, start, one.then) in [(event.finding, event.step, event.then) for event in made]
    if one.then != STAY:
        heard = [event for event in bench.events if isinstance(event, e.ReadingHeard)]
        assert heard[-1].consequence == "high"
        assert bench.step == one.then


def test_every_happening_has_a_sentence_and_every_exit_is_here() -> None:
    """A new exit or finding of the service needs its line here."""
    assert {one.on for _, one in exits()} <= set(HAPPENED)
    assert {one.name for _, one in findings()} == set(FOUND)
    for what, lines in HAPPENED.items():
        meaning = from_line(lines[0], grammar()).meaning
        assert isinstance(meaning, Meaning), lines
        assert meaning.kind != "happened" or meaning.slot("what") == what
