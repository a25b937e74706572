"""Sheets that the program writes: they load, nobody's file is taken, what a person wrote stays."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from assistant.errors import BadFile, WrongInput
from assistant.job.sheet import sheet_from_data
from assistant.shelf import vehicle_write as sheets
from assistant.shelf.places import procedures_folder
from assistant.shelf.procedure_file import load_procedure
from assistant.shelf.vehicle_builds import variants_of
from assistant.shelf.vehicle_file import load_for, load_units, vehicle_path
from assistant.units import Measure

FOUR_WHEELS = procedures_folder() / "vehicles" / "four-wheel-drive.toml"
BUILDS = """
format = 1
[vehicle]
name = "Quarry Lane truck"
[[unit]]
name = "manual gearbox"
capacity = "2.4 litre"
drain-expected = "2.3 litre"
drain-most = "2.4 litre"
drain-plug-torque = "42 newton metre"
fill-plug-torque = { is = "35 newton metre", from = "said on 2026-05-03 by MK" }
drain-washer = "18 by 24"
  [[unit.variant]]
  name = "deep case"
  capacity = "3.1 litre"
  drain-expected = "2.9 litre"
  drain-washer = "22 by 27"
"""


@pytest.fixture
def builds(tmp_path: Path) -> Path:
    """Return a sheet of a unit in two builds."""
    path = tmp_path / "truck.toml"
    path.write_text(BUILDS)
    return path


def test_a_new_sheet_loads_and_takes_no_place(tmp_path: Path) -> None:
    """Whatever the vehicle is called; a second one of the name is refused and the first stays."""
    path = tmp_path / "deep" / sheets.file_name('Bay 2: the "long" one')
    sheets.new_sheet(path, 'Bay 2: the "long" one', "engine")
    before = path.read_bytes()
    with pytest.raises(WrongInput, match="is there already"):
        sheets.new_sheet(path, "another", "engine")

    assert path.name == "bay-2-the-long-one.toml"
    assert path.read_bytes() == before
    assert load_units(path)[0]["vehicle"] == 'Bay 2: the "long" one'
    assert [one.name for one in path.parent.iterdir()] == [path.name], "nothing half written is left"


def test_a_figure_is_put_into_a_sheet_that_a_person_wrote(tmp_path: Path) -> None:
    """One line more, behind the others of its unit; comments and every other line stay as they are."""
    path = tmp_path / "pickup.toml"
    text = FOUR_WHEELS.read_text("utf-8")
    path.write_text(text)
    origin = "said on 2026-11-25 by MK"
    sheets.put_value(
        path, "Rear Differential", "", "service-interval",
        sheets.figure_text(Measure("60000", "kilometre"), origin),
    )  # fmt: skip

    after = path.read_text("utf-8").splitlines()
    added = f'service-interval = {{ is = "60000 kilometre", from = "{origin}" }}'
    assert [line for line in after if line != added] == text.splitlines()
    rear = next(one for one in load_units(path) if one["unit"] == "rear differential")
    sheet = sheet_from_data(rear)
    assert sheet.figure("service-interval") == Measure("60000", "kilometre")
    assert dict(sheet.origins) == {"service-interval": origin}


@pytest.mark.parametrize(
    ("unit", "key", "value", "why"),
    [
        ("engine", "capacity", '"6 litre"', "stands there already"),
        ("engine", "drain-plug-torque", '"20 litre"', "stands there already"),
        ("engine", "run-minimum-of", '"6 litre"', "is not known"),
        ("manual gearbox", "span", '"3 litre"', "span is above capacity"),
        ("winch", "capacity", '"6 litre"', "has no unit"),
        ("engine", "wrench-length", '"40"', "not a number with its unit"),
    ],
)
def test_what_makes_no_sheet_is_refused_and_nothing_is_written(
    unit: str, key: str, value: str, why: str, tmp_path: Path
) -> None:
    """What stands there is never changed, and a sheet stays a sheet."""
    path = tmp_path / "pickup.toml"
    path.write_text(FOUR_WHEELS.read_text("utf-8"))
    before = path.read_bytes()
    with pytest.raises(WrongInput, match=why):
        sheets.put_value(path, unit, "", key, value)

    assert path.read_bytes() == before


def test_a_file_that_cannot_be_written_stays_whole(builds: Path) -> None:
    """Another way of writing tables is left to its owner; a bad sheet, too."""
    builds.write_text(BUILDS.replace("[[unit]]", "[[ 'unit' ]]"))
    before = builds.read_bytes()
    with pytest.raises(WrongInput):
        sheets.put_value(builds, "manual gearbox", "", "workshop", '"20 degree celsius"')
    assert builds.read_bytes() == before
    builds.write_text("format = 2\n")
    with pytest.raises(BadFile):
        sheets.add_unit(builds, "engine")


def test_builds_are_chosen_or_what_differs_is_open(builds: Path) -> None:
    """Each build has its own drain; without a choice no figure of it is known, and none is taken over."""
    service = load_procedure("manual-gearbox")
    assert variants_of(load_units(builds)[0]) == ("plain", "deep case")

    def figures(*variants: str) -> dict[str, str]:
        sheet = sheet_from_data(load_for(builds, service, None, variants))
        return {name: one.value for name, one in sheet.figures.items()} | dict(sheet.texts)

    torques = {"drain-plug-torque": "42", "fill-plug-torque": "35"}
    plain = {"capacity": "2.4", "drain-expected": "2.3", "drain-most": "2.4", "drain-washer": "18 by 24"}
    assert figures("plain") == {**torques, **plain}
    assert figures("Deep Case") == {
        **torques, "capacity": "3.1", "drain-expected": "2.9", "drain-washer": "22 by 27",
    }  # fmt: skip
    assert figures() == {**torques, "drain-most": "2.4"}
    with pytest.raises(BadFile, match="there are plain, deep case"):
        figures("long")
    with pytest.raises(BadFile, match="no variants"):
        load_for(FOUR_WHEELS, service, None, ["long"])


def test_a_build_goes_into_its_own_table(builds: Path) -> None:
    """Values of a build behind its head, values of the unit before the builds."""
    sheets.add_variant(builds, "manual gearbox", "short case")
    sheets.put_value(builds, "manual gearbox", "short case", "capacity", '"2 litre"')
    sheets.put_value(builds, "manual gearbox", "deep case", "pan-holds", '"5 litre"')
    sheets.put_value(builds, "manual gearbox", "", "container", '"1 litre"')
    sheets.put_value(builds, "manual gearbox", "", "container", '"5 litre"', again=True)

    unit = load_units(builds)[0]
    variants = unit["variants"]
    assert isinstance(variants, dict)
    assert variants["short case"]["figures"] == {"capacity": ["2", "litre"]}
    assert variants["deep case"]["figures"]["pan-holds"] == ["5", "litre"]
    assert sheet_from_data(unit).figure("container") == Measure("5", "litre")


@pytest.mark.parametrize(
    ("old", "new", "why"),
    [
        ('name = "deep case"', 'name = "Plain"', "two builds are called"),
        ('capacity = "3.1 litre"', 'capacity = "3.1 quart"', "says not which one"),
        ('capacity = "3.1 litre"', 'capacity = "2 litre"', "drain-expected is above capacity"),
        ('from = "said', 'of = "said', "no figure with its origin"),
        ('name = "deep case"\n', "", "name is missing"),
    ],
)
def test_a_build_is_checked_as_a_unit_is(old: str, new: str, why: str, builds: Path) -> None:
    """With its line and its cure."""
    assert old in BUILDS
    builds.write_text(BUILDS.replace(old, new))
    with pytest.raises(BadFile, match=why) as told:
        load_units(builds)
    assert told.value.line is not None


def test_a_sheet_is_found_by_name(builds: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Among the user's, then among the examples; a path is a path."""
    monkeypatch.setenv("ASSISTANT_RECORDS", str(builds.parent / "records"))
    own = builds.parent / "records" / "vehicles"
    assert vehicle_path(str(builds)) == builds
    assert vehicle_path("example") == procedures_folder() / "vehicles" / "example.toml"
    sheets.copy_sheet(builds, own / "example.toml", "Dock Road lorry")
    assert vehicle_path("example") == own / "example.toml"
    assert load_units(own / "example.toml")[0]["vehicle"] == "Dock Road lorry"
    with pytest.raises(WrongInput, match="is there already"):
        sheets.copy_sheet(builds, own / "example.toml", "another")


def test_a_folder_that_takes_nothing_is_said(builds: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The error of the disk comes through, and the file is as it was."""
    before = builds.read_bytes()

    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        sheets.put_value(builds, "manual gearbox", "", "workshop", '"20 degree celsius"')
    assert builds.read_bytes() == before
    assert [one.name for one in builds.parent.iterdir()] == [builds.name]
