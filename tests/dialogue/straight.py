"""The straight run of every service: what is said at each step, from its conversation."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

from assistant.job.procedure import Procedure, procedure_from_data
from tests.bench import SHEET, Bench, procedure
from tests.straight_job import say

FOLDER = Path(__file__).resolve().parent.parent / "dialogues"


@cache
def services() -> Mapping[str, str]:
    """Return service -> the conversation that runs it to its end."""
    found = {"automatic-drain-refill": "whole-job"}
    for path in sorted(FOLDER.glob("service-*.toml")):
        found.setdefault(tomllib.loads(path.read_text("utf-8"))["service"], path.stem)
    return found


@cache
def service_of(name: str) -> Procedure:
    """Return a shipped service as the job sees it."""
    return procedure_from_data(procedure(name))


@cache
def _script(service: str) -> Mapping[str, Any]:
    return tomllib.loads((FOLDER / f"{services()[service]}.toml").read_text("utf-8"))


def sheet_of(service: str) -> Path:
    """Return the vehicle sheet of a service's conversation."""
    return (SHEET.parent / _script(service).get("sheet", SHEET.name)).resolve()


def begun(service: str, sheet: Path | None = None) -> Bench:
    """Return a job that has just begun, with the sheet of its conversation or another."""
    return Bench(sheet=sheet or sheet_of(service), service=service)


def items(service: str) -> list[str | float]:
    """Return everything said (text) or waited for (seconds) in the straight run, in order."""
    return [turn["heard"] if "heard" in turn else turn["wait"] for turn in _script(service)["turn"]]


@cache
def lines(service: str) -> Mapping[str, tuple[tuple[str | float, ...], ...]]:
    """Return step -> what is said or waited for at each visit of it in the straight run."""
    bench, found = begun(service), dict[str, list[list[str | float]]]()
    last = ""
    for item in items(service):
        if bench.step != last:
            last = bench.step
            found.setdefault(last, []).append([])
        found[last][-1].append(item)
        say(bench, item)
    assert bench.session.state.ended == "complete", service
    return {step: tuple(tuple(one) for one in visits) for step, visits in found.items()}


@cache
def figures(service: str) -> Mapping[str, str]:
    """Return figure -> what is said in the straight run when it is asked for."""
    bench, found = begun(service), dict[str, str]()
    for item in items(service):
        question = bench.session.state.question
        if question is not None and question.name == "figure" and isinstance(item, str):
            found[question.about.partition("|")[0]] = item
        say(bench, item)
    return found


@dataclass
class Run:
    """A job that is driven along the straight run, and may leave it."""

    service: str
    sheet: Path | None = None
    bench: Bench = field(init=False)
    visits: dict[str, int] = field(default_factory=dict)
    left: list[str] = field(default_factory=list)
    """Steps that were left out."""

    def __post_init__(self) -> None:
        """Begin the job."""
        self.bench = begun(self.service, self.sheet)

    @property
    def step(self) -> str:
        """The current step."""
        return self.bench.step

    def do_step(self) -> list[str]:
        """Say what the straight run says at the current step; return the keys of all replies.

        At a step that was done before only what is open is answered, and that it is done.
        """
        step, keys = self.step, list[str]()
        visits = lines(self.service).get(step, ())
        visit = self.visits.get(step, 0)
        self.visits[step] = visit + 1
        if service_of(self.service).step(step).kind in ("check", "overflow"):
            visit = min(visit, len(visits) - 1)  # a level is read anew whenever it is judged
        question = self.bench.session.state.question
        asked = question is not None and question.name == "figure"
        self.spoken: list[str] = []
        for item in visits[visit] if visit < len(visits) and not asked else (self.go_on(),):
            if self.step != step:
                break  # it led elsewhere than in the straight run
            self.bench.forget()
            keys += say(self.bench, item)
            self.spoken += self.bench.sentences
        return keys

    def go_on(self) -> str:
        """Return what answers an open question, else that the step is done."""
        question = self.bench.session.state.question
        if question is not None and question.name == "figure":
            return figures(self.service)[question.about.partition("|")[0]]
        answers = {"gate": "all clear", "confirm": "yes", "advice": "yes"}
        return answers.get(question.name if question is not None else "", "done")

    def to(self, step: str) -> None:
        """Go straight to a step."""
        for _ in range(200):
            if self.step == step:
                return
            self.do_step()
        raise AssertionError(f"{self.service} never stands at {step}, but at {self.step}")


def changed_sheet(folder: Path, service: str, **figures: str) -> Path:
    """Write the sheet of a service's conversation with these figures in every unit; return its file."""
    data = tomllib.loads(sheet_of(service).read_text("utf-8"))
    lines = ["format = 1", "[vehicle]", f'name = "{data["vehicle"]["name"]}"']
    for unit in data["unit"]:
        told = {**unit, **{name.replace("_", "-"): value for name, value in figures.items()}}
        lines += ["[[unit]]", *(f"{name} = {_text(value)}" for name, value in told.items())]
    path = folder / "sheet.toml"
    path.write_text("\n".join(lines) + "\n", "utf-8")
    return path


def _text(value: str | list[str]) -> str:
    return f'"{value}"' if isinstance(value, str) else "[" + ", ".join(f'"{one}"' for one in value) + "]"


def told(run: Run, key: str) -> dict[str, object]:
    """Return the arguments of the newest reply of that key."""
    return dict([one for one in run.bench.replies if one.key == key][-1].args)


def of_step(run: Run, **said: tuple[str, ...]) -> None:
    """Go through the current step by what is said there here, else by the straight run."""
    lines = said.get(run.step.replace("-", "_"))
    if lines is None:
        run.do_step()
    else:
        run.bench.hear(*lines)
