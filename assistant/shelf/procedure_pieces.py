"""Shared pieces of procedures: steps written once and used by many services, with what differs filled in.

A step that is a table with `use = "NAME"` stands for the steps of `shared/NAME.toml`. The piece tells
under `[takes]` what may be filled in and what it is where nothing is said; in its texts and ids
`${name}` stands for it. Sentences that many steps say stand once in `shared/phrases.toml`, and `${name}`
is put for them in any text. A later step with the id of one of a piece changes that step: the keys given
replace those of the piece, exits, findings and readings by their name.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import cast

from assistant.errors import BadFile
from assistant.shelf.procedure_places import Places, Source
from assistant.shelf.toml import line_in, read_toml

ALWAYS = "always"
"""The piece every procedure has: cautions, gates, labels, bands and exits that hold anywhere."""
PHRASES = "phrases"
"""The piece with the sentences that are written once."""
NAMED = {"exit": "on", "finding": "name", "await": "reading"}
"""Tables inside a step, and the key that names one of them."""
TABLES = ("bands", "gates", "cautions", "signals", "labels")
DEEPEST = 4
MOST_SIGNS = 600_000
"""What a service and all its pieces may have, filled in, each time they are; a long one has a quarter."""
_USED = 2_000
"""What the use of a piece costs beside its signs: as long as so many take."""
LONGEST_FILLED = 2_000
"""Signs of what is filled in at a place: a few sentences have some hundred."""
_FILL = re.compile(r"\$\{([a-z0-9-]+)\}")
_USE = frozenset({"use", "with", "prefix", "unit", "without"})

Table = dict[str, object]
Find = Callable[[str], Path]
"""Gives the file of a piece's name; raises `BadFile` where there is none."""


@dataclass(slots=True)
class Assembly:
    """A procedure being put together: its steps by id, in order, and everything that is no step."""

    places: Places
    find: Find
    steps: dict[str, Table] = field(default_factory=dict)
    from_pieces: set[str] = field(default_factory=set)
    tables: dict[str, Table] = field(default_factory=dict)
    exits: list[Table] = field(default_factory=list)
    phrases: Mapping[str, str] = field(default_factory=dict)
    signs: int = 0
    """Of the service and all its pieces so far, filled in."""

    def room_for(self, text: str, filled: Mapping[str, str]) -> bool:
        """Count a text in, and say whether there is room for it once it is filled in."""
        self.signs += _USED + _length(text, filled)
        return self.signs <= MOST_SIGNS


def assembled(data: Mapping[str, object], text: str, path: Path, find: Find) -> tuple[Table, Places]:
    """Return a procedure with every piece it uses in place, and where each part is written.

    Raises `BadFile` for a piece that is absent or bad, or used with what it does not take.
    """
    said, phrases = _phrases(find)
    whole = Assembly(Places(Source(str(path), "")), find, phrases=phrases)
    data, text = _with_phrases(whole, data, text, path)
    places = whole.places
    places.main = Source(str(path), text)
    always = find(ALWAYS)
    _take_tables(whole, cast("Table", filled_in(_read(always), phrases)))
    _take_tables(whole, data)
    for entry in _records(data, "step", path, text):
        if "use" in entry:
            for step, source in _expand(whole, entry, path, text, phrases, 0):
                _add(whole, step, source, piece=True)
        else:
            _add(whole, entry, Source(str(path), text), piece=False)
    places.others += [Source(str(one), one.read_text("utf-8-sig")) for one in (always, said)]
    rest = {key: value for key, value in data.items() if key not in (*TABLES, "step", "exit")}
    return _result(whole, rest, data), places


def _phrases(find: Find) -> tuple[Path, Mapping[str, str]]:
    """Return the file of the sentences that are written once, and those."""
    said = find(PHRASES)
    return said, cast("Mapping[str, str]", _read(said)[PHRASES])


def _with_phrases(whole: Assembly, data: Mapping[str, object], text: str, path: Path) -> tuple[Table, str]:
    """Return a file of one's own and its text with the phrases in their places."""
    if not whole.room_for(text, whole.phrases):
        raise BadFile(str(path), f"has over {MOST_SIGNS:,} signs", cure="use fewer or shorter phrases")
    data, text = cast("Table", filled_in(dict(data), whole.phrases)), _fill(text, whole.phrases)
    _check_tables(data, path, text)
    return data, text


def changed(
    base: Mapping[str, object], places: Places, data: Table, text: str, path: Path, find: Find
) -> Table:
    """Return an assembled procedure with the changes of a mechanic's own file, which `places` learns of.

    A step of a known id changes it; a new one tells its place as "after STEP" or "before STEP".
    """
    _, phrases = _phrases(find)
    whole = Assembly(places, find, phrases=phrases)
    data, text = _with_phrases(whole, data, text, path)
    _take_tables(whole, base)
    whole.steps = {str(step["id"]): dict(step) for step in cast("list[Table]", base["step"])}
    places.others.insert(0, Source(str(path), text))
    _take_tables(whole, data)
    for entry in _records(data, "step", path, text):
        name, spot = str(entry.get("id", "")), str(entry.pop("place", ""))
        if name in whole.steps and not spot:
            _add(whole, entry, Source(str(path), text), piece=True)
            continue
        side, _, anchor = spot.partition(" ")
        if side not in ("before", "after") or anchor not in whole.steps or name in whole.steps:
            raise BadFile(
                str(path),
                f"step {name!r} has no place",
                line=line_in(text, name),
                cure='a new step says place = "after STEP" or "before STEP", one of ours says none',
            )
        _insert(whole, name, entry, anchor, after=side == "after")
        places.steps[name] = [Source(str(path), text, name)]
    kept = {key: value for key, value in base.items() if key not in (*TABLES, "step", "exit")}
    named = {key: value for key, value in data.items() if key in ("name", "title", "language")}
    return _result(whole, {**kept, **named}, data)


def _insert(whole: Assembly, name: str, entry: Table, anchor: str, *, after: bool) -> None:
    ids = list(whole.steps)
    spot = ids.index(anchor) + after
    rebuilt = [*ids[:spot], name, *ids[spot:]]
    whole.steps = {one: entry if one == name else whole.steps[one] for one in rebuilt}


def _result(whole: Assembly, rest: Table, own: Mapping[str, object]) -> Table:
    steps = list(whole.steps.values())
    used = _used(steps)
    tables: Table = {}
    for key, table in whole.tables.items():
        # What a shared file offers and no step needs is left out; what the file itself says stays.
        mine = set(cast("Table", own.get(key, {})))
        kept = {name: value for name, value in table.items() if key == "bands" or name in used | mine}
        tables[key] = kept
    return {**rest, **tables, "exit": whole.exits, "step": steps}


def _used(steps: Sequence[Table]) -> set[str]:
    found: set[str] = set()
    for step in steps:
        for key in ("cautions", "requires", "forbids"):
            value = step.get(key, [])
            found |= {str(one) for one in value} if isinstance(value, list) else set()
        found |= {str(step.get("gate", "")), str(step.get("until", ""))}
    return found


def _check_tables(data: Mapping[str, object], path: Path, text: str) -> None:
    for key in TABLES:
        if not isinstance(data.get(key, {}), dict):
            raise BadFile(str(path), f"{key} is no table", line=line_in(text, key), cure=f"write [{key}]")


def _take_tables(whole: Assembly, data: Mapping[str, object]) -> None:
    for key in TABLES:
        whole.tables[key] = {**whole.tables.get(key, {}), **cast("Table", data.get(key, {}))}
    exits = data.get("exit", [])
    mine = [one for one in exits if isinstance(one, dict)] if isinstance(exits, list) else []
    named = {str(one.get("on", "")) for one in mine}
    whole.exits = [one for one in whole.exits if str(one.get("on", "")) not in named] + mine


def _add(whole: Assembly, step: Table, source: Source, *, piece: bool) -> None:
    """Add a step, or let it change the one of a piece that has its id."""
    name = str(step.get("id", f"[[step]] {len(whole.steps)}"))
    raw = source.id or name
    known = whole.places.steps.setdefault(name, [])
    known.insert(0, Source(source.file, source.text, raw))
    if name in whole.steps and (piece or name in whole.from_pieces) and not _again(source, known):
        whole.steps[name] = merged(whole.steps[name], step)
        return
    if name in whole.steps:
        whole.steps[f"{name}#{len(whole.steps)}"] = step  # the checks find the second of one id
        return
    whole.steps[name] = dict(step)
    if piece:
        whole.from_pieces.add(name)


def _again(source: Source, known: list[Source]) -> bool:
    """Say whether one file has the same step twice, which is a slip and no change of it."""
    return sum(one.file == source.file for one in known) > 1


def merged(ours: Table, theirs: Table) -> Table:
    """Return a step with the keys of another in place of its own; named tables by their names."""
    result = {**ours, **theirs}
    for key, name in NAMED.items():
        if isinstance(ours.get(key), list) and isinstance(theirs.get(key), list):
            mine = {_name(one, name): one for one in cast("list[object]", ours[key])}
            mine |= {_name(one, name): one for one in cast("list[object]", theirs[key])}
            result[key] = list(mine.values())
    return result


def _name(one: object, key: str) -> str:
    return str(one.get(key, "")) if isinstance(one, dict) else str(one)


def _expand(
    whole: Assembly, entry: Table, path: Path, text: str, outer: Mapping[str, str], depth: int
) -> Iterator[tuple[Table, Source]]:
    """Give the steps of one use of a piece, each with its source."""
    name = str(entry["use"])

    def fail(why: str, cure: str) -> BadFile:
        return BadFile(str(path), f"use of {name!r}: {why}", line=line_in(text, name), cure=cure)

    if depth > DEEPEST:
        raise fail("pieces use one another without end", "let none use itself")
    unknown = sorted(set(entry) - _USE)
    if unknown:
        raise fail(f"{unknown[0]!r} is not known", f"known are {', '.join(sorted(_USE))}")
    try:
        file = whole.find(name)
    except BadFile as absent:
        raise fail(absent.why, absent.cure or "name one there is") from None
    piece, raw = _read(file), file.read_text("utf-8-sig")
    takes = {key: str(value) for key, value in cast("Table", piece.get("takes", {})).items()}
    why, cure = _misshapen(entry)
    if why:
        raise fail(why, cure)
    given = cast("Mapping[str, str]", entry.get("with", {}))
    strange = sorted(set(given) - set(takes))
    if strange:
        raise fail(f"it takes no {strange[0]!r}", f"it takes {', '.join(takes) or 'nothing'}")
    around = {**outer, **whole.phrases}
    told = {key: str(given.get(key, value)) for key, value in takes.items()}
    too_long = [key for key, value in told.items() if _length(value, around) > LONGEST_FILLED]
    if too_long:
        raise fail(f"{too_long[0]!r} has over {LONGEST_FILLED:,} signs", "fill in a sentence or two")
    filled = {key: _fill(value, around) for key, value in told.items()}
    empty = [key for key, value in filled.items() if not value and key not in given]
    if empty:
        raise fail(f"it needs {empty[0]!r}", f'write with = {{ {empty[0]} = "..." }}')
    lacking = sorted(set(_FILL.findall(raw)) - set(filled) - set(whole.phrases))
    if lacking:
        raise BadFile(str(file), f"${{{lacking[0]}}} is not under [takes]", line=line_in(raw, lacking[0]))
    filled = {**whole.phrases, **filled}
    if not whole.room_for(raw, filled):
        raise fail(f"the pieces have over {MOST_SIGNS:,} signs in all", "use fewer or shorter pieces")
    _take_piece_tables(whole, cast("Table", filled_in(piece, filled)), Source(str(file), _fill(raw, filled)))
    yield from _renamed(_inside(whole, piece, file, raw, filled, depth), entry)


def _misshapen(entry: Table) -> tuple[str, str]:
    """Return what is not as it must be in the use of a piece, and the cure; "" where all is."""
    given, left_out = entry.get("with", {}), entry.get("without", [])
    if not isinstance(given, dict) or not all(isinstance(one, str) for one in given.values()):
        return "with is no table of texts", 'write with = { plug = "drain" }'
    if not isinstance(left_out, list) or not all(isinstance(one, str) for one in left_out):
        return "without is no list of steps", 'write without = ["raise"]'
    other = next((key for key in ("prefix", "unit") if not isinstance(entry.get(key, ""), str)), "")
    return (f"{other} is no text", f'write {other} = "..."') if other else ("", "")


def _take_piece_tables(whole: Assembly, piece: Table, source: Source) -> None:
    """Take what a piece says beside its steps, as far as the procedure has not said it itself."""
    own = Assembly(whole.places, whole.find, tables=whole.tables, exits=whole.exits)
    _take_tables(whole, piece)
    _take_tables(whole, {**own.tables, "exit": own.exits})
    whole.places.others.append(source)


def _inside(
    whole: Assembly, piece: Table, file: Path, raw: str, filled: Mapping[str, str], depth: int
) -> Iterator[tuple[Table, Source]]:
    text = _fill(raw, filled)
    found: dict[str, tuple[Table, Source]] = {}
    nested: set[str] = set()
    for one in _records(piece, "step", file, raw):
        entry = cast("Table", filled_in(one, filled))
        if "use" in entry:
            for step, source in _expand(whole, entry, file, raw, filled, depth + 1):
                nested.add(str(step.get("id", "")))
                found[str(step.get("id", ""))] = (step, source)
            continue
        name = str(entry.get("id", ""))
        step = merged(found[name][0], entry) if name in nested else entry
        spare = name if name in nested or name not in found else f"{name}#{len(found)}"
        found[spare] = (step, Source(str(file), text, name))
    yield from found.values()


def _renamed(steps: Iterator[tuple[Table, Source]], entry: Table) -> Iterator[tuple[Table, Source]]:
    """Give the steps with the prefix and the unit of the use, without those left out."""
    found = list(steps)
    prefix, unit = str(entry.get("prefix", "")), entry.get("unit")
    left_out = {str(one) for one in cast("list[object]", entry.get("without", []))}
    ids = {str(step.get("id", "")) for step, _ in found}
    for step, source in found:
        name = str(step.get("id", ""))
        if name in left_out:
            continue
        if prefix:
            step = _prefixed(step, prefix, ids)
        if unit is not None:
            step = {**step, "unit": unit}
        yield step, Source(source.file, source.text, source.id or name)


def _prefixed(step: Table, prefix: str, ids: set[str]) -> Table:
    def name(value: object) -> object:
        return f"{prefix}{value}" if isinstance(value, str) and value in ids else value

    result = {**step, "id": name(step.get("id", ""))}
    for key in ("after", "to"):
        if key in step:
            result[key] = name(step[key])
    for key in ("exit", "finding"):
        if isinstance(step.get(key), list):
            result[key] = [
                {**one, "then": name(one["then"])} if isinstance(one, dict) and "then" in one else one
                for one in cast("list[object]", step[key])
            ]
    return result


def filled_in(value: object, filled: Mapping[str, str]) -> object:
    """Return plain data with every `${name}` in its texts and keys filled in."""
    if isinstance(value, str):
        return _fill(value, filled)
    if isinstance(value, dict):
        return {_fill(key, filled): filled_in(one, filled) for key, one in value.items()}
    return [filled_in(one, filled) for one in value] if isinstance(value, list) else value


def _length(text: str, filled: Mapping[str, str]) -> int:
    """Return at least how long a text is once it is filled in."""
    return len(text) + sum(len(filled.get(name, "")) for name in _FILL.findall(text))


def _fill(text: str, filled: Mapping[str, str]) -> str:
    return _FILL.sub(lambda found: filled.get(found[1], found[0]), text)


def _read(file: Path) -> Table:
    data, text = read_toml(file)
    known = {"format", "takes", "exit", "step", PHRASES, *TABLES}
    for key in data:
        if key not in known:
            cure = f"a shared piece has {', '.join(sorted(known))}"
            raise BadFile(str(file), f"{key!r} is not known", line=line_in(text, key), cure=cure)
    _check_tables(data, file, text)
    takes, said = data.get("takes", {}), data.get(PHRASES, {})
    if not isinstance(said, dict) or not all(_is_phrase(one) for one in said.values()):
        cure = f'write name = "..." of {LONGEST_FILLED:,} signs at most'
        raise BadFile(str(file), "[phrases] is no table of texts", line=line_in(text, PHRASES), cure=cure)
    if data.get("format") != 2 or not isinstance(takes, dict) or (file.stem == PHRASES) != bool(said):
        raise BadFile(str(file), "it is no shared piece", cure="format = 2 first, [takes] a table of texts")
    return data


def _is_phrase(value: object) -> bool:
    return isinstance(value, str) and len(value) <= LONGEST_FILLED


def _records(data: Mapping[str, object], key: str, path: Path, text: str) -> list[Table]:
    value = data.get(key, [])
    if not isinstance(value, list) or not all(isinstance(one, dict) for one in value):
        raise BadFile(
            str(path), f"{key} is no array of tables", line=line_in(text, key), cure=f"write [[{key}]]"
        )
    return [dict(one) for one in value]
