"""The history as plain tables: what `--json` gives, and what the words are made from.

Takes the entries of all jobs, in any order. Numbers are decimal strings with their unit's name; times are
ISO 8601. Sums of fluids are in the unit of the first amount.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import tzinfo
from typing import Any

from assistant.display.history.entry import Entry, local
from assistant.errors import WrongInput
from assistant.job.balance import summed
from assistant.job.past import Service
from assistant.job.reading import Reading
from assistant.units import Measure, convert, plain, settled, subtract

Table = dict[str, Any]
DIGITS = 6


def _figure(one: Measure | None) -> Table | None:
    return None if one is None else {"value": plain(one.exact, DIGITS), "unit": one.unit}


def _by_day(entries: Iterable[Entry]) -> list[Service]:
    """Return all services, the newest first."""
    found = [service for one in entries for service in one.services]
    return sorted(found, key=lambda service: (service.begun.utc_ms, service.job), reverse=True)


def row(one: Service, zone: tzinfo | None = None) -> Table:
    """Return one service."""
    return {
        "job": one.job,
        "vehicle": one.vehicle,
        "unit": one.unit,
        "service": one.title,
        "begun": local(one.begun.utc_ms, zone),
        "end": one.end,
        "who": list(one.who),
        "fluid": one.fluid,
        "out": _figure(one.out),
        "into": _figure(one.into),
        "used": _figure(one.used),
        "waste": _figure(one.waste),
        "waste_kind": one.waste_kind,
        "distance": _figure(one.distance),
        "due": _figure(one.due),
        "found": [_found(reading) for reading in one.found],
        "findings": list(one.findings),
        "parts": dict(one.parts),
    }


def _found(one: Reading) -> Table:
    return {"kind": one.kind, "slots": dict(one.slots), "words": one.words}


def jobs(entries: Iterable[Entry], zone: tzinfo | None = None) -> Table:
    """Return every vehicle with its units, and every service, the newest first."""
    found = _by_day(entries)
    return {"vehicles": _vehicles(found, zone), "services": [row(one, zone) for one in found]}


def _vehicles(found: Sequence[Service], zone: tzinfo | None) -> list[Table]:
    """Return one row for each unit, the vehicles in the order of the alphabet."""
    units: dict[tuple[str, str], list[Service]] = {}
    for one in found:
        units.setdefault((one.vehicle, one.unit), []).append(one)
    return [
        {
            "vehicle": vehicle,
            "unit": unit,
            "jobs": len(mine),
            "last": local(mine[0].begun.utc_ms, zone),
            "into": _figure(next((one.into for one in mine if one.into is not None), None)),
            "distance": _figure(next((one.distance for one in mine if one.distance), None)),
            "due": _figure(next((one.due for one in mine if one.due), None)),
        }
        for (vehicle, unit), mine in sorted(units.items(), key=lambda pair: tuple(map(str.casefold, pair[0])))
    ]


def of_vehicle(entries: Sequence[Entry], name: str, zone: tzinfo | None = None) -> Table:
    """Return the services of the vehicles whose name holds `name`; raises `WrongInput` where none does."""
    wanted = " ".join(name.split()).casefold()
    exact = {one.vehicle for one in _by_day(entries) if one.vehicle.casefold() == wanted}
    keep: Callable[[Service], bool] = lambda one: (  # noqa: E731 - a condition with a name
        one.vehicle in exact if exact else wanted in one.vehicle.casefold()
    )
    found = [one for one in _by_day(entries) if keep(one)]
    if not found:
        known = ", ".join(sorted({one.vehicle for one in _by_day(entries) if one.vehicle})) or "none"
        raise WrongInput(f"no vehicle in the records is called '{name}'; known: {known}")
    return {"vehicles": _vehicles(found, zone), "services": [row(one, zone) for one in found]}


def search(entries: Sequence[Entry], text: str, zone: tzinfo | None = None) -> Table:
    """Return the services of the jobs in which every word of `text` stands, in whatever letter case."""
    words = text.casefold().split()
    found = [one for one in entries if one.services and words and all(word in one.text for word in words)]
    notes = {one.job: list(one.notes) for one in found if one.notes}
    return {"search": text, "services": [row(one, zone) for one in _by_day(found)], "notes": notes}


def compare(entries: Sequence[Entry], first: str, second: str, zone: tzinfo | None = None) -> Table:
    """Return two jobs side by side; each is named by the beginning of its name."""
    pair = [_one(entries, first), _one(entries, second)]
    return {
        "jobs": [
            {
                "job": one.job,
                "services": [row(service, zone) for service in one.services],
                "told": {
                    name: _figure(value) if isinstance(value, Measure) else value
                    for name, value in one.compared.items()
                },
            }
            for one in pair
        ]
    }


def _one(entries: Sequence[Entry], name: str) -> Entry:
    found = [one for one in entries if one.services and name and one.job.lower().startswith(name.lower())]
    if len(found) != 1:
        raise WrongInput(
            f"{name} fits {len(found)} jobs: give more of it" if found else f"no job begins with '{name}'"
        )
    return found[0]


def month(entries: Sequence[Entry], name: str, zone: tzinfo | None = None) -> Table:
    """Return fluids, parts and waste of a month ("2026-11"); raises `WrongInput` for another text."""
    year, _, rest = name.partition("-")
    if not (len(year) == 4 and len(rest) == 2 and (year + rest).isdecimal() and "01" <= rest <= "12"):
        raise WrongInput(f"'{name}' is no month: write it as 2026-11")
    mine = [one for one in _by_day(entries) if local(one.begun.utc_ms, zone).startswith(name)]
    fluids: dict[str, list[Service]] = {}
    parts: dict[str, int] = {}
    for one in mine:
        if one.used is not None:
            fluids.setdefault(one.fluid or one.unit, []).append(one)
        for part, count in one.parts.items():
            parts[part] = parts.get(part, 0) + count
    return {
        "month": name,
        "jobs": len({one.job for one in mine}),
        "fluids": [
            {"fluid": fluid, "amount": _figure(summed(one.used for one in those)), "services": len(those)}
            for fluid, those in sorted(fluids.items())
        ],
        "parts": [{"part": part, "count": count} for part, count in sorted(parts.items())],
        "waste": [
            {"kind": kind, "amount": _figure(summed(amounts))}
            for kind, amounts in sorted(_waste_by_kind(mine).items())
        ],
        "handed_over": [
            one for one in _handed(entries, zone) if one["at"].startswith(name)
        ],
    }  # fmt: skip


def _waste_by_kind(found: Iterable[Service]) -> dict[str, list[Measure]]:
    kinds: dict[str, list[Measure]] = {}
    for one in found:
        if one.waste is not None and settled(one.waste.unit):
            kinds.setdefault(one.waste_kind, []).append(one.waste)
    return kinds


def _handed(entries: Iterable[Entry], zone: tzinfo | None) -> list[Table]:
    """Return what was handed over, the newest first."""
    events = sorted((one for each in entries for one in each.handed), key=lambda one: -one.at.utc_ms)
    return [
        {
            "at": local(one.at.utc_ms, zone),
            "kind": one.kind,
            "amount": {"value": one.value, "unit": one.unit},
            "to": one.to,
            "who": one.who,
        }
        for one in events
    ]


def waste(entries: Sequence[Entry], zone: tzinfo | None = None) -> Table:
    """Return what waste came out, was handed over and is still here, by kind, and both lists behind it."""
    came = _waste_by_kind(_by_day(entries))
    gone: dict[str, list[Measure]] = {}
    for each in entries:
        for one in each.handed:
            gone.setdefault(one.kind, []).append(Measure(one.value, one.unit))
    kinds = []
    for kind in sorted({*came, *gone}):
        unit = (came.get(kind) or gone[kind])[0].unit
        taken_in, taken_away = (
            summed(amounts.get(kind, ())) or Measure("0", unit) for amounts in (came, gone)
        )
        here = subtract(convert(taken_in, unit), convert(taken_away, unit))
        kinds.append(
            {
                "kind": kind,
                "came": _figure(taken_in),
                "handed_over": _figure(convert(taken_away, unit)),
                "here": _figure(here),
            }
        )
    from_jobs = [
        {"at": local(one.last.utc_ms, zone), "kind": one.waste_kind, "amount": _figure(one.waste),
         "vehicle": one.vehicle, "unit": one.unit, "job": one.job}
        for one in _by_day(entries) if one.waste is not None
    ]  # fmt: skip
    return {"kinds": kinds, "handed_over": _handed(entries, zone), "came": from_jobs}
