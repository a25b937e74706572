"""`assistant vehicle`: a vehicle's sheet by questions, shown, copied; without more, the sheets there are."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterable
from pathlib import Path

from assistant.app import Say
from assistant.commands import house
from assistant.commands.ears import Ear, Over
from assistant.commands.language import ear_lacks, with_own
from assistant.commands.live import ear_for
from assistant.dialogue.reply import Reply
from assistant.dialogue.sheet_asking import Answered, Put, answer, begin, used_by
from assistant.errors import BadFile, WrongInput
from assistant.job.procedure import procedure_from_data
from assistant.phrasing import phrase
from assistant.shelf import vehicle_write as sheets
from assistant.shelf.places import vehicles_folder
from assistant.shelf.procedure_file import list_procedures, load_procedure
from assistant.shelf.vehicle_file import load_units, vehicle_files, vehicle_path
from assistant.timekeeping.clock import SystemClock
from assistant.units import Measure


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Register the command and what it does."""
    parser = subparsers.add_parser("vehicle", help="vehicle sheets: add one by questions, show, copy")
    parser.set_defaults(run=run_list)
    kinds = parser.add_subparsers(dest="vehicle_command", metavar="add|show|copy")
    adding = kinds.add_parser("add", help="make a sheet by questions, spoken or typed")
    adding.add_argument("--ear", default="microphone", help="microphone or keyboard")
    adding.add_argument("--voice", default="speaker", help="speaker or print")
    adding.add_argument("--journal", metavar="FILE", help=argparse.SUPPRESS)
    adding.add_argument("--model", metavar="DIR", type=Path, help="folder of the speech model")
    adding.set_defaults(run=run_add)
    showing = kinds.add_parser("show", help="print a sheet, each figure with where it came from")
    showing.add_argument("sheet", help="its name or file")
    showing.add_argument("--json", action="store_true", help="as one JSON object")
    showing.set_defaults(run=run_show)
    copying = kinds.add_parser("copy", help="a sheet for another vehicle of the same build")
    copying.add_argument("sheet", help="name or file of the one to copy")
    copying.add_argument("name", help="what the other vehicle is called")
    copying.set_defaults(run=run_copy)


# ---------------------------------------------------------------- list, show, copy


def run_list(arguments: argparse.Namespace) -> int:
    """Print the sheets that are offered, one a line, the user's own first."""
    for path in vehicle_files():
        try:
            units = load_units(path)
        except BadFile as trouble:
            print(f"({trouble})", file=sys.stderr)
            continue
        print(f"{path.stem}: {units[0]['vehicle']}; {', '.join(str(one['unit']) for one in units)}")
    return 0


def run_show(arguments: argparse.Namespace) -> int:
    """Print a sheet as it is understood."""
    units = load_units(vehicle_path(arguments.sheet))
    if arguments.json:
        print(json.dumps({"vehicle": units[0]["vehicle"], "units": [_of_unit(one) for one in units]}))
        return 0
    lines = [str(units[0]["vehicle"])]
    for one in units:
        lines += ["", str(one["unit"]).upper(), *_lines(one)]
        variants = one.get("variants", {})
        for name, told in variants.items() if isinstance(variants, dict) else ():
            lines += [f"  {name}", *(f"  {line}" for line in _lines(told))]
    print("\n".join(lines))
    return 0


def _of_unit(sheet: object) -> dict[str, object]:
    assert isinstance(sheet, dict)
    return {key: value for key, value in sheet.items() if key != "vehicle"}


def _lines(sheet: object) -> Iterable[str]:
    """Give the lines of a unit or of one build of it."""
    assert isinstance(sheet, dict)
    origins = sheet.get("origins", {})
    for key, (value, unit) in sheet["figures"].items():
        origin = f"   ({origins[key]})" if key in origins else ""
        yield f"  {key:<22} {Measure(value, unit)}{origin}"
    for key, text in sheet["texts"].items():
        yield f"  {key:<22} {text}"
    if sheet.get("fluid-colours"):
        yield f"  {'fluid-colours':<22} {', '.join(sheet['fluid-colours'])}"


def run_copy(arguments: argparse.Namespace) -> int:
    """Copy a sheet under another vehicle's name into the user's folder; nothing is overwritten."""
    source = vehicle_path(arguments.sheet)
    place = vehicles_folder() / sheets.file_name(arguments.name)
    sheets.copy_sheet(source, place, arguments.name)
    print(f"{place}\n(look through it: codes on plates and what was measured are those of the other vehicle)")
    return 0


# ---------------------------------------------------------------- add


def run_add(arguments: argparse.Namespace) -> int:
    """Ask for a vehicle and its units, and write each answer down before it is read back."""
    if arguments.ear not in ("microphone", "keyboard"):
        raise WrongInput("--ear takes microphone or keyboard here")
    chosen = house.settings()
    grammar = with_own(chosen.language, house.left_out, chosen.address, ear_lacks(arguments.model))
    now = SystemClock().now()
    with house.opened(arguments.journal, arguments.voice, chosen, now) as (store, voice):
        say = house.speaker(voice, echo=arguments.voice != "print")
        with ear_for(arguments, chosen, grammar, store, voice) as ear:
            place = asked(ear, say, vehicles_folder(), chosen.language)
    if place is None:
        print("(no unit was told: nothing is written)", file=sys.stderr)
        return 1
    print(place)
    return 0


def asked(ear: Ear, say: Say, folder: Path, language: str = "en") -> Path | None:
    """Run the questions to their end or that of the ear; return the file, None where there is none."""
    needs = used_by(procedure_from_data(load_procedure(name)) for name in list_procedures())
    found, writer = begin(tuple(needs), needs), _Writer(folder)
    while True:
        replies = writer.write(found)
        say([line for one in replies for line in phrase(one, language)])
        if found.asking.at == "over":
            return writer.path
        heard = None
        while heard is None or heard.key:
            item = ear.next(None, None)
            if isinstance(item, Over):
                return writer.path
            heard = item
        found = answer(found.asking, heard)


KEPT = ("figure-kept", "sheet-text", "sheet-name")
"""Replies that tell that something is written down."""


class _Writer:
    """Writes answers into the sheet as they come; the file begins with the first unit."""

    def __init__(self, folder: Path) -> None:
        self._folder, self._vehicle = folder, ""
        self.path: Path | None = None

    def write(self, found: Answered) -> tuple[Reply, ...]:
        """Write what is to be written; return what is said, a warning in the place of what is not kept."""
        try:
            for put in found.puts:
                self._put(put)
        except (OSError, WrongInput) as trouble:
            print(f"({trouble})", file=sys.stderr)
            instead = Reply("sheet-unfit" if isinstance(trouble, WrongInput) else "unsaved")
            return tuple(instead if one.key in KEPT else one for one in found.replies)
        return found.replies

    def _put(self, put: Put) -> None:
        if put.what == "vehicle":
            self._vehicle = put.text
            return
        if put.what == "unit" and self.path is None:
            path = free_name(self._folder, self._vehicle)
            sheets.new_sheet(path, self._vehicle, put.unit)
            self.path = path
            return
        if self.path is None:
            raise WrongInput("there is no file yet")
        if put.what == "unit":
            sheets.add_unit(self.path, put.unit)
        elif put.what == "variant":
            sheets.add_variant(self.path, put.unit, put.variant)
        else:
            sheets.put_value(self.path, put.unit, put.variant, put.key, _toml(put), again=put.again)


def _toml(put: Put) -> str:
    if put.measure is not None:
        return sheets.figure_text(put.measure)
    return f"[{sheets.quoted(put.text)}]" if put.what == "colours" else sheets.quoted(put.text)


def free_name(folder: Path, vehicle: str) -> Path:
    """Return a file for a vehicle whose name nothing bears yet: with a number where it is taken."""
    path = folder / sheets.file_name(vehicle)
    number = 2
    while path.exists():
        path = folder / sheets.file_name(f"{vehicle} {number}")
        number += 1
    return path
