"""The English history: its parts, columns and rows, from its tables. Numerals with unit symbols."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from assistant.phrasing.en.page import kind_text, reading_slots
from assistant.phrasing.en.parts import part_text, parts_text
from assistant.phrasing.en.report import ENDS
from assistant.phrasing.en.words import waste_text
from assistant.units import Measure, for_speech, plain, symbol_of

Table = Mapping[str, Any]
Rows = tuple[tuple[str, ...], ...]
Part = tuple[str, str, tuple[str, ...], Rows]
"""Name, heading, column heads, rows."""

TITLE = "Service history"
WASTE_TITLE = "Waste fluids"
PAGES: Mapping[str, str] = {"/": "Job now", "/history": TITLE, "/waste": WASTE_TITLE}
"""Address -> what the way there is called."""
LABELS: Mapping[str, str] = {
    "pages": "Pages",
    "facts": "The job",
    "search": "Search the records",
    "search-go": "Search",
    "month": "Used in a month",
    "month-go": "Show",
    "compare": "Two jobs side by side",
    "compare-go": "Set side by side",
    "first": "The one job",
    "second": "The other",
}
"""Of the pages."""
DIGITS = 6
NOTHING = "nothing on record"
NO_VEHICLE, NO_UNIT = "vehicle not named", "unit not named"
TOLD: Mapping[str, str] = {
    "job": "job",
    "begun": "begun",
    "service": "service",
    "vehicle": "vehicle and unit",
    "who": "done by",
    "end": "outcome",
    "distance": "distance driven",
    "out": "came out",
    "into": "went in",
    "advised": "advised",
    "level": "last level",
    "temperature": "last temperature",
    "drip": "drip interval",
    "torque": "torque",
    "parts": "new parts",
    "found": "seen",
    "findings": "findings",
    "exits": "what else happened",
    "minutes": "whole time",
    "corrections": "corrections",
    "challenges": "challenges",
}


def amount(one: Table | None, none: str = "-") -> str:
    """Return a figure as it would be said, in numerals."""
    if one is None:
        return none
    said = for_speech(Measure(one["value"], one["unit"]))
    return f"{said.value} {symbol_of(said.unit)}"


def _exact(one: Table | None) -> str:
    """Return a figure as it was said."""
    return "-" if one is None else f"{one['value']} {symbol_of(one['unit'])}"


def day(iso: str) -> str:
    """Return the date of an instant."""
    return iso[:10]


def _seen(one: Table, *kinds: str) -> str:
    return "; ".join(
        reading_slots(each["slots"]) or each["words"] for each in one["found"] if each["kind"] in kinds
    )


def _all_seen(one: Table) -> str:
    return "; ".join(
        f"{kind_text(each['kind'])}: {reading_slots(each['slots']) or each['words']}" for each in one["found"]
    )


def _findings(one: Table) -> str:
    return ", ".join(name.replace("-", " ") for name in one["findings"])


def _end(one: Table) -> str:
    return ENDS.get(one["end"], one["end"])


def _place(one: Table) -> str:
    return f"{one['vehicle'] or NO_VEHICLE}, {one['unit'] or NO_UNIT}"


def _vehicles(table: Table) -> Part:
    return (
        "vehicles",
        "Vehicles",
        ("Vehicle", "Unit", "Jobs", "Last", "Went in", "Distance", "Next due"),
        tuple(
            (
                one["vehicle"] or NO_VEHICLE,
                one["unit"] or NO_UNIT,
                str(one["jobs"]),
                day(one["last"]),
                amount(one["into"]),
                _exact(one["distance"]),
                amount(one["due"]),
            )
            for one in table["vehicles"]
        ),
    )


def _services(name: str, heading: str, rows: Sequence[Table], place: bool = True) -> Part:
    columns = ("Day", "Vehicle, unit", "Service", "Out", "In", "Distance", "Outcome", "Done by", "Job")
    made = [
        (
            day(one["begun"]),
            _place(one),
            one["service"],
            amount(one["out"]),
            amount(one["into"]),
            _exact(one["distance"]),
            _end(one),
            ", ".join(one["who"]) or "-",
            one["job"],
        )
        for one in rows
    ]
    keep = [at for at, column in enumerate(columns) if place or column != "Vehicle, unit"]
    return (
        name,
        heading,
        tuple(columns[at] for at in keep),
        tuple(tuple(cells[at] for at in keep) for cells in made),
    )


def overview(table: Table) -> tuple[Part, ...]:
    """Return vehicles and jobs."""
    return _vehicles(table), _services("services", "Jobs, the newest first", table["services"])


def of_vehicle(table: Table) -> tuple[Part, ...]:
    """Return the units of a vehicle, and of each its services and what was found over time."""
    parts = [_vehicles(table)]
    units = dict.fromkeys((one["vehicle"], one["unit"]) for one in table["services"])
    for number, (vehicle, unit) in enumerate(units, start=1):
        mine = [one for one in table["services"] if (one["vehicle"], one["unit"]) == (vehicle, unit)]
        heading = f"{vehicle or NO_VEHICLE}, {unit or NO_UNIT}"
        parts.append(_services(f"services-{number}", heading, mine, place=False))
        parts.append(
            (
                f"found-{number}",
                f"Found over time, {unit or NO_UNIT}",
                ("Day", "Distance", "Magnet", "Fluid", "Findings", "Next due"),
                tuple(
                    (
                        day(one["begun"]),
                        _exact(one["distance"]),
                        _seen(one, "magnet") or "-",
                        _seen(one, "look") or "-",
                        _findings(one) or "-",
                        amount(one["due"]),
                    )
                    for one in mine
                ),
            )
        )
    return tuple(parts)


def search(table: Table) -> tuple[Part, ...]:
    """Return what a search found."""
    found = _services("services", f"Jobs with \u201c{table['search']}\u201d", table["services"])
    notes = tuple((job, words) for job, all_of in table["notes"].items() for words in all_of)
    return (found, ("notes", "Notes of these jobs", ("Job", "Note"), notes)) if notes else (found,)


def compare(table: Table) -> tuple[Part, ...]:
    """Return two jobs side by side."""
    pair = [_told(one) for one in table["jobs"]]
    rows = tuple(
        (label, *(one.get(name) or "-" for one in pair), _difference(name, table["jobs"]))
        for name, label in TOLD.items()
        if any(one.get(name) for one in pair)
    )
    return (("compare", "Side by side", ("", LABELS["first"], LABELS["second"], "Difference"), rows),)


def _told(one: Table) -> dict[str, str]:
    many = len(one["services"]) > 1

    def of_all(text: Any) -> str:
        texts = [(each["unit"], text(each)) for each in one["services"]]
        return "; ".join(f"{unit}: {told}" if many else told for unit, told in texts if told)

    first = one["services"][0]
    return {
        "job": one["job"],
        "begun": first["begun"].replace("T", " "),
        "service": first["service"],
        "vehicle": "; ".join(_place(each) for each in one["services"]),
        "who": ", ".join(first["who"]),
        "end": _end(first),
        "distance": _exact(first["distance"]),
        "out": of_all(lambda each: amount(each["out"], "")),
        "into": of_all(lambda each: amount(each["into"], "")),
        "parts": of_all(lambda each: parts_text(each["parts"])),
        "found": of_all(_all_seen),
        "findings": of_all(_findings),
        **{name: _exact(value) if isinstance(value, dict) else value for name, value in one["told"].items()},
    }


def _difference(name: str, pair: Sequence[Table]) -> str:
    """Return by how much the second figure is more than the first, where both are figures of one unit."""
    figures = []
    for one in pair:
        first = one["services"][0] if len(one["services"]) == 1 else {}
        figures.append(one["told"].get(name, first.get(name)))
    if not all(isinstance(one, dict) and "unit" in one for one in figures):
        return ""
    before, after = figures
    if before["unit"] != after["unit"]:
        return ""
    apart = Measure(after["value"], after["unit"]).exact - Measure(before["value"], before["unit"]).exact
    sign = "+" if apart > 0 else "\u2212"
    return f"{sign}{plain(abs(apart), DIGITS)} {symbol_of(after['unit'])}" if apart else "same"


def month(table: Table) -> tuple[Part, ...]:
    """Return fluids, parts and waste of a month."""
    name = table["month"]
    return (
        (
            "fluids",
            f"New fluid used in {name}; jobs: {table['jobs']}",
            ("Class", "Amount", "Services"),
            tuple((one["fluid"], amount(one["amount"]), str(one["services"])) for one in table["fluids"]),
        ),
        (
            "parts",
            f"New parts fitted in {name}",
            ("Part", "Count"),
            tuple((part_text(one["part"]), str(one["count"])) for one in table["parts"]),
        ),
        (
            "waste",
            f"Waste that came out in {name}",
            ("Kind", "Amount"),
            tuple((waste_text(one["kind"]), amount(one["amount"])) for one in table["waste"]),
        ),
        _handed(table, f"Waste handed over in {name}"),
    )


def _handed(table: Table, heading: str) -> Part:
    return (
        "handed-over",
        heading,
        ("When", "Kind", "Amount", "To", "By"),
        tuple(
            (
                one["at"][:16].replace("T", " "),
                waste_text(one["kind"]),
                _exact(one["amount"]),
                one["to"],
                one["who"] or "-",
            )
            for one in table["handed_over"]
        ),
    )


def waste(table: Table) -> tuple[Part, ...]:
    """Return the waste log: what is here by kind, what was handed over, where it came from."""
    return (
        (
            "here",
            "Waste fluid here, by kind",
            ("Kind", "Came out", "Handed over", "Still here"),
            tuple(
                (
                    waste_text(one["kind"]),
                    amount(one["came"]),
                    amount(one["handed_over"]),
                    amount(one["here"]),
                )
                for one in table["kinds"]
            ),
        ),
        _handed(table, "Handed over"),
        (
            "came",
            "Where it came from",
            ("Day", "Kind", "Amount", "Vehicle, unit", "Job"),
            tuple(
                (day(one["at"]), waste_text(one["kind"]), amount(one["amount"]), _place(one), one["job"])
                for one in table["came"]
            ),
        ),
    )
