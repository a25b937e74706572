"""Reads a procedure: one service as a TOML file, checked and made the plain data a job starts with.

    format = 1                     # version of this format
    name = "automatic-drain-refill"
    title = "automatic transmission, drain and refill"     # spoken
    language = "en"

    [bands]                        # what "cold", "warm", "hot" to the hand are taken as, degrees Celsius
    cold = "20"
    [gates]                        # questions that guard a hazard, by name
    everyone-clear = "..."
    [cautions]                     # spoken once in a job before the step that names them
    hot-fluid = "..."
    [labels]                       # words for a fact, for "first ..."
    "washer=new" = "the new washer"

    [[exit]]                       # what may happen at any step
    on = "part-missing"            # a happening the grammar knows, or one of OUTCOMES
    say = "..."
    then = "park"                  # a step's id, "stay" (default), "stop" or "park"

    [[step]]                       # in the order of the work
    id = "open-plug"
    title = "open the plug"        # two or three words, for "where are we"
    say = "..."                    # short, for the ear; full: the longer text, on request
    full = "..."
    kind = "do"                    # do: ends with "done"; read: ends when its readings are in;
                                   # plan: advises the refill; pour: fills; check: judges a level
    cautions = ["hot-fluid"]
    gate = "everyone-clear"        # must be answered before the step is entered
    requires = ["engine=off"]      # facts that must be true before it is entered
    sets = ["engine=on"]           # facts that completing it makes true
    figures = ["drain-plug-torque"]   # figures asked for first where the sheet lacks them
    tool = "..."                   # answer to "which tool"
    mark = "hot"                   # for a level: which marks
    timer = { name = "drain", minutes = "10", on = "running", ask = "..." }   # on: running or enter
    aside = true                   # only reached by an exit or finding; then
    after = "look"                 # the step that follows, or "stop" where the job ends

    [[step.await]]                 # a reading the step waits for
    reading = "washer"
    when = { state = ["new-on"] }  # only a reading like this answers
    ask = "..."
    many = true                    # several may come, "done" ends the step
    optional = true
    [[step.exit]]                  # as above, for this step
    [[step.finding]]               # a reading with these slots decides something
    name = "coolant-in-fluid"
    reading = "look"
    when = { colour = ["milky"] }
    say = "..."
    then = "hand-back"

A text may hold places in braces, `{drain-plug-torque}`, filled from the vehicle sheet when spoken. A
figure in `say` must stand in the step's `figures`; in `full` a sentence is left out whose place cannot
be filled. No figure of a vehicle belongs into a procedure.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path

from assistant.errors import BadFile
from assistant.shelf.places import procedures_folder
from assistant.shelf.procedure_check import findings
from assistant.shelf.procedure_schema import schema_findings
from assistant.shelf.toml import read_toml

_NAME = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*", re.ASCII)


def list_procedures() -> tuple[str, ...]:
    """Return the names of the shipped procedures, in alphabetical order."""
    return tuple(sorted(path.stem for path in procedures_folder().glob("*.toml")))


def procedure_path(name_or_path: str | Path) -> Path:
    """Return the file of a shipped procedure's name, or the path itself."""
    name = str(name_or_path)
    if _NAME.fullmatch(name):
        shipped = procedures_folder() / f"{name}.toml"
        if not shipped.is_file():
            known = ", ".join(list_procedures())
            raise BadFile(name, "there is no such procedure", cure=f"known are {known}, or give a file")
        return shipped
    return Path(name_or_path)


def load_procedure(name_or_path: str | Path) -> Mapping[str, object]:
    """Return a checked procedure as plain data; raises `BadFile` with its first fault, line and cure."""
    path = procedure_path(name_or_path)
    data, text = read_toml(path)
    faults = schema_findings(data, text) or findings(data, text)
    if faults:
        first = faults[0]
        more = f"; {len(faults) - 1} more faults" if len(faults) > 1 else ""
        raise BadFile(str(path), first.what + more, line=first.line, cure=first.cure)
    return data
