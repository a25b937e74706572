"""A record as CSV: one long table that a spreadsheet takes, and the JSON schema of the whole record.

CSV by RFC 4180 in UTF-8 with a byte order mark (spreadsheets else take it for another code), a row for each
thing on record. The schema tells what stands in each column.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator, Mapping
from functools import cache
from importlib.resources import files
from typing import Any

from assistant.display.sums import Table

DANGEROUS = ("=", "+", "-", "@", "\t", "\r")
"""What a spreadsheet takes for a formula at the start of a cell (OWASP, CSV injection)."""
NAMES = ("name", "what", "finding", "gate", "caution", "point", "plug", "why", "step")
NOTES = ("words", "text", "who", "reason", "formula", "then", "origin", "title")


def as_csv(table: Table) -> str:
    """Return a record as CSV with a byte order mark."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    columns = list(schema()["x-csv"]["columns"])
    writer.writerow(columns)
    for row in rows(table):
        writer.writerow([_safe(row.get(name, "")) for name in columns])
    return "\ufeff" + text.getvalue()


def rows(table: Table) -> Iterator[dict[str, str]]:
    """Yield one row for each thing of a record."""
    for name in ("job", "vehicle", "unit", "begun", "ended", "end"):
        yield {"section": "job", "name": name, "value": table[name]}
    yield {"section": "job", "name": "procedure", "value": table["procedure"]["title"]}
    for who in table["who"]:
        yield {"section": "job", "name": "who", "value": who}
    names = {one["key"]: one["name"] if one["key"] else "" for one in table["units"]}
    for unit in table["units"]:
        for name, one in unit["balance"].items():
            yield {"section": "balance", "name": name, "of": names[unit["key"]], **one}
        if unit["left"]:
            yield {"section": "balance", "name": "left", "value": unit["left"], "of": names[unit["key"]]}
    for section, things in table.items():
        if isinstance(things, list) and section not in ("who", "units"):
            yield from (_row(section, one, names) for one in things)


def _row(section: str, one: Table, names: Mapping[str, str]) -> dict[str, str]:
    spoken = one.get("spoken", one)
    found = {
        "section": section,
        "at": one.get("at") or one.get("entered") or one.get("started") or "",
        "number": one.get("reading", one.get("number")),
        "name": one.get("kind") or _first(one, NAMES),
        "value": spoken.get("value"),
        "unit": spoken.get("unit"),
        "status": _status(section, one),
        "note": _first(one, NOTES),
        "of": names.get(one.get("of", ""), ""),
    }
    if section == "timers":
        found |= {"value": one["seconds"], "unit": "second"}
    if section == "bolts":
        found |= {"number": one["round"], "name": "round", "value": one["bolts"]}
    if section == "readings" and found["value"] is None:
        found["value"] = ", ".join(f"{name} {value}" for name, value in sorted(one["slots"].items()))
    return {name: "" if value is None else str(value) for name, value in found.items()}


def _first(one: Table, names: tuple[str, ...]) -> Any:
    return next((one[name] for name in names if one.get(name)), "")


def _status(section: str, one: Table) -> str:
    if section == "steps":
        return "skipped" if one["skipped"] else "done" if one["done"] else "open"
    if section == "torques":
        return "standing" if one["standing"] else "heard"
    return str(one.get("status") or one.get("fate") or "")


def _safe(text: str) -> str:
    """Return a cell that no spreadsheet takes for a formula; numbers stay numbers."""
    if text.startswith(DANGEROUS) and not text.lstrip("+-").replace(".", "", 1).isdigit():
        return f"'{text}"
    return text


@cache
def schema() -> dict[str, Any]:
    """Return the JSON schema (draft 2020-12) of what `assistant report --json` prints."""
    whole = files("assistant.display.document").joinpath("record.schema.json").read_text("utf-8")
    loaded: dict[str, Any] = json.loads(whole)
    return loaded
