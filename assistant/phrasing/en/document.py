"""The English report of a job to be looked at or printed: its parts, columns and rows, from its record.

Every function takes the tables of a record and gives rows of texts; numerals with unit symbols.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from assistant.phrasing.en.page import reading_slots
from assistant.phrasing.en.parts import parts_text
from assistant.phrasing.en.report import (
    BALANCE,
    BREAKS,
    ENDS,
    FATES,
    WITHDRAWN,
    kind_text,
    left_text,
    named,
    short,
)
from assistant.phrasing.en.words import REASONS, sentence
from assistant.units import Measure, for_speech, symbol_of

Table = Mapping[str, Any]
Rows = tuple[tuple[str, ...], ...]
Part = tuple[str, str, tuple[str, ...], Rows]
"""Name, heading, column heads, rows."""

TITLE = "Service record"
FOOTER = (
    "All figures here are aids. The vehicle's own service data decide, and whoever did the work answers "
    "for it."
)
PAGE = "Page {page} of {pages}"
NOTHING = "none"
MECHANIC = "the mechanic"
THEN: Mapping[str, str] = {
    "stay": "went on",
    "stop": "handed back",
    "park": "left for later",
    "leave": "unit left as it was",
}
"""Where a finding led, where that is no step."""
OPEN = "open"

FACTS: Mapping[str, str] = {
    "vehicle": "Vehicle",
    "unit": "Unit",
    "plate": "Build plate",
    "fluid-class": "Fluid called for",
    "procedure": "Service",
    "who": "Done by",
    "begun": "Begun",
    "ended": "Ended",
    "end": "Outcome",
    "parts": "New parts",
    "distance": "Distance driven",
    "next-due": "Next due",
    "job": "Record",
}

HEADINGS: Mapping[str, str] = {
    "fluids": "Fluids",
    "balance": "Balance",
    "torques": "Torques",
    "bolts": "Bolts tightened in rounds",
    "levels": "Levels and temperatures",
    "findings": "Findings",
    "gates": "Safety questions answered",
    "changes": "Corrections and challenges",
    "advice": "Advice, and what it was reckoned from",
    "open": "Left open",
    "steps": "Steps",
    "readings": "Every reading as it was said",
    "figures": "Figures given by voice",
    "timers": "Timers",
    "cautions": "Cautions said",
    "notes": "Notes",
    "breaks": "Breaks and hand-overs",
}

RARE = frozenset({"bolts"})
"""Parts that are left out where they have no rows, unlike the others: few services have any of it."""

PLOTS: Mapping[str, tuple[str, str]] = {
    "amounts": ("Out and in over time", "Amounts in {unit} by the clock. {told}"),
    "warmth": ("Temperature", "Temperature in degrees Celsius by the clock. {told}"),
    "course": (
        "Course of the job",
        "Steps, timers and breaks by the clock; those of a minute and more: {told}",
    ),
    "shares": ("New fluid in the unit", "Share of new fluid after each service. {told}"),
}
AXES: Mapping[str, str] = {
    "out": "out",
    "in": "in",
    "usual": "usual drain",
    "advised": "advised refill",
    "reading": "reading",
    "curve": "fitted curve",
    "hot": "hot window",
    "cold": "cold window",
    "step": "steps",
    "timer": "timers",
    "break": "breaks",
    "share": "new fluid, %",
    "beyond": "what left the scale was put right later, see the corrections",
}


def _measure(value: str | None, unit: str | None) -> str:
    return "" if value is None else f"{value} {symbol_of(unit) if unit else ''}".strip()


def _of(one: Table) -> str:
    return _measure(one["value"], one["unit"])


def _said(one: Table) -> str:
    """Return a reckoned amount as it would be said."""
    said = for_speech(Measure(one["value"], one["unit"]))
    return _measure(said.value, said.unit)


def clock(iso: str) -> str:
    """Return date and time of an ISO instant without its offset, empty for none."""
    return iso[:19].replace("T", " ")


def _status(one: Table) -> str:
    marks = {"standing": "stands", "heard": "not confirmed"}.get(one["status"], "")
    if one["withdrawn"]:
        marks = f"taken back ({WITHDRAWN.get(one['withdrawn'], one['withdrawn'])})"
    if one["replaced_by"] is not None:
        marks += f", see {one['replaced_by']}"
    return f"{marks}, doubtful" if one["doubtful"] else marks


def facts(table: Table, more: Table) -> Rows:
    """Return label and text of what stands at the head."""
    told = {
        **{name: str(table[name]) for name in ("vehicle", "unit", "job")},
        "plate": _each(table, lambda one: str(one["plate"])),
        "fluid-class": _each(table, lambda one: str(one["fluid_class"])),
        "parts": parts_text(sum((Counter(one["parts"]) for one in table["units"]), Counter())),
        "next-due": _each(table, lambda one: _of(one["next_due"]) if one["next_due"] else ""),
        "procedure": table["procedure"]["title"],
        "who": ", ".join(table["who"]),
        "begun": f"{clock(table['begun'])} (UTC{table['begun'][19:]})",
        "ended": clock(table["ended"]),
        "end": "; ".join((ENDS.get(table["end"], table["end"]), *map(left_text, _left(table)))),
        **more,
    }
    return tuple((label, told.get(name) or "-") for name, label in FACTS.items())


def _left(table: Table) -> list[Table]:
    return [one for one in table["units"] if one["left"]]


def _each(table: Table, text: Callable[[Table], str]) -> str:
    """Return a text of the unit; where there are several, with their names unless it is the same for all."""
    told = [(one["name"], text(one)) for one in table["units"]]
    if len({each for _, each in told}) == 1:
        return told[0][1]
    return "; ".join(f"{name}: {each}" for name, each in told if each)


def parts(table: Table, more: Table) -> tuple[Part, ...]:
    """Return the parts of a report in their order; one without rows is in, and says so."""
    of = named(table)
    made: Mapping[str, tuple[tuple[str, ...], Rows]] = {
        "fluids": _fluids(table)[2:],
        "balance": _balance(table)[2:],
        "torques": (("Plug", "Read", "Sheet", "Allowed", "Standing"), _torques(table, more)),
        "bolts": (("When", "Round", "Bolts"), _bolts(table)),
        "levels": (("When", "What", "Read", "Standing"), _levels(table)),
        "findings": (("When", "Finding", "At step", "Then"), _findings(table, more["steps"])),
        "gates": (
            ("When", "Question", "Before step", "Confirmed by"),
            tuple(
                (
                    clock(one["at"]),
                    more["gates"].get(one["gate"], one["gate"]),
                    more["steps"].get(one["step"], one["step"]),
                    one["who"] or MECHANIC,
                )
                for one in table["gates"]
            ),
        ),
        "changes": (("When", "What", "Before", "After"), _changes(table)),
        "advice": (("When", "Advised", "Answer", "Reckoned", "From"), _advice(table)),
        "open": (("", ""), tuple((str(o["number"] or "-"), o["title"] or o["point"]) for o in table["open"])),
        "steps": (("No.", "Step", "Entered", "Done"), _steps(table)),
        "readings": (("No.", "When", "What", "Read", "Words", "Standing"), _readings(table)),
        "figures": (
            ("When", "Figure", "Value", "From"),
            tuple((clock(o["at"]), of(o) + o["name"], _of(o), o["origin"]) for o in table["figures"]),
        ),
        "timers": (
            ("Timer", "Length", "Started", "Over", "Told"),
            tuple(
                (
                    of(o) + o["name"],
                    f"{o['seconds']} s",
                    clock(o["started"]),
                    clock(o["due"]),
                    clock(o["said"]),
                )
                for o in table["timers"]
            ),
        ),
        "cautions": (
            ("When", "Caution"),
            tuple((clock(o["at"]), o["text"] or o["caution"]) for o in table["cautions"]),
        ),
        "notes": (
            ("When", "Note"),
            tuple((clock(o["at"]), o["words"] or f"sound {o['clip']}") for o in table["notes"]),
        ),
        "breaks": (
            ("When", "What", "Who"),
            tuple((clock(o["at"]), BREAKS[o["what"]], o["who"]) for o in table["breaks"]),
        ),
    }
    shown = (name for name in HEADINGS if made[name][1] or name not in RARE)
    return tuple((name, HEADINGS[name], *made[name]) for name in shown)


def _fluids(table: Table) -> Part:
    rows: list[tuple[str, ...]] = []
    for one in table["units"]:
        wanted = one["fluid_class"] or "-"
        for name, fluid, kind in (
            ("drained", "old fluid that came out", "waste"),
            ("spilled-old", "old fluid spilled", "waste"),
            ("poured", "new fluid that went in", wanted),
            ("spilled-new", "new fluid spilled", wanted),
        ):
            if name in one["balance"]:
                rows.append((one["name"], fluid, kind, short(one["balance"][name])))
    columns, keep = ("Unit", "Fluid", "Class", "Amount"), 0 if len(table["units"]) > 1 else 1
    return "fluids", HEADINGS["fluids"], columns[keep:], tuple(row[keep:] for row in rows)


def _balance(table: Table) -> Part:
    """Return the sums of each unit; of each round and of all where a change was repeated."""
    sums: list[tuple[str, Table]] = []
    for one in table["units"]:
        of = f"{one['name']}, " if len(table["units"]) > 1 else ""
        rounds = one["rounds"] if len(one["rounds"]) > 1 else []
        sums += [(sentence(f"{of}round {number}"), each) for number, each in enumerate(rounds, start=1)]
        sums.append((sentence(f"{of}in all" if rounds else of or "Amount"), one["balance"]))
    rows = [
        (label, *(_said(each[name]) if name in each else "-" for _, each in sums))
        for name, label in BALANCE.items()
        if any(name in each for _, each in sums)
    ]
    return "balance", HEADINGS["balance"], ("", *(name.rstrip(".,") for name, _ in sums)), tuple(rows)


def _torques(table: Table, more: Table) -> Rows:
    allowed, of = more["torque-bands"], named(table)
    return tuple(
        (
            f"{of(one)}{one['plug']} plug",
            _of(one),
            short(one["sheet"]) if one["sheet"] else "no figure",
            allowed.get(one["reading"], "-"),
            "stands" if one["standing"] else "not confirmed",
        )
        for one in table["torques"]
    )


def _bolts(table: Table) -> Rows:
    of = named(table)
    return tuple(
        (
            clock(one["at"]),
            f"{of(one)}{'last round' if one['last'] else 'round'} {one['round']}",
            f"{one['bolts']}, counted aloud {one['counted']}" if one["counted"] else str(one["bolts"]),
        )
        for one in table["bolts"]
    )


def _levels(table: Table) -> Rows:
    kinds, of = ("level", "temperature", "temperature-band"), named(table)
    return tuple(
        (clock(one["at"]), of(one) + kind_text(one["kind"]), _read(one), _status(one))
        for one in table["readings"]
        if one["kind"] in kinds
    )


def _read(one: Table) -> str:
    return ", ".join(part for part in (_of(one), reading_slots(one["slots"])) if part) or one["words"]


def _findings(table: Table, steps: Mapping[str, str]) -> Rows:
    found = [(one["at"], one["finding"], one["step"], one["then"]) for one in table["findings"]]
    found += [(one["at"], one["what"], one["step"], one["then"]) for one in table["exits"]]
    return tuple(
        (clock(at), what.replace("-", " "), steps.get(step, step), THEN.get(then) or steps.get(then, then))
        for at, what, step, then in sorted(found)
    )


def _changes(table: Table) -> Rows:
    by_number = {one["reading"]: one for one in table["readings"]}
    rows = []
    for one in table["challenges"]:
        about = by_number.get(one["reading"])
        what = f"challenged ({one['why'].replace('-', ' ')}): {kind_text(about['kind']) if about else ''}"
        after = "said again, kept as doubtful" if one["kept_as_doubtful"] else "not kept"
        rows.append((one["at"], what, _read(about) if about else "", after))
    for one in table["readings"]:
        if one["replaces"] is not None:
            old = by_number[one["replaces"]]
            rows.append((one["at"], f"corrected: {kind_text(one['kind'])}", _read(old), _read(one)))
        elif one["withdrawn"] and one["replaced_by"] is None:
            why = WITHDRAWN.get(one["withdrawn"], one["withdrawn"])
            rows.append((one["at"], f"{why}: {kind_text(one['kind'])}", _read(one), "taken back"))
    return tuple((clock(at), what, before, after) for at, what, before, after in sorted(rows))


def _advice(table: Table) -> Rows:
    rows, of = [], named(table)
    for one in table["advice"]:
        bound = f" ± {_measure(one['plus_minus'], one['exact']['unit'])}" if one["plus_minus"] else ""
        given = ", ".join(f"{name} {value}" for name, value in one["inputs"])
        rows.append(
            (
                clock(one["at"]),
                f"{of(one)}{one['name']}: {_of(one['spoken'])}{' (estimate)' if one['estimate'] else ''}",
                FATES.get(one["fate"], one["fate"]),
                f"{short(one['exact'])}{bound}; {one['formula']}",
                given,
            )
        )
    return tuple(rows)


def _steps(table: Table) -> Rows:
    rows = []
    for one in table["steps"]:
        done = clock(one["done"]) or OPEN
        if one["skipped"]:
            done = f"left out, {REASONS.get(one['reason'], one['reason'])}"
        rows.append((str(one["number"] or "-"), one["title"] or one["step"], clock(one["entered"]), done))
    return tuple(rows)


def _readings(table: Table) -> Rows:
    of = named(table)
    return tuple(
        (
            str(one["reading"]),
            clock(one["at"]),
            of(one) + kind_text(one["kind"]),
            _read(one),
            one["words"],
            _status(one),
        )
        for one in table["readings"]
    )


def plot_words(name: str, told: Sequence[str], unit: str = "", of: str = "") -> tuple[str, str]:
    """Return the title of a plot and what it shows in words, for whoever cannot see it; `of` which unit."""
    title, alternative = PLOTS[name]
    title = f"{title}, {of}" if of else title
    return title, alternative.format(unit=symbol_of(unit) if unit else "", told="; ".join(told)).strip()
