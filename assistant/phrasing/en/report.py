"""The English report of a job: the tables of its record, in words, on lines that fit a page."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from assistant.phrasing.en.parts import parts_text
from assistant.phrasing.en.words import KINDS, REASONS
from assistant.units import Measure, plain, symbol_of

Table = Mapping[str, Any]
"""A record of a job, or one row of it, as `assistant.display.record` makes it."""
WIDTH = 100

HEADINGS: Mapping[str, str] = {
    "head": "RECORD OF A JOB",
    "steps": "Steps",
    "readings": "Readings",
    "balance": "Fluid",
    "torques": "Torques",
    "findings": "Findings and what else happened",
    "gates": "Safety questions answered",
    "cautions": "Cautions said",
    "changes": "Corrections and challenges",
    "advice": "Advice",
    "figures": "Figures given by voice",
    "timers": "Timers",
    "notes": "Notes",
    "breaks": "Breaks and hand-overs",
    "open": "Open points",
}
"""Headings, in the order of the page."""

LABELS: Mapping[str, str] = {
    "job": "Job",
    "vehicle": "Vehicle",
    "unit": "Unit",
    "procedure": "Procedure",
    "who": "Mechanic",
    "begun": "Begun",
    "ended": "Ended",
    "versions": "Versions",
}

STATUS: Mapping[str, str] = {
    "standing": "stands",
    "withdrawn": "taken back",
    "heard": "heard, not confirmed",
    "doubtful": "doubtful",
    "clip": "sound kept",
}

BALANCE: Mapping[str, str] = {
    "drained": "came out",
    "poured": "went in",
    "spilled-old": "old fluid lost",
    "spilled-new": "new fluid lost",
    "to-go": "still to pour",
}

ENDS: Mapping[str, str] = {
    "complete": "complete",
    "stopped": "stopped before the end",
    "handed-back": "handed back, not complete",
    "": "not ended",
}

WITHDRAWN: Mapping[str, str] = {
    "correction": "corrected",
    "disregard": "disregarded",
    "no": "answered with no",
}

FATES: Mapping[str, str] = {"given": "not answered", "taken": "taken", "refused": "not taken, or made void"}

TIMER_ENDS = ("due", "said", "unacknowledged", "stopped")
"""What can become of a timer, in the words of the record."""

BREAKS: Mapping[str, str] = {
    "JobReopened": "taken up again",
    "StoodBy": "stood by",
    "CameBack": "back at work",
    "JobParked": "parked",
    "EmergencyCalled": "EMERGENCY called",
    "HandedOver": "handed over",
}

TODAY: Mapping[str, str] = {
    "differs": "TODAY'S FORMULA GIVES ANOTHER FIGURE for the same readings: {}",
    "unknown": "cannot be reckoned again: today's program does not know this advice or its inputs",
}
"""Said where the advice of the record is not what today's program would advise."""

NOTHING = "none"
DIGITS = 4
"""Significant digits of a reckoned figure that is printed."""
ESTIMATE = "an estimate"
FOOTER = (
    "All figures of this record are aids. The vehicle's own service data decide, "
    "and whoever did the work answers for it."
)


def as_text(table: Table) -> str:
    """Return a record as text, no line longer than `WIDTH` where words allow it."""
    lines = [HEADINGS["head"], "", *_head(table)]
    for name, rows in SECTIONS.items():
        told = list(rows(table))
        lines += ["", HEADINGS[name], *_wrapped(told or [NOTHING])]
    return "\n".join([*lines, "", *textwrap.wrap(FOOTER, WIDTH), ""])


def _wrapped(lines: Iterable[str]) -> list[str]:
    return [
        piece
        for line in lines
        for piece in textwrap.wrap(
            line, WIDTH, initial_indent="  ", subsequent_indent="      ", break_long_words=False
        )
    ]


def _head(table: Table) -> list[str]:
    ended = ", ".join(part for part in (table["ended"], ENDS.get(table["end"], table["end"])) if part)
    versions = ", ".join(f"{name} {version}" for name, version in table["versions"].items())
    told = {
        "job": table["job"],
        "vehicle": table["vehicle"],
        "unit": table["unit"],
        "procedure": table["procedure"]["title"],
        "who": ", ".join(table["who"]),
        "begun": table["begun"],
        "ended": ended,
        "versions": versions,
    }
    return [f"{LABELS[name]:<10} {text or '-'}" for name, text in told.items()]


def _clock(iso: str) -> str:
    """Return the time of day of an ISO instant."""
    return iso[11:19]


def _measure(value: str | None, unit: str | None) -> str:
    if value is None:
        return ""
    return f"{value} {symbol_of(unit)}".strip() if unit else f"{value} (no unit)"


def _figure(one: Table) -> str:
    return _measure(one["value"], one["unit"])


def short(one: Table) -> str:
    """Return a reckoned figure with a few digits."""
    return _measure(plain(Measure(one["value"], one["unit"]).exact, DIGITS), one["unit"])


def kind_text(kind: str) -> str:
    """Return what a kind of reading is called."""
    if kind == "level":  # on a stick, at a hole or a tube: the mark tells
        return kind
    return KINDS.get(kind, kind).removeprefix("the ")


def _steps(table: Table) -> Iterable[str]:
    for one in table["steps"]:
        if one["skipped"]:
            end = f"left out, {REASONS.get(one['reason'], one['reason'])}"
        else:
            end = f"done {_clock(one['done'])}" if one["done"] else "not done"
        number = f"{one['number']}." if one["number"] else "-"
        yield f"{_clock(one['entered'])}  {number:>3} {one['title'] or one['step']}: {end}"


def _readings(table: Table) -> Iterable[str]:
    of = named(table)
    for one in table["readings"]:
        slots = ", ".join(f"{name} {value}" for name, value in sorted(one["slots"].items()))
        marks = [STATUS[one["status"]]]
        if one["withdrawn"]:
            marks.append(WITHDRAWN.get(one["withdrawn"], one["withdrawn"]))
        if one["replaced_by"] is not None:
            marks.append(f"see {one['replaced_by']}")
        if one["doubtful"]:
            marks.append(STATUS["doubtful"])
        if one["clip"]:
            marks.append(STATUS["clip"])
        said = ", ".join(part for part in (_measure(one["value"], one["unit"]), slots) if part)
        quoted = f' "{one["words"]}"' if one["words"] else ""
        what = f"{of(one)}{kind_text(one['kind'])}: {said}{quoted}"
        yield f"{_clock(one['at'])}  {one['reading']:>3} {what} ({', '.join(marks)})"


def _balance(table: Table) -> Iterable[str]:
    many = len(table["units"]) > 1
    for unit in table["units"]:
        of = f"{unit['name']}: " if many else ""
        for name, one in unit["balance"].items():
            yield f"{of}{BALANCE[name]}: {short(one)}"
        for number, sums in enumerate(unit["rounds"] if len(unit["rounds"]) > 1 else (), start=1):
            told = ", ".join(f"{BALANCE[name]} {short(one)}" for name, one in sums.items())
            yield f"    {of}round {number}: {told or NOTHING}"
        if unit["parts"]:
            yield f"{of}new parts: {parts_text(unit['parts'])}"
        if unit["left"]:
            yield left_text(unit)


def left_text(unit: Table) -> str:
    """Return that a unit was left as it was, and why."""
    return f"{unit['name']} left as it was: {unit['left'].replace('-', ' ')}"


def named(table: Table) -> Callable[[Table], str]:
    """Return what puts the name of its unit before a row of a record; nothing where a job has but one."""
    names = {one["key"]: one["name"] for one in table["units"]} if len(table["units"]) > 1 else {}
    return lambda row: f"{names[row['of']]}: " if names.get(row["of"]) else ""


def _torques(table: Table) -> Iterable[str]:
    of = named(table)
    for one in table["torques"]:
        sheet = f"; the sheet asks {short(one['sheet'])}" if one["sheet"] else "; no figure on the sheet"
        stands = STATUS["standing" if one["standing"] else "heard"]
        got = _measure(one["value"], one["unit"])
        yield f"{of(one)}{one['plug']} plug: {got} ({stands}, reading {one['reading']}{sheet})"
    for one in table["bolts"]:
        counted = f", counted aloud {one['counted']}" if one["counted"] else ""
        name = "last round" if one["last"] else "round"
        yield f"{_clock(one['at'])}  {of(one)}bolts, {name} {one['round']}: {one['bolts']}{counted}"


def _findings(table: Table) -> Iterable[str]:
    for one in table["findings"]:
        yield f"{_clock(one['at'])}  {one['finding']} (at {one['step']}, then {one['then']})"
    for one in table["exits"]:
        yield f"{_clock(one['at'])}  {one['what']} (at {one['step']}, then {one['then']})"


def _gates(table: Table) -> Iterable[str]:
    for one in table["gates"]:
        yield f"{_clock(one['at'])}  {one['gate']} before {one['step']}, by {one['who'] or 'the mechanic'}"


def _cautions(table: Table) -> Iterable[str]:
    for one in table["cautions"]:
        yield f"{_clock(one['at'])}  {one['text'] or one['caution']}"


def _changes(table: Table) -> Iterable[str]:
    by_number = {one["reading"]: one for one in table["readings"]}
    for one in table["challenges"]:
        kept = "said again and kept as doubtful" if one["kept_as_doubtful"] else "not kept"
        reading = by_number.get(one["reading"])
        told = f" {_measure(reading['value'], reading['unit'])}" if reading else ""
        yield f"{_clock(one['at'])}  challenged: reading {one['reading']}{told} ({one['why']}); {kept}"
    for one in table["readings"]:
        if one["replaces"] is not None:
            old = by_number[one["replaces"]]
            before, after = (_measure(each["value"], each["unit"]) for each in (old, one))
            yield (
                f"{_clock(one['at'])}  corrected: {kind_text(one['kind'])}, {before or old['words']} "
                f"(reading {old['reading']}) became {after or one['words']} (reading {one['reading']})"
            )
        elif one["withdrawn"] and one["replaced_by"] is None:
            why = WITHDRAWN.get(one["withdrawn"], one["withdrawn"])
            yield f"{_clock(one['at'])}  taken back: reading {one['reading']} ({why})"


def _advice(table: Table) -> Iterable[str]:
    of = named(table)
    for one in table["advice"]:
        bound = (
            f", plus or minus {_measure(one['plus_minus'], one['exact']['unit'])}"
            if one["plus_minus"]
            else ""
        )
        estimate = f", {ESTIMATE}" if one["estimate"] else ""
        fate = FATES.get(one["fate"], one["fate"])
        if one["fate"] == "given" and one["name"] != "refill":
            fate = "told"  # only the refill asks for a yes
        said = f"{of(one)}{one['name']}: {_figure(one['spoken'])} as said"
        yield f"{_clock(one['at'])}  {said} ({fate}{estimate})"
        yield f"    reckoned {_figure(one['exact'])}{bound}, by {one['formula']}"
        yield "    from " + ", ".join(f"{name} {value}" for name, value in one["inputs"])
        for note in one["notes"]:
            yield f"    {note}"
        if one["today"]["verdict"] in TODAY:
            now = one["today"]["figure"]
            yield "    " + TODAY[one["today"]["verdict"]].format(_figure(now) if now else "")


def _figures(table: Table) -> Iterable[str]:
    of = named(table)
    for one in table["figures"]:
        yield f"{_clock(one['at'])}  {of(one)}{one['name']}: {_figure(one)} (from the {one['origin']})"


def _timers(table: Table) -> Iterable[str]:
    of = named(table)
    for one in table["timers"]:
        ends = [f"{name} {_clock(one[name])}" for name in TIMER_ENDS if one[name]]
        timer = f"{of(one)}{one['name']}, {one['seconds']} s"
        yield f"{_clock(one['started'])}  {timer}: {', '.join(ends) or 'not ended'}"


def _notes(table: Table) -> Iterable[str]:
    for one in table["notes"]:
        kept = f"{STATUS['clip']} as {one['clip']}" if one["clip"] else ""
        yield f"{_clock(one['at'])}  " + "; ".join(part for part in (one["words"], kept) if part)


def _breaks(table: Table) -> Iterable[str]:
    for one in table["breaks"]:
        who = f" ({one['who']})" if one["who"] else ""
        yield f"{one['at']}  {BREAKS[one['what']]}{who}"


def _open(table: Table) -> Iterable[str]:
    for one in table["open"]:
        yield f"{one['number'] or '-':>3}. {one['title']}" if one["title"] else one["point"]


SECTIONS: dict[str, Callable[[Table], Iterable[str]]] = {
    "steps": _steps,
    "readings": _readings,
    "balance": _balance,
    "torques": _torques,
    "findings": _findings,
    "gates": _gates,
    "cautions": _cautions,
    "changes": _changes,
    "advice": _advice,
    "figures": _figures,
    "timers": _timers,
    "notes": _notes,
    "breaks": _breaks,
    "open": _open,
}
"""Heading -> its lines, in the order of the page."""
