"""Vehicle sheets as files: figures keep their spoken units, everything else is refused with line and cure.

All vehicles and figures are invented.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.errors import BadFile
from assistant.grammar.meaning import KINDS
from assistant.job.sheet import FIGURES, sheet_from_data
from assistant.shelf.places import procedures_folder
from assistant.shelf.vehicle_file import load_for, load_units, load_vehicle
from assistant.units import Measure, kind_of, units_of

EXAMPLE = procedures_folder() / "vehicles" / "example.toml"
FEW = Path(__file__).parent / "data" / "few-figures.toml"
TEXT = EXAMPLE.read_text(encoding="utf-8")
FOR_QUESTIONS = {
    "stock", "wrench-length", "service-interval", "coolant-share", "coolant-left", "fluid-viscosity",
    "wrench-lowest", "wrench-highest", "wrench-tolerance", "bolt-count", "bolt-diameter", "friction",
    "fluid-viscosity-40", "old-viscosity", "hole", "pan-area", "wall-width", "wall-height", "density-ratio",
    "service-months", "service-due", "distance-a-year",
}  # fmt: skip
"""Figures no step asks for: the mechanic's questions do, and the mechanic may give most of them."""
OF_OTHERS = {
    "overflow-plug-torque", "overflow-low", "overflow-high", "overflow-too-much", "pan-bolt-torque",
    "filter-torque", "filter-holds", "cooler-holds", "new-wanted", "cap-below", "level-drop",
}  # fmt: skip
"""Figures of other services."""


def test_the_example_gives_a_sheet_with_every_figure_the_automatic_needs() -> None:
    """What a procedure asks for is there, with the unit as written."""
    sheet = sheet_from_data(load_vehicle(EXAMPLE))

    assert sheet.unit == "automatic transmission"
    assert set(sheet.figures) == set(FIGURES) - {"fill-plug-torque", *FOR_QUESTIONS, *OF_OTHERS}
    assert sheet.figure("drain-plug-torque") == Measure("29", "newton_metre")
    assert sheet.figure("hot-high") == Measure("82", "celsius")
    assert sheet.texts["plate"] == "H7K2"
    assert set(sheet.fluid_colours) <= set(KINDS["look"].slots["colour"])


def test_a_unit_is_chosen_by_name_in_any_case() -> None:
    """Without a name the first is taken."""
    assert [one["unit"] for one in load_units(EXAMPLE)] == ["automatic transmission", "rear differential"]
    assert load_vehicle(EXAMPLE, "Rear Differential")["unit"] == "rear differential"
    with pytest.raises(BadFile, match="the units are automatic transmission, rear differential"):
        load_vehicle(EXAMPLE, "front differential")


def test_a_sheet_may_lack_figures_and_use_other_units() -> None:
    """What is not there is asked in the job; customary units keep their names."""
    sheet = sheet_from_data(load_vehicle(FEW))

    assert dict(sheet.figures) == {
        "drain-expected": Measure("3.3", "us_quart"),
        "drain-plug-torque": Measure("18", "pound_foot"),
        "hot-low": Measure("158", "fahrenheit"),
    }
    assert sheet.figure("hot-high") is None
    assert dict(sheet.texts) == {}


@pytest.mark.parametrize("figure", sorted(FIGURES))
def test_every_settled_unit_of_a_kind_can_be_written(tmp_path: Path, figure: str) -> None:
    """Each figure takes every settled unit of its kind, spelled out, and comes back exact."""
    path = tmp_path / "one.toml"
    for unit in units_of(FIGURES[figure]):
        spelled = {"celsius": "degree celsius"}.get(unit, unit).replace("_", " ")
        path.write_text(
            f'format = 1\n[vehicle]\nname = "v"\n[[unit]]\nname = "u"\n{figure} = "7.25 {spelled}"\n', "utf-8"
        )

        measure = sheet_from_data(load_vehicle(path)).figure(figure)

        assert measure == Measure("7.25", unit)
        assert kind_of(measure.unit) == FIGURES[figure]


LINE = 'capacity = "9.4 litre"'
FAULTS = [
    (LINE, 'capacity = "9.4 quart"', "a bare quart says not which one", "write us quart or imperial quart"),
    (LINE, 'capacity = "9.4 pints"', "a bare pints says not which one", "write us pint or imperial pint"),
    (
        LINE,
        'capacity = "9.4 gallon"',
        "a bare gallon says not which one",
        "write us gallon or imperial gallon",
    ),
    (LINE, 'capacity = "9.4 fluid ounce"', "a bare fluid ounce", "us fluid ounce or imperial fluid ounce"),
    (LINE, 'capacity = "9.4"', "not a number with its unit", "NUMBER UNIT"),
    (LINE, "capacity = 9.4", "not a number with its unit", "NUMBER UNIT"),
    (LINE, "capacity = 94", "not a number with its unit", "NUMBER UNIT"),
    (LINE, 'capacity = "about 9 litre"', "not a number with its unit", "NUMBER UNIT"),
    (LINE, 'capacity = "9,4 litre"', "not a number with its unit", "NUMBER UNIT"),
    (LINE, 'capacity = "1e3 litre"', "not a number with its unit", "NUMBER UNIT"),
    (LINE, 'capacity = "9.4 newton metre"', "is no unit of volume", "litre"),
    (LINE, 'capacity = "9.4 bucket"', "is no unit of volume", "litre"),
    (LINE, 'capacity = "-9.4 litre"', "not above zero", "leave out"),
    (LINE, 'capacity = "0 litre"', "not above zero", "leave out"),
    (LINE, 'capacity = "5.0 litre"', "drain-most is above capacity", "correct"),
    (LINE, 'capacitty = "9.4 litre"', "'capacitty' is not known", "capacity"),
    ('"29 newton metre"', '"29 foot pound"', "is no unit of torque", "pound foot"),
    ('"68 degree celsius"', '"68 degree"', "a bare degree says not which one", "celsius or fahrenheit"),
    ('"68 degree celsius"', '"88 degree celsius"', "hot-low is above hot-high", "correct"),
    ('"18 millimetre"', '"18 kilometre"', "is no unit of length", "millimetre"),
    ('plate = "H7K2"', 'plate = "H7-K2"', "cannot be spelled", "capital letters and digits"),
    ('plate = "H7K2"', 'plate = "h7k2"', "cannot be spelled", "capital letters and digits"),
    ('["red", "pink"]', '["crimson"]', "no list of known colours", "red, pink"),
    ('["red", "pink"]', '"red"', "no list of known colours", "red, pink"),
    ('name = "rear differential"', 'name = "Automatic transmission"', "two units are called", "own name"),
    ('name = "rear differential"\n', "", "name is missing or no text", "name ="),
    ('name = "Harrow Lane van"', 'name = ""', "name is missing or no text", "name ="),
    ('name = "Harrow Lane van"', 'name = "a"\nowner = "b"', "'owner' is not known", "name"),
    ("[vehicle]", "[car]", "'car' is not known", "vehicle"),
    ("format = 1", "format = 3", "format is 3", "format = 1"),
    ("format = 1", "format = true", "format is True", "format = 1"),
    ("format = 1\n", "", "format is None", "format = 1"),
]


@pytest.mark.parametrize(("old", "new", "what", "cure"), FAULTS)
def test_each_fault_is_found_with_its_cure(tmp_path: Path, old: str, new: str, what: str, cure: str) -> None:
    """One change makes one plain sentence; a line, where given, is in the file."""
    assert old in TEXT
    path = tmp_path / "changed.toml"
    path.write_text(TEXT.replace(old, new, 1), encoding="utf-8")

    with pytest.raises(BadFile) as caught:
        load_vehicle(path)

    assert what in caught.value.why
    assert cure in caught.value.cure


def test_the_line_is_the_line_of_the_fault(tmp_path: Path) -> None:
    """In the second unit, too, where the same key stood in the first."""
    path = tmp_path / "changed.toml"
    path.write_text(TEXT.replace('"54 newton metre"', '"54 newton"'), encoding="utf-8")

    with pytest.raises(BadFile) as caught:
        load_vehicle(path)

    assert caught.value.line is not None
    assert "54 newton" in path.read_text(encoding="utf-8").splitlines()[caught.value.line - 1]


@pytest.mark.parametrize(
    "content",
    [
        "",
        "x = 1\n" * 2_000_000,
        "a = " + "[" * 100_000,
        "a" + ".a" * 100_000 + " = 1",
        "[\n" * 5_000,
        "vehicle = 3",
        'format = 1\nvehicle = {name = "v"}\nunit = 5',
        'format = 1\nvehicle = {name = "v"}\nunit = [5]',
        'format = 1\nvehicle = {name = "v"}\nunit = []',
        'format = 1\n[vehicle]\nname = "v"\n' + '[[unit]]\nname = "u"\n' * 41,
        'format = 1\n[vehicle]\nname = "v"\n[[unit]]\nname = "u"\ncapacity = 0x' + "f" * 1900,
        'format = 1\n[vehicle]\nname = "v"\n[[unit]]\nname = "u"\ncapacity = inf',
        'format = 1\n[vehicle]\nname = "v"\n[[unit]]\nname = "u"\ncapacity = "' + "9" * 1500 + ' litre"',
        'format = 1\n[vehicle]\nname = "a\\u0007b"\n[[unit]]\nname = "u"',
    ],
    ids=lambda value: str(value)[-30:],
)
def test_absurd_files_fail_plainly(tmp_path: Path, content: str) -> None:
    """Bombs, numbers and wrong shapes end in one sentence, never in another error."""
    path = tmp_path / "absurd.toml"
    path.write_text(content, encoding="utf-8")

    with pytest.raises(BadFile) as caught:
        load_vehicle(path)
    assert len(str(caught.value)) < 800


@pytest.mark.parametrize("path", ["no-such-vehicle.toml", "/", "a\x00b"])
def test_a_path_that_is_no_file_is_refused(path: str) -> None:
    """A missing file, a folder and nonsense are told alike."""
    with pytest.raises(BadFile):
        load_vehicle(path)


def test_a_unit_the_sheet_lacks_gets_no_figures_of_another() -> None:
    sheet = load_for(EXAMPLE, {"unit": "cooling system"})

    assert sheet == {"vehicle": "Harrow Lane van", "unit": "cooling system", "file": "example.toml"}
    assert load_for(EXAMPLE, {"unit": "cooling system"}, "rear differential")["unit"] == "rear differential"
    assert load_for(EXAMPLE, {})["unit"] == "automatic transmission"
