"""The vehicle sheet: a TOML file with the figures of a vehicle's units, checked and made plain.

    format = 1

    [vehicle]
    name = "Harrow Lane van"                # spoken when the job begins

    [[unit]]                                # one table for each unit that can be serviced
    name = "automatic transmission"         # what --unit takes
    plate = "H7K2"                          # build-plate code: letters and digits
    fluid-class = "what the standard or the service data calls it"
    fluid-colours = ["red", "pink"]         # what the fluid in this unit may look like when new
    drain-plug-tool = "a seventeen millimetre socket"
    capacity = "9.4 litre"                  # what the unit holds in all
    drain-expected = "5.3 litre"            # what a drain brings; drain-least, drain-most: its limits
    pan-holds = "8 litre"                   # the drip pan
    run-minimum = "7.2 litre"               # below this the unit must not be run
    container = "5 litre"                   # a full can of new fluid
    drain-plug-torque = "29 newton metre"   # and fill-plug-torque
    fluid-density = "846 kilogram per cubic metre"   # at 15 degrees Celsius
    span = "0.45 litre"                     # from the low to the full mark of the stick
    span-length = "18 millimetre"           # the same on the stick itself
    hot-low = "68 degree celsius"           # the windows in which a level may be judged:
                                            # hot-low, hot-high, cold-low, cold-high
    workshop = "18 degree celsius"          # how warm new fluid is where it stands
    stock = "6 litre"                       # new fluid on the shelf
    wrench-length = "40 centimetre"         # the torque wrench, from the hand to the drive
    service-interval = "60000 kilometre"
    fluid-grade = "gear 75W-90"             # gear, engine or industrial, and the class of that table
    fluid-viscosity = "14.5 centistokes"    # of the new fluid, at 100 degrees Celsius (industrial: 40)
    coolant-share = "50 percent"            # concentrate wanted, coolant-left: what is in the unit
    drain-washer = "18 by 24, copper"       # as it is ordered; and fill-washer, overflow-washer, filter,
                                            # pan-gasket
    filter-torque = { is = "24 newton metre", from = "said on 2026-05-03 by MK" }   # with where it came from

    [[unit.variant]]                        # another build of it, with what differs: pan, filter, plug
    name = "deep pan"
    drain-expected = "6.8 litre"

Every figure is a text of a plain number and a unit spelled out: litre, millilitre, US quart, imperial
pint, newton metre, pound foot, pound inch, degree celsius, degree fahrenheit, millimetre. A bare quart,
pint, gallon, fluid ounce or degree is refused. Only `name` of vehicle and unit must be there: what the
sheet lacks is asked during the job. So is, of a unit with variants, what any of them says, as long as nobody
chose one; the unit as it stands is the one called plain.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from decimal import Decimal
from difflib import get_close_matches
from pathlib import Path
from typing import NoReturn, cast

from assistant.errors import BadFile
from assistant.grammar.meaning import KINDS
from assistant.job.sheet import FIGURES, LISTS, TEXTS
from assistant.shelf.places import procedures_folder, vehicles_folder
from assistant.shelf.toml import line_in, read_toml, tables_of
from assistant.shelf.vehicle_builds import PLAIN, built, merged, variants_of
from assistant.units import Measure, choices, compare, kind_of, settled
from assistant.units.table import UNIT_TABLE, units_of

FORMAT = 1
MOST_VARIANTS = 12
MOST_UNITS = 40
LONGEST_TEXT = 200
ORDERED = (
    ("drain-least", "drain-expected"),
    ("drain-expected", "drain-most"),
    ("drain-least", "drain-most"),
    ("drain-most", "capacity"),
    ("drain-expected", "capacity"),
    ("run-minimum", "capacity"),
    ("span", "capacity"),
    ("hot-low", "hot-high"),
    ("cold-low", "cold-high"),
)
"""Pairs of figures of which the first is never above the second."""
_FIGURE = re.compile(r"(-?\d{1,7}(?:\.\d{1,7})?) ([A-Za-z ]{1,40})", re.ASCII)
_PLATE = re.compile(r"[A-Z0-9]{2,6}", re.ASCII)
_SHORT = {"degree_celsius": "celsius", "degree_fahrenheit": "fahrenheit"}

Fail = Callable[..., NoReturn]


def load_vehicle(path: str | Path, unit: str | None = None) -> Mapping[str, object]:
    """Return one unit of a vehicle as the plain data of a sheet: vehicle, unit, figures, texts, colours.

    `unit` is its name (any case); None takes the first. Raises `BadFile` with line and cure.
    """
    sheets = load_units(path)
    if unit is None:
        return sheets[0]
    for sheet in sheets:
        if str(sheet["unit"]).casefold() == unit.strip().casefold():
            return sheet
    names = ", ".join(str(sheet["unit"]) for sheet in sheets)
    raise BadFile(str(path), f"there is no unit {unit!r}", cure=f"the units are {names}")


def vehicle_path(name_or_path: str | Path) -> Path:
    """Return the file of a sheet: the path itself, or that of a name among the user's or the examples."""
    given = Path(name_or_path)
    if given.exists() or given.name != str(name_or_path):
        return given
    for folder in _folders():
        file = folder / f"{given.name.removesuffix('.toml')}.toml"
        if file.is_file():
            return file
    return given


def vehicle_files() -> Iterator[Path]:
    """Yield the sheets that are offered, the user's own first."""
    for folder in _folders():
        yield from sorted(folder.glob("*.toml")) if folder.is_dir() else ()


def _folders() -> tuple[Path, Path]:
    return vehicles_folder(), procedures_folder() / "vehicles"


def load_for(
    path: str | Path,
    procedure: Mapping[str, object],
    unit: str | None = None,
    variants: Sequence[str] = (),
) -> Mapping[str, object]:
    """Return the sheet a procedure starts with: the unit it is for, or each of its units under `units`.

    A unit named by the user goes before the one the procedure names. What the file has no unit for is
    asked figure by figure, for those of another unit would be believed; the first unit is taken only
    where the procedure names none. Raises `BadFile` where the file has none of several. `variants`
    are the builds chosen; each must be one of a unit of the job.
    """
    found = _for(path, procedure, unit)
    units = cast("Mapping[str, Mapping[str, object]]", found.get("units", {}))
    left = [one.casefold() for one in variants]
    chosen = {key: built(sheet, left) for key, sheet in (units or {"": found}).items()}
    if left:
        names = {name: None for sheet in (units or {"": found}).values() for name in variants_of(sheet)}
        cure = f"there are {', '.join(names)}" if names else "the sheet has no variants"
        raise BadFile(str(path), f"there is no variant {left[0]!r}", cure=cure)
    told = {**found, "units": chosen} if units else chosen[""]
    return {**told, "file": Path(path).name}


def units_for(
    path: str | Path, procedure: Mapping[str, object], unit: str | None = None
) -> tuple[Mapping[str, object], ...]:
    """Return the units of a sheet a procedure works on, each with all its builds."""
    found = _for(path, procedure, unit)
    units = cast("Mapping[str, Mapping[str, object]]", found.get("units", {}))
    return tuple(units.values()) if units else (found,)


def _for(path: str | Path, procedure: Mapping[str, object], unit: str | None) -> Mapping[str, object]:
    sheets = {str(sheet["unit"]).casefold(): sheet for sheet in load_units(path)}
    wanted = cast("Mapping[str, str]", procedure.get("units", {}))
    if wanted:
        found = {key: sheets[name.casefold()] for key, name in wanted.items() if name.casefold() in sheets}
        if not found:
            names = ", ".join(wanted.values())
            cure = f"it has {', '.join(str(one['unit']) for one in sheets.values())}"
            raise BadFile(str(path), f"the sheet has none of {names}", cure=cure)
        first = next(iter(found.values()))
        return {"vehicle": first["vehicle"], "unit": "", "units": found}
    named = str(procedure.get("unit", ""))
    if named and unit is None and named.casefold() not in sheets:
        return {"vehicle": next(iter(sheets.values()))["vehicle"], "unit": named}
    return load_vehicle(path, unit or named or None)


def load_units(path: str | Path) -> tuple[Mapping[str, object], ...]:
    """Return every unit of a vehicle file as the plain data of a sheet, in file order."""
    data, text = read_toml(Path(path))
    return _units(data, text, str(path))


def units_in(text: str, where: str) -> tuple[Mapping[str, object], ...]:
    """Return every unit of the text of a vehicle file; `BadFile` names `where` it stands."""
    return _units(tables_of(text, where), text, where)


def _units(data: dict[str, object], text: str, where: str) -> tuple[Mapping[str, object], ...]:
    def fail(why: str, *needles: str, cure: str = "") -> NoReturn:
        raise BadFile(where, why, line=line_in(text, *needles), cure=cure)

    _refuse_unknown(data, {"format", "vehicle", "unit"}, fail)
    if data.get("format") != FORMAT or isinstance(data.get("format"), bool):
        fail(f"format is {data.get('format')!r}", "format", cure=f"write format = {FORMAT}")
    vehicle = data.get("vehicle")
    if not isinstance(vehicle, dict):
        fail("there is no [vehicle] table", "vehicle", cure='give [vehicle] with name = "..."')
    _refuse_unknown(vehicle, {"name"}, fail, "[vehicle]")
    name = _text(vehicle, "name", fail, "[vehicle]")
    tables = data.get("unit")
    if not isinstance(tables, list) or not tables or not all(isinstance(one, dict) for one in tables):
        fail("there is no [[unit]] table", "unit", cure='give at least one [[unit]] with name = "..."')
    if len(tables) > MOST_UNITS:
        fail(f"{len(tables)} units", "[[unit]]", cure=f"a vehicle has at most {MOST_UNITS}")
    sheets = tuple(_sheet(name, table, fail) for table in cast("list[dict[str, object]]", tables))
    names = [str(sheet["unit"]).casefold() for sheet in sheets]
    for place, one in enumerate(names):
        if one in names[:place]:
            fail(f"two units are called {one!r}", one, cure="give each its own name")
    return sheets


def _sheet(vehicle: str, table: dict[str, object], fail: Fail) -> Mapping[str, object]:
    name = _text(table, "name", fail, "[[unit]]")
    within = (name,)
    _refuse_unknown(table, {"name", "variant", *FIGURES, *TEXTS, *LISTS}, fail, *within)
    sheet: dict[str, object] = {"vehicle": vehicle, "unit": name, **_told(table, fail, within)}
    sheet["fluid-colours"] = _colours(table, fail, within)
    _in_order(sheet, fail, within)
    variants = _variants(table, fail, within)
    for variant, told in variants.items():
        _in_order(merged(sheet, told), fail, (*within, variant))
    return {**sheet, "variants": variants} if variants else sheet


def _variants(
    table: Mapping[str, object], fail: Fail, within: tuple[str, ...]
) -> dict[str, Mapping[str, object]]:
    """Return the other builds of a unit by name, each with what it has of its own."""
    tables = table.get("variant", [])
    if not isinstance(tables, list) or not all(isinstance(one, dict) for one in tables):
        fail("variant is no array of tables", *within, "variant", cure="write [[unit.variant]]")
    if len(tables) > MOST_VARIANTS:
        fail(f"{len(tables)} variants", *within, cure=f"a unit has at most {MOST_VARIANTS}")
    found: dict[str, Mapping[str, object]] = {}
    for one in cast("list[dict[str, object]]", tables):
        name = _text(one, "name", fail, *within, "[[unit.variant]]")
        if name.casefold() in {PLAIN, *(known.casefold() for known in found)}:
            fail(f"two builds are called {name!r}", *within, name, cure="give each its own name")
        _refuse_unknown(one, {"name", *FIGURES, *TEXTS}, fail, *within, name)
        found[name] = _told(one, fail, (*within, name))
    return found


def _in_order(sheet: Mapping[str, object], fail: Fail, within: tuple[str, ...]) -> None:
    told = cast("Mapping[str, list[str]]", sheet["figures"])
    figures = {key: Measure(value, unit) for key, (value, unit) in told.items()}
    for low, high in ORDERED:
        if low in figures and high in figures and compare(figures[low], figures[high]) > 0:
            fail(f"{low} is above {high}", *within, low, cure="swap or correct the two")


def _told(table: Mapping[str, object], fail: Fail, within: tuple[str, ...]) -> dict[str, object]:
    """Return figures, texts and origins of a unit or of one build of it."""
    origins = {key: _origin(table, key, fail, within) for key in FIGURES if isinstance(table.get(key), dict)}
    plain = {
        key: cast("dict[str, object]", value)["is"] if key in origins else value
        for key, value in table.items()
    }
    figures = {key: _figure(plain, key, fail, within) for key in FIGURES if key in plain}
    told: dict[str, object] = {
        "figures": {key: [one.value, one.unit] for key, one in figures.items()},
        "texts": _texts(table, fail, within),
    }
    return {**told, "origins": origins} if origins else told


def _origin(table: Mapping[str, object], key: str, fail: Fail, within: tuple[str, ...]) -> str:
    """Return where a figure came from, of one that is written as { is = ..., from = ... }."""
    given = cast("dict[str, object]", table[key])
    if set(given) != {"is", "from"}:
        fail(f"{key} is no figure with its origin", *within, key, cure='{ is = "NUMBER UNIT", from = "..." }')
    return _text(given, "from", fail, *within, key)


def _texts(table: Mapping[str, object], fail: Fail, within: tuple[str, ...]) -> dict[str, str]:
    texts = {key: _text(table, key, fail, *within) for key in TEXTS if key in table}
    if "plate" in texts and not _PLATE.fullmatch(texts["plate"]):
        fail(
            f"the plate code {texts['plate']!r} cannot be spelled",
            *within,
            "plate",
            cure="two to six capital letters and digits",
        )
    return texts


def _refuse_unknown(table: Mapping[str, object], known: set[str], fail: Fail, *within: str) -> None:
    for key in table:
        if key not in known:
            near = get_close_matches(key[:LONGEST_TEXT], known, 1)
            cure = f"write {near[0]}" if near else f"known are {', '.join(sorted(known))}"
            fail(f"{key!r} is not known", *within, key, cure=cure)


def _text(table: Mapping[str, object], key: str, fail: Fail, *within: str) -> str:
    value = table.get(key)
    if (
        not isinstance(value, str)
        or not value.strip()
        or len(value) > LONGEST_TEXT
        or not value.isprintable()
    ):
        fail(
            f"{key} is missing or no text",
            *within,
            key,
            cure=f'write {key} = "..." of at most {LONGEST_TEXT} signs on one line',
        )
    return value.strip()


def _figure(table: Mapping[str, object], key: str, fail: Fail, within: tuple[str, ...]) -> Measure:
    kind = FIGURES[key]
    known = ", ".join(one.replace("_", " ") for one in units_of(kind))
    raw = table[key]
    found = _FIGURE.fullmatch(raw.strip()) if isinstance(raw, str) else None
    if found is None:
        fail(
            f"{key} is {_shown(raw)}, not a number with its unit",
            *within,
            key,
            cure=f'write {key} = "NUMBER UNIT" with one of {known}',
        )
    unit = _unit(found[2])
    if unit is None or kind_of(unit) != kind:
        fail(f"{key}: {found[2]!r} is no unit of {kind}", *within, key, cure=f"the units are {known}")
    if not settled(unit):
        which = " or ".join(one.replace("_", " ") for one in choices(unit))
        fail(f"{key}: a bare {found[2]} says not which one", *within, key, cure=f"write {which}")
    if kind != "temperature" and Decimal(found[1]) <= 0:
        fail(f"{key} is not above zero", *within, key, cure="leave out what is not known")
    return Measure(found[1], unit)


def _shown(raw: object) -> str:
    """Return what stands in the file, short enough for one sentence."""
    try:
        shown = repr(raw)
    except ValueError:  # a whole number of thousands of digits
        return "a number of absurd length"
    return shown if len(shown) <= 40 else shown[:37] + "..."


def _unit(spelled: str) -> str | None:
    """Return the unit meant by its spelled name, in any case; the plural is understood."""
    name = "_".join(spelled.lower().split())
    for one in (name, name.removesuffix("s"), name.replace("degrees_", "degree_")):
        one = _SHORT.get(one, one)
        if one in UNIT_TABLE:
            return one
    return None


def _colours(table: Mapping[str, object], fail: Fail, within: tuple[str, ...]) -> list[str]:
    allowed = KINDS["look"].slots["colour"]
    value = table.get("fluid-colours", [])
    if not isinstance(value, list) or not all(isinstance(one, str) and one in allowed for one in value):
        fail(
            "fluid-colours is no list of known colours",
            *within,
            "fluid-colours",
            cure=f"take them from {', '.join(allowed)}",
        )
    return [str(one) for one in value]
