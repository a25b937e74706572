"""`assistant check FILE...`: whether a procedure, a vehicle sheet or a grammar of one's own can be used.

Each finding is one line with file, line and cure; exit code 2 where there is one, 0 where all is sound.
A file that is bad is told and the next one checked. Without a file this computer is checked: whether it
has all that a job needs.
"""

from __future__ import annotations

import argparse
import json
from dataclasses import asdict
from pathlib import Path

from assistant.commands import check_computer
from assistant.commands.progress import working
from assistant.shelf.procedure_schema import Finding


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Register the command."""
    parser = subparsers.add_parser("check", help="check files of your own; without one, this computer")
    parser.add_argument("files", nargs="*", metavar="FILE", help="a file, or the name of a service")
    parser.add_argument("--model", metavar="DIR", type=Path, help="folder of the speech model")
    check_computer.options(parser)
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Check what is named; 0 where all is sound, 2 where a file is to be mended."""
    if not arguments.files:
        return check_computer.run(arguments)
    from assistant.commands.check_file import check_file

    found = {}
    for name in arguments.files:
        with working(f"Checking {name}"):
            found[name] = check_file(name, arguments.model)
    if arguments.json:
        print(json.dumps(_as_table(found), indent=1))
    else:
        for name, findings in found.items():
            for one in findings:
                print(_line(name, one))
            print(f"{name}: {f'{len(findings)} to mend' if findings else 'sound'}")
    return 2 if any(found.values()) else 0


def _as_table(found: dict[str, list[Finding]]) -> dict[str, object]:
    """Return {sound, files: [{file, sound, findings: [{line, what, cure, file}]}]}."""
    files = [
        {"file": name, "sound": not findings, "findings": [asdict(one) for one in findings]}
        for name, findings in found.items()
    ]
    return {"sound": not any(found.values()), "files": files}


def _line(name: str, one: Finding) -> str:
    place = one.file or name
    return f"{place if one.line is None else f'{place}, line {one.line}'}: {one.what} ({one.cure})"
