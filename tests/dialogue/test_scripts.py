"""Conversations as data: what is heard, how long nobody speaks, what is answered, and what is kept.

Each file of `tests/dialogues` is one conversation. `at` names the step the straight job has reached,
`sheet` a vehicle sheet of `tests/data`, `service` another service than the first one. A turn has `heard`
(a line as typed) or `wait` (seconds) or `restart` (the boot it comes back in); `said` are the keys of the
replies, in order (`...` stands for any more), `words` a part of what was spoken, `unspoken` one that must
not be, `step` the step after it, `events` what was written, in order, each with the fields that matter.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

import pytest

from assistant.job.events import Event
from assistant.job.state import fold
from tests.bench import SHEET, Bench
from tests.straight_job import bench_at

FOLDER = Path(__file__).resolve().parent.parent / "dialogues"
FIELDS = frozenset({"heard", "wait", "restart", "said", "words", "unspoken", "step", "events", "why"})


def conversations() -> list[Path]:
    """Every conversation that is kept."""
    return sorted(FOLDER.glob("*.toml"))


def play(script: Mapping[str, Any]) -> Iterator[tuple[Bench, Mapping[str, Any], list[str]]]:
    """Play a conversation; give bench, turn and the keys said, after each turn."""
    sheet = (SHEET.parent / script.get("sheet", SHEET.name)).resolve()
    service = script.get("service", "automatic-drain-refill")
    bench = bench_at(script["at"], sheet) if "at" in script else Bench(sheet=sheet, service=service)
    for turn in script["turn"]:
        bench.forget()
        if "heard" in turn:
            said = bench.hear(turn["heard"])
        elif "restart" in turn:
            said = bench.restart(boot=turn["restart"])
        else:
            said = bench.wait(turn["wait"])
        yield bench, turn, said


def agrees(wanted: Sequence[str], said: Sequence[str]) -> bool:
    """Whether the keys are these, `...` standing for any number of others."""
    if not wanted:
        return not said
    if wanted[0] == "...":
        return any(agrees(wanted[1:], said[place:]) for place in range(len(said) + 1))
    return bool(said) and said[0] == wanted[0] and agrees(wanted[1:], said[1:])


def holds(event: Event, wanted: Mapping[str, Any]) -> bool:
    """Whether an event is of this type with these fields; slots are given by name."""
    if type(event).__name__ != wanted["event"]:
        return False
    slots = dict(getattr(event, "slots", ()))
    return all(
        slots.get(name) == value if name in slots else getattr(event, name, None) == value
        for name, value in wanted.items()
        if name != "event"
    )


def check(bench: Bench, turn: Mapping[str, Any], said: Sequence[str], where: str) -> None:
    """Compare one turn with what it should be."""
    spoken = " ".join(bench.sentences)
    assert set(turn) <= FIELDS, where
    if "said" in turn:
        assert agrees(turn["said"], said), f"{where}: said {said}"
    if "words" in turn:
        assert turn["words"] in spoken, f"{where}: spoke {spoken!r}"
    if "unspoken" in turn:
        assert turn["unspoken"] not in spoken, f"{where}: spoke {spoken!r}"
    if "step" in turn:
        assert bench.step == turn["step"], f"{where}: at {bench.step}"
    rest = iter(bench.events)
    for wanted in turn.get("events", ()):
        assert any(holds(event, wanted) for event in rest), f"{where}: {wanted} is not in {bench.events}"


@pytest.mark.parametrize("path", conversations(), ids=lambda path: path.stem)
def test_the_conversation_goes_as_written(path: Path) -> None:
    """Replies, step and events agree; after every turn the journal alone gives the same state."""
    script = tomllib.loads(path.read_text("utf-8"))
    for number, (bench, turn, said) in enumerate(play(script), start=1):
        where = f"{path.stem}, turn {number} ({turn.get('heard', turn.get('wait', 'restart'))})"
        check(bench, turn, said, where)
        assert fold(bench.history) == bench.session.state, where


def test_a_wrong_expectation_is_noticed() -> None:
    """The comparison itself: too few, too many or other keys do not agree."""
    assert agrees(["heard", "..."], ["heard", "step"])
    assert agrees(["...", "step"], ["heard", "step"])
    assert not agrees(["heard"], ["heard", "step"])
    assert not agrees(["heard", "step"], ["heard"])
    assert not agrees([], ["heard"])
