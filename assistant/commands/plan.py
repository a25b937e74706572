"""`assistant plan PROCEDURE --vehicle FILE`: tools, parts, fluids to buy, room for the old, and the time."""

from __future__ import annotations

import argparse
import json
from dataclasses import fields, is_dataclass

from assistant.commands import house
from assistant.commands.start import job_of
from assistant.errors import WrongInput
from assistant.job.plan import Plan
from assistant.job.planning import plan
from assistant.job.procedure import procedure_from_data
from assistant.job.sheet import sheets_from_data
from assistant.phrasing.en.planning import as_text
from assistant.shelf.procedure_join import load_joined
from assistant.shelf.vehicle_file import load_for, vehicle_path
from assistant.units import Measure, kind_of, read_measure


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Register the command."""
    parser = subparsers.add_parser("plan", help="what a job needs before it begins")
    job_of(parser)
    parser.add_argument(
        "--sold",
        action="append",
        default=[],
        metavar="SIZE",
        help="a size fluid is sold in: '1 US qt'; several",
    )
    parser.add_argument("--json", action="store_true", help="one JSON object")
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Print the plan."""
    data = load_joined([arguments.procedure, *arguments.services], house.left_out)
    procedure = procedure_from_data(data)
    sheet = load_for(vehicle_path(arguments.vehicle), data, arguments.unit, arguments.variant)
    sold = [_size(one) for one in arguments.sold]
    found = plan(procedure, sheets_from_data(sheet, procedure.units), sold)
    print(json.dumps(as_data(found), ensure_ascii=False) if arguments.json else as_text(found))
    return 0


def _size(text: str) -> Measure:
    """Return a size fluid is sold in; raises `WrongInput` naming the option."""
    try:
        size = read_measure(text)
    except WrongInput as wrong:
        raise WrongInput(f"--sold: {wrong}") from None
    if kind_of(size.unit) != "volume" or size.exact <= 0:
        raise WrongInput(f"--sold: '{text}' is no amount of fluid")
    return size


def as_data(found: Plan) -> object:
    """Return a plan as plain data for JSON; a measure is its number as text with its unit."""
    return _plain(found)


def _plain(value: object) -> object:
    if isinstance(value, Measure):
        return {"value": value.value, "unit": value.unit}
    if is_dataclass(value):
        return {one.name: _plain(getattr(value, one.name)) for one in fields(value)}
    if isinstance(value, tuple):
        return [_plain(one) for one in value]
    if isinstance(value, dict):
        return {name: _plain(one) for name, one in value.items()}
    return value
