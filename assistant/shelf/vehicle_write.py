"""Writes vehicle sheets: a new file that takes nobody's place, and single values put into one that stands.

What a person wrote stays as it is, comments too: a value is one line put behind the others of its unit. After
each change the file is read again as any sheet is, before it takes the place of what stood there; a change
that would make a bad sheet, or another value than was meant, is refused and nothing is written.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from assistant.errors import WrongInput
from assistant.shelf.durable import write_new, write_text
from assistant.shelf.vehicle_builds import variants_of
from assistant.shelf.vehicle_file import FORMAT, units_in
from assistant.units import Measure

HEAD = """\
# Figures of this vehicle alone, from its own service data or measured. Every figure has its unit; what is
# not known is left out and asked in the job.

format = {format}

[vehicle]
name = {name}
"""
SPELLED = {"celsius": "degree celsius", "fahrenheit": "degree fahrenheit"}
_UNIT = re.compile(r"\s*\[\[\s*unit\s*\]\]\s*(?:#.*)?$")
_SUB = re.compile(r"\s*\[{1,2}\s*unit\s*\.")
_VARIANT = re.compile(r"\s*\[\[\s*unit\s*\.\s*variant\s*\]\]\s*(?:#.*)?$")
_NO_FILE_NAME = re.compile(r"[^a-z0-9]+")


Sheets = Sequence[Mapping[str, object]]
"""The units of a sheet, as they are read."""


def file_name(vehicle: str) -> str:
    """Return the name of the file of a vehicle: its name in small letters, digits and hyphens."""
    return (_NO_FILE_NAME.sub("-", vehicle.casefold()).strip("-") or "vehicle") + ".toml"


def quoted(text: str) -> str:
    """Return a text as TOML writes it."""
    return json.dumps(text, ensure_ascii=False)


def figure_text(measure: Measure, origin: str = "") -> str:
    """Return a figure as a sheet writes it, with where it came from where that is told."""
    unit = SPELLED.get(measure.unit, measure.unit.replace("_", " ").replace("us ", "US "))
    shown = quoted(f"{measure.value} {unit}")
    return f"{{ is = {shown}, from = {quoted(origin)} }}" if origin else shown


def new_sheet(path: Path, vehicle: str, unit: str) -> None:
    """Begin a sheet of a vehicle with one unit, durably; `WrongInput` where a file of that name is there."""
    text = HEAD.format(format=FORMAT, name=quoted(vehicle)) + _unit(unit)
    units_in(text, str(path))
    try:
        write_new(path, text)
    except FileExistsError:
        raise _taken(path) from None


def _taken(path: Path) -> Exception:
    """Return why a new file could not be: it is there, or what should be its folder is a file."""
    if not path.exists():
        return NotADirectoryError(f"{path.parent} is no folder")
    return WrongInput(f"{path} is there already: give another name, or remove it first")


def _unit(name: str) -> str:
    return f"\n[[unit]]\nname = {quoted(name)}\n"


def add_unit(path: Path, unit: str) -> None:
    """Put one more unit at the end of a sheet."""
    _change(path, lambda lines, _: [*lines, *_unit(unit).splitlines()])


def add_variant(path: Path, unit: str, variant: str) -> None:
    """Put one more version of a unit behind what stands there of it."""

    def add(lines: list[str], sheets: Sheets) -> list[str]:
        end = _end(lines, *_region(lines, sheets, path, unit))
        return [*lines[:end], "", "[[unit.variant]]", f"name = {quoted(variant)}", *lines[end:]]

    _change(path, add)


def put_value(path: Path, unit: str, variant: str, key: str, value: str, *, again: bool = False) -> None:
    """Put `key = value` into a unit of a sheet, or into a version of it; `value` is written as TOML.

    A key that stands there is kept and refused, but with `again`, where it was put by this program before.
    """

    def add(lines: list[str], sheets: Sheets) -> list[str]:
        start, stop = _region(lines, sheets, path, unit, variant)
        standing = [
            at for at in range(start, stop) if re.match(rf"\s*[\"']?{re.escape(key)}[\"']?\s*=", lines[at])
        ]
        if standing and not again:
            raise WrongInput(f"{path}, line {standing[0] + 1}: {key} stands there already")
        kept = [line for at, line in enumerate(lines) if at not in standing]
        end = _end(kept, start, stop - len(standing))
        return [*kept[:end], f"{key} = {value}", *kept[end:]]

    _change(path, add)


def _change(path: Path, how: Callable[[list[str], Sheets], list[str]]) -> None:
    """Change the lines of a sheet, durably, where what comes out is a sheet."""
    before = _read(path)
    after = "\n".join(how(before.splitlines(), units_in(before, str(path)))) + "\n"
    units_in(after, str(path))
    write_text(path, after)


def _read(path: Path) -> str:
    try:
        return path.read_text("utf-8-sig")
    except (OSError, UnicodeDecodeError) as trouble:
        raise WrongInput(f"{path} cannot be read: {trouble}") from trouble


def _region(
    lines: Sequence[str], sheets: Sheets, path: Path, unit: str, variant: str = ""
) -> tuple[int, int]:
    """Return the lines of a unit's own keys, or of a build of it: from behind its head to the next table."""
    names = [str(one["unit"]).casefold() for one in sheets]
    if unit.casefold() not in names:
        raise WrongInput(f"{path} has no unit {unit!r}; it has {', '.join(names)}")
    place = names.index(unit.casefold())
    heads = [at for at, line in enumerate(lines) if _UNIT.match(line)]
    if len(heads) != len(sheets):
        raise WrongInput(f"{path} is written in another way than [[unit]] tables: put it in by hand")
    start, stop = heads[place] + 1, [*heads, len(lines)][place + 1]
    if not variant:
        return start, next((at for at in range(start, stop) if _SUB.match(lines[at])), stop)
    known = [one.casefold() for one in variants_of(sheets[place])[1:]]
    if variant.casefold() not in known:
        raise WrongInput(f"{path} has no {unit} called {variant!r}")
    inner = [at for at in range(start, stop) if _VARIANT.match(lines[at])]
    number = known.index(variant.casefold())
    return inner[number] + 1, [*inner, stop][number + 1]


def _end(lines: Sequence[str], start: int, stop: int) -> int:
    """Return the line behind the last one of a region that is neither blank nor a comment."""
    last = start
    for at in range(start, stop):
        if lines[at].strip() and not lines[at].lstrip().startswith("#"):
            last = at + 1
    return last


def copy_sheet(source: Path, place: Path, vehicle: str) -> None:
    """Write a sheet once more under the name of another vehicle; `WrongInput` where that file is there."""
    text = _read(source)
    units_in(text, str(source))
    head = re.compile(r"(^\s*\[\s*vehicle\s*\][^\[]*?^\s*name\s*=\s*)[^\n]*$", re.MULTILINE)
    after = head.sub(lambda found: found[1] + quoted(vehicle), text, count=1)
    if any(one["vehicle"] != vehicle for one in units_in(after, str(place))):
        raise WrongInput(f"{source}: the name of the vehicle is written in another way: copy it by hand")
    try:
        write_new(place, after)
    except FileExistsError:
        raise _taken(place) from None
