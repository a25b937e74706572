"""Two or more services as one job: the vehicle is made safe once, each unit keeps its own balance.

Steps of the whole vehicle that stand in each of the services (flat ground, switch off, onto stands, down
again, waste) are done once, at the place where all of them have them; what a service does between two of
those is done unit after unit. A step is of the whole vehicle where all it makes true is about engine and
stand, and nothing is read at it. Of two wordings of one such step the fuller one is kept.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import cast

from assistant.dialogue.starting import MOST_JOINED
from assistant.errors import BadFile, WrongInput
from assistant.job.procedure import ENDINGS, STAY
from assistant.job.situation import OF_THE_JOB
from assistant.shelf.procedure_file import Told, faults_of, load_procedure
from assistant.shelf.procedure_places import Places, Source

Data = Mapping[str, object]
Step = dict[str, object]

KEYS: Mapping[str, str] = {
    "automatic transmission": "gearbox",
    "continuously variable transmission": "gearbox",
    "twin clutch gearbox": "gearbox",
    "manual gearbox": "gearbox",
    "power steering": "steering",
}
"""Units a mechanic calls by another name than the sheet does."""
LAST = frozenset({"waste"})
"""Steps that are done once for all units, though they make nothing true."""
MOST_SIGNS = 60
_NO_NAME = re.compile(r"[^a-z0-9]+")


def load_joined(names: Sequence[str], told: Told) -> Data:
    """Return one service, or several joined to one job; raises `BadFile` or `WrongInput` with the reason."""
    services = [load_procedure(name, told) for name in names]
    return services[0] if len(services) == 1 else joined(services)


def joined(services: Sequence[Data]) -> Data:
    """Return several checked services as one checked procedure with a unit for each of theirs."""
    if len(services) > MOST_JOINED:
        raise WrongInput(f"{len(services)} services: at most {MOST_JOINED} go into one job")
    if len({one["language"] for one in services}) > 1:
        raise WrongInput("the services are in different languages")
    clashing = _clashing(services)
    parts = [_part(one, clashing) for one in services]
    units: dict[str, str] = {}
    for part in parts:
        for key, name in part.units.items():
            if key in units:
                raise WrongInput(f"two of the services work on the {name}: do one after the other")
            units[key] = name
    steps: list[Step] = []
    for part in parts:
        steps = _merged(steps, part.steps) if steps else part.steps
    first = services[0]
    data: dict[str, object] = {
        "format": 2,
        "name": "-and-".join(str(one["name"]) for one in services)[:MOST_SIGNS].rstrip("-"),
        "title": ", and ".join(str(one["title"]) for one in services),
        "language": first["language"],
        "units": units,
        "bands": first.get("bands", {}),
        "wastes": {key: kind for part in parts for key, kind in part.wastes.items()},
        "exit": [],
        "step": steps,
    }
    for table in ("gates", "cautions", "signals", "labels"):
        data[table] = {key: text for part in parts for key, text in part.tables[table].items()}
    faults = faults_of(data, Places(Source(str(data["name"]), "")))
    if faults:
        raise BadFile(str(data["name"]), faults[0].what, cure="do one service after the other")
    return data


@dataclass(frozen=True, slots=True)
class _Part:
    """One of the services, its steps named and placed so that they can stand beside those of another."""

    units: Mapping[str, str]
    steps: list[Step]
    tables: Mapping[str, Mapping[str, object]]
    wastes: Mapping[str, str]


def unit_key(name: str) -> str:
    """Return the key of a unit of a sheet: what a mechanic calls it, where that is a known word."""
    return KEYS.get(name.casefold()) or _NO_NAME.sub("-", name.casefold()).strip("-")[:MOST_SIGNS] or "unit"


def units_of(service: Data) -> dict[str, str]:
    """Return the units a service works on in a job of several: key -> the name of its sheet."""
    units = dict(cast("Mapping[str, str]", service.get("units", {})))
    name = str(service.get("unit", "") or service["title"])
    return units or {unit_key(name): name}


def _clashing(services: Sequence[Data]) -> frozenset[str]:
    """Return names of gates and cautions under which the services have different texts."""
    texts: dict[str, set[str]] = {}
    for service in services:
        for table in ("gates", "cautions"):
            for name, text in cast("Mapping[str, str]", service.get(table, {})).items():
                texts.setdefault(name, set()).add(text)
    return frozenset(name for name, found in texts.items() if len(found) > 1)


def _part(service: Data, clashing: frozenset[str]) -> _Part:
    units = units_of(service)
    alone = "" if service.get("units") else next(iter(units))
    prefix = f"{alone or service['name']}-"
    names = {
        str(step["id"]): str(step["id"])
        if _of_the_vehicle(step) or step.get("unit")
        else f"{prefix}{step['id']}"
        for step in cast("list[Data]", service["step"])
    }
    renamed = {name: f"{prefix}{name}" for name in clashing}
    anywhere = cast("list[Data]", service.get("exit", []))
    steps = [_step(step, names, renamed, anywhere, alone) for step in cast("list[Data]", service["step"])]
    tables = {
        table: {renamed.get(key, key): text for key, text in cast(Data, service.get(table, {})).items()}
        for table in ("gates", "cautions", "signals", "labels")
    }
    waste, own = str(service.get("waste", "oil")), cast("Mapping[str, str]", service.get("wastes", {}))
    return _Part(units, steps, tables, {key: own.get(key, waste) for key in units})


def _of_the_vehicle(step: Data) -> bool:
    """Say whether a step is of the whole vehicle, so that it may be done once for several services."""
    if step.get("unit") or step.get("aside") or any(key in step for key in ("await", "finding", "figures")):
        return False
    if any(one.get("then", STAY) not in ENDINGS for one in cast("list[Data]", step.get("exit", []))):
        return False
    sets = cast("list[str]", step.get("sets", []))
    about = {one.partition("=")[0] for one in sets}
    return (bool(about) and about <= OF_THE_JOB and not step.get("timer")) or step["id"] in LAST


def _step(
    step: Data, names: Mapping[str, str], renamed: Mapping[str, str], anywhere: Sequence[Data], unit: str
) -> Step:
    """Return a step with its own id and targets, and the exits that hold anywhere in its service."""
    new: Step = dict(step)
    new["id"] = names[str(step["id"])]
    if unit and not _of_the_vehicle(step):
        new["unit"] = unit
    for key in ("after", "to"):
        if key in step:
            new[key] = names.get(str(step[key]), step[key])
    if "gate" in step:
        new["gate"] = renamed.get(str(step["gate"]), step["gate"])
    if "cautions" in step:
        new["cautions"] = [renamed.get(one, one) for one in cast("list[str]", step["cautions"])]
    own = cast("list[Data]", step.get("exit", []))
    known = {one["on"] for one in own}
    exits = [*own, *(one for one in anywhere if one["on"] not in known)]
    if _of_the_vehicle(step):
        exits = [one for one in exits if one.get("then", STAY) in ENDINGS]
    new["exit"] = [_to(one, names) for one in exits]
    if "finding" in step:
        new["finding"] = [_to(one, names) for one in cast("list[Data]", step["finding"])]
    return new


def _to(one: Data, names: Mapping[str, str]) -> Data:
    """Return an exit or finding that leads to the same step under its new id."""
    return {**one, "then": names.get(str(one["then"]), one["then"])} if "then" in one else one


def _merged(one: list[Step], other: list[Step]) -> list[Step]:
    """Return the steps of both, those of the whole vehicle that both have once, each in its order."""
    pairs = _alike(one, other)
    merged: list[Step] = []
    here = there = 0
    for left, right in [*pairs, (len(one), len(other))]:
        merged += one[here:left] + other[there:right]
        if left < len(one):
            fuller = max((one[left], other[right]), key=lambda step: len(str(step["say"])))
            merged.append(fuller)
        here, there = left + 1, right + 1
    return _distinct(merged)


def _alike(one: list[Step], other: list[Step]) -> list[tuple[int, int]]:
    """Return the places of vehicle steps that both have, as many as can be kept in order."""
    longest: dict[tuple[int, int], list[tuple[int, int]]] = {}
    for left in range(len(one), -1, -1):
        for right in range(len(other), -1, -1):
            if left == len(one) or right == len(other):
                longest[left, right] = []
                continue
            ways = [longest[left + 1, right], longest[left, right + 1]]
            if _same(one[left], other[right]):
                ways.append([(left, right), *longest[left + 1, right + 1]])
            longest[left, right] = max(ways, key=len)
    return longest[0, 0]


def _same(one: Step, other: Step) -> bool:
    alike = one["id"] == other["id"] and one.get("sets") == other.get("sets")
    if one["id"] in LAST:  # what becomes of the old fluid differs by fluid
        alike = (one["id"], one["say"]) == (other["id"], other["say"])
    return alike and not one.get("unit") and not other.get("unit")


def _distinct(steps: list[Step]) -> list[Step]:
    """Return the steps, a second one of a name under a name of its own: it is the same, done once more."""
    seen: set[str] = set()
    kept: list[Step] = []
    for step in steps:
        name = str(step["id"])
        while name in seen:
            name = f"{name}-again"
        seen.add(name)
        kept.append({**step, "id": name})
    return kept
