"""Reads a procedure: one service as a TOML file, checked and made the plain data a job starts with.

    format = 2                     # version of this format; 1 is the same without pieces, units and changes
    name = "automatic-drain-refill"
    title = "automatic transmission, drain and refill"     # spoken
    language = "en"
    waste = "coolant"              # what comes out is, for the waste log; oil where nothing is said
    unit = "automatic transmission"   # the unit of a vehicle sheet it is for, where there is one
    [wastes]                       # or by unit, where they differ: unit key = kind
    [units]                        # or several, each with a balance of its own: key = name in the sheet
    rear-differential = "rear differential"

    [bands]                        # what "cold", "warm", "hot" to the hand are taken as, degrees Celsius
    cold = "20"
    [gates]                        # questions that guard a hazard, by name
    everyone-clear = "..."
    [cautions]                     # spoken once in a job before the step that names them
    hot-fluid = "..."
    [signals]                      # how grave one is: warning (to people; where nothing is said), caution
    soft-thread = "notice"         # (to people, hurts at most) or notice (only things are at risk)
    [labels]                       # words for a fact, for "before that, ..."
    "washer=new" = "the new washer"

    [[exit]]                       # what may happen at any step
    on = "part-missing"            # a happening the grammar knows, or one of OUTCOMES
    say = "..."
    then = "park"                  # a step's id, "stay" (default), "stop" or "park"

    [[step]]                       # the steps of a shared piece, shared/make-safe.toml
    use = "make-safe"
    with = { lift = "..." }        # what is filled in for each ${name} the piece takes
    unit = "rear-differential"     # the unit these steps work on
    prefix = "rear-"               # put before their ids, where a piece is used twice
    without = ["raise"]            # steps of the piece that are not wanted

    [[step]]                       # in the order of the work; with the id of a piece's step it changes that
    id = "open-plug"
    title = "open the plug"        # two or three words, for "where are we"
    say = "..."                    # short, for the ear; full: the longer text, on request
    full = "..."
    kind = "do"                    # do: ends with "done"; read: ends when its readings are in;
                                   # plan: advises the refill; mix: concentrate and water; pour: fills;
                                   # check: judges a level; overflow: judges what runs from an open plug;
                                   # repeat: goes round again until the share wanted is new;
                                   # cool: held until it is below the step's figure (cap-below, overflow-low)
    cautions = ["hot-fluid"]
    gate = "everyone-clear"        # must be answered before the step is entered
    requires = ["engine=off"]      # facts that must be true before it is entered
    forbids = ["cap=open"]         # facts that must not be
    sets = ["engine=on"]           # facts that completing it makes true
    parts = ["filter"]             # new parts on the vehicle once it is done, for the history
    figures = ["drain-plug-torque"]   # figures asked for first where the sheet lacks them
    tool = "..."                   # answer to "which tool"
    mark = "hot"                   # for a level: hot, cold, overflow, full or hole
    plug = "fill"                  # the plug its washer and torque belong to; drain where nothing is said
    opens = ["overflow-plug"]      # plugs that may be open although the engine runs
    waits = "wait"                 # a timer that must be over before this is entered
    until = "bolts=torqued"        # a fact that must be true before it can end
    adds = ["filter-holds"]        # for a plan: figures added to what came out
    to = "switch-off"              # for a repeat: where the next round begins
    tells = "old-left"             # reckoned and told on entering it: old-left (what one change leaves of
                                   # the old), still-owed (what is still to pour), oil-class (whether the
                                   # sheet's viscosity is of the sheet's class; exit: other-class),
                                   # mixed-up (what is too much here and owed elsewhere, where what came
                                   # out was another unit's)
    timer = { name = "drain", minutes = "10", on = "running", ask = "..." }   # on: running or enter
    lasts = { what = "warm-up", least = "15", most = "30" }   # minutes, for the plan: warm-up, cool-down,
                                   # drain, wait or drive
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
    sets = ["owner=to-be-asked"]   # facts it makes true

A shared piece, `shared/NAME.toml`, has `format = 2`, `[takes]` (what may be filled in, and what stands
there where nothing is said; "" must be given) and the tables above. `shared/always.toml` is part of every
procedure, and a sentence of `shared/phrases.toml` is put for its `${name}` in any text. A piece beside a
file goes before ours of the same name.

A mechanic's own file lies in the folder `own procedures` (see `assistant where`). Under a new name it is a
service of its own; under the name of ours it takes its place. With `changes = "NAME"` it changes ours
instead: its cautions, gates, labels and exits add, or replace those of the same name; a step of a known id
changes that step, a new one says `place = "after STEP"` or `"before STEP"`. A bad file of one's own is
told and left out, never the service it changes.

Facts: engine and vehicle are of the job, every other one is of the unit the step works on. A standing
torque makes `PLUG-plug=torqued`, a new washer `washer=new` (`PLUG-washer=new` for another plug), a look
that agrees with the sheet `fluid=agrees`, else `fluid=differs`, an old gasket that is off `gasket=off`.
No step has the engine on while a plug is not torqued or a unit holds less than its run-minimum; that needs
no `requires`. Texts may hold `{places}` of the sheet: each figure in `say` must stand in the step's
`figures`; in `full` a sentence is left out whose place cannot be filled. No figure of a vehicle belongs
into a procedure.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from difflib import get_close_matches
from pathlib import Path

from assistant.errors import BadFile
from assistant.shelf.places import own_procedures_folder, procedures_folder
from assistant.shelf.procedure_check import findings
from assistant.shelf.procedure_pieces import ALWAYS, PHRASES, assembled, changed
from assistant.shelf.procedure_places import Places, Source
from assistant.shelf.procedure_schema import MOST_FINDINGS, Finding, schema_findings
from assistant.shelf.procedure_words import Known
from assistant.shelf.toml import line_in, read_toml

_NAME = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*", re.ASCII)
SHARED = "shared"
_CHANGES = frozenset(
    {
        "format",
        "changes",
        "name",
        "title",
        "language",
        "bands",
        "gates",
        "cautions",
        "signals",
        "labels",
        "exit",
        "step",
    }
)

Told = Callable[[str], None]
"""Takes what is wrong with a file that was left out."""


def _silent(_: str) -> None:
    return


def list_procedures() -> tuple[str, ...]:
    """Return the names of the procedures, shipped and own, in alphabetical order."""
    folders = (procedures_folder(), own_procedures_folder())
    return tuple(sorted({path.stem for folder in folders for path in folder.glob("*.toml")}))


def procedure_path(name_or_path: str | Path) -> Path:
    """Return the file of a procedure's name, one's own before a shipped one, or the path itself."""
    name = str(name_or_path)
    if _NAME.fullmatch(name):
        for folder in (own_procedures_folder(), procedures_folder()):
            if (folder / f"{name}.toml").is_file():
                return folder / f"{name}.toml"
        known = ", ".join(list_procedures())
        raise BadFile(name, "there is no such procedure", cure=f"known are {known}, or give a file")
    return Path(name_or_path)


def load_procedure(name_or_path: str | Path, told: Told = _silent) -> Mapping[str, object]:
    """Return a checked procedure as plain data; raises `BadFile` with its first fault, line and cure.

    Where a mechanic's own file of a shipped name is bad, `told` gets its fault and ours is returned.
    """
    path = procedure_path(name_or_path)
    ours = procedures_folder() / path.name
    if path.parent == own_procedures_folder() and ours.is_file():
        try:
            return _sound(path)
        except BadFile as trouble:
            told(f"{trouble}; the shipped {path.stem} is used")
            return _sound(ours)
    return _sound(path)


def _sound(path: Path) -> Mapping[str, object]:
    data, places = read_procedure(path)
    faults = faults_of(data, places)
    if faults:
        first = faults[0]
        least = "at least " if len(faults) == MOST_FINDINGS else ""
        more = f"; {least}{len(faults) - 1} more faults" if len(faults) > 1 else ""
        raise BadFile(first.file or str(path), first.what + more, line=first.line, cure=first.cure)
    return data


def faults_of(data: Mapping[str, object], places: Places, known: Known | None = None) -> list[Finding]:
    """Return the faults of an assembled procedure, `MOST_FINDINGS` at most.

    Those of its sense come only where its shape is right.
    """
    return schema_findings(data, places) or findings(data, places, known)


def read_procedure(path: Path) -> tuple[Mapping[str, object], Places]:
    """Return a procedure with its pieces in place, unchecked, and where each part of it is written.

    Raises `BadFile` where the file cannot be read or a piece of it cannot be put in.
    """
    data, text = read_toml(path)
    if "changes" in data:
        return _with_changes(path, data, text)
    if data.get("format") != 2 or isinstance(data.get("format"), bool):
        return data, Places(Source(str(path), text))
    return assembled(data, text, path, _beside(path))


def _with_changes(path: Path, data: dict[str, object], text: str) -> tuple[Mapping[str, object], Places]:
    name = str(data["changes"])
    for key in data:
        if key not in _CHANGES:
            cure = f"a file of changes has {', '.join(sorted(_CHANGES))}"
            raise BadFile(str(path), f"{key!r} is not known", line=line_in(text, key), cure=cure)
    ours = procedures_folder() / f"{name}.toml"
    if not _NAME.fullmatch(name) or not ours.is_file():
        line = line_in(text, "changes")
        raise BadFile(
            str(path), f"there is no shipped procedure {name!r}", line=line, cure="name one of ours"
        )
    base, places = read_procedure(ours)
    return changed(base, places, data, text, path, _beside(path)), places


def _beside(path: Path) -> Callable[[str], Path]:
    return lambda name: piece_path(name, path.parent)


def piece_path(name: str, beside: Path) -> Path:
    """Return the file of a shared piece: beside the procedure, one's own, or shipped; `BadFile` if none."""
    folders = (beside, own_procedures_folder(), procedures_folder())
    for folder in folders if _NAME.fullmatch(name) else ():
        file = folder / SHARED / f"{name}.toml"
        if file.is_file():
            return file
    stems = {one.stem for one in (procedures_folder() / SHARED).glob("*.toml")} - {ALWAYS, PHRASES}
    near = get_close_matches(name, stems, 3) or sorted(stems)
    why = "there is no such piece"
    raise BadFile(str(beside / SHARED / f"{name}.toml"), why, cure=f"there is {', '.join(near)}")
