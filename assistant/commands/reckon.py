"""`assistant reckon NAME key=value ...`: one computation, with its inputs, doubt, formula and source.

Values carry units and may have blanks: `drained=4.2 L at=55 degC pour-at=20 degC`. Without a name it
lists the computations and their keys. Raises WrongInput (exit code 2) naming the key at fault.
"""

from __future__ import annotations

import argparse
import difflib
import json
from collections.abc import Iterable, Sequence
from decimal import Context, Decimal

from assistant.errors import WrongInput
from assistant.reckoning.catalogue import CATALOGUE, GROUPS, Computation, Result
from assistant.reckoning.figure import NOTES, Verdict, figure_in
from assistant.reckoning.keys import Key
from assistant.units import Measure, for_speech, read_unit, symbol_of

_SHOWN = Context(prec=5)
_FOOT = "every figure takes in=UNIT for the unit of the answer; keys in [] may be left out"


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Register the command."""
    parser = subparsers.add_parser(
        "reckon",
        help="one computation: reckon NAME key=value ...; without a name, the list",
        usage="assistant reckon [NAME [key=value with unit ...]] [in=unit] [--json]",
    )
    parser.add_argument("--json", action="store_true", help="one JSON object instead of text")
    parser.add_argument("words", nargs=argparse.REMAINDER, metavar="NAME key=value ...")
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Print the list, or one result."""
    words = [word for word in arguments.words if word != "--json"]
    as_json = arguments.json or len(words) != len(arguments.words)
    if not words:
        print(_json_list() if as_json else _whole_listing())
        return 0
    name, *rest = words
    computation = find(name)
    if rest in (["--help"], ["-h"]):
        print(f"{_listing([computation])}\n\n{_FOOT}")
        return 0
    pairs = pairs_of(rest)
    wanted = None if _takes(computation, "in") else _unit_wanted(pairs)
    if wanted:
        pairs = [pair for pair in pairs if pair[0] != "in"]
    result = computation.reckon(pairs)
    if wanted:
        result = in_unit(result, wanted)
    print(json.dumps(as_data(result), ensure_ascii=False) if as_json else as_text(result))
    return 0


def find(name: str) -> Computation:
    """Return the computation called `name`; raises WrongInput with the nearest names."""
    if name in CATALOGUE:
        return CATALOGUE[name]
    if name in GROUPS:
        names = ", ".join(computation.name for computation in GROUPS[name])
        raise WrongInput(f"'{name}' is a subject; its computations are {names}")
    near = difflib.get_close_matches(name, CATALOGUE, n=3, cutoff=0.5)
    hint = f"perhaps {', '.join(near)}; " if near else ""
    raise WrongInput(f"no computation is called '{name}'; {hint}'assistant reckon' lists them")


def pairs_of(words: Sequence[str]) -> list[tuple[str, str]]:
    """Return (key, text) pairs: a word without '=' belongs to the value before it."""
    pairs: list[tuple[str, str]] = []
    for word in words:
        key, equals, text = word.partition("=")
        if equals:
            pairs.append((key.strip().replace("_", "-"), text))
        elif pairs:
            pairs[-1] = (pairs[-1][0], f"{pairs[-1][1]} {word}".strip())
        else:
            raise WrongInput(f"'{word}' is no key=value, such as drained=4.2 L")
    return pairs


def _takes(computation: Computation, name: str) -> bool:
    """Return whether the computation has a key of its own called `name`."""
    return any(key.name == name for key in computation.keys)


def _unit_wanted(pairs: Sequence[tuple[str, str]]) -> str | None:
    """Return the unit the answer is wanted in, or None."""
    texts = [text for key, text in pairs if key == "in"]
    if len(texts) > 1:
        raise WrongInput(f"in={texts[1]}: given twice")
    try:
        return read_unit(texts[0]) if texts else None
    except WrongInput as wrong:
        raise WrongInput(f"in={texts[0]}: {wrong}") from None


def in_unit(result: Result, unit: str) -> Result:
    """Return the result with its figure in another unit; raises WrongInput naming 'in' where that fails."""
    if isinstance(result, Verdict):
        raise WrongInput(f"in={symbol_of(unit)}: this computation gives a verdict, not a figure")
    if isinstance(result, tuple):
        return tuple((name, figure_in(figure, unit)) for name, figure in result)
    return figure_in(result, unit)


def shown(measure: Measure) -> str:
    """Return a measure to five significant digits with its symbol."""
    number = _SHOWN.create_decimal(Decimal(measure.value))
    text = format(number, "f")
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return f"{text} {symbol_of(measure.unit)}".strip()


def as_text(result: Result) -> str:
    """Return what is printed for a result."""
    if isinstance(result, tuple):
        return "\n\n".join(f"{name}\n{as_text(figure)}" for name, figure in result)
    if isinstance(result, Verdict):
        head = f"{result.name}: {result.verdict}"
    else:
        doubt = f" ± {shown(result.plus_minus)}" if result.plus_minus else ""
        said = for_speech(result.value, result.plus_minus)
        head = f"{result.name}: {shown(result.value)}{doubt}   (as spoken: {said})"
    if "not-reachable" in result.notes and "drain-at-least" in dict(result.also):
        head = f"{result.name}: not reachable; drain at least {shown(result.part('drain-at-least'))}"
    rows = [(name, shown(measure)) for name, measure in result.also]
    rows += [(f"from {key}", text) for key, text in result.inputs]
    rows += [("formula", result.formula), ("valid for", result.valid), ("source", result.source)]
    rows += [("note", NOTES[note]) for note in result.notes]
    width = max(len(name) for name, _ in rows)
    lines = [head + ("   an estimate" if result.estimate else "")]
    lines += [f"  {name:<{width}}  {text}" for name, text in rows]
    return "\n".join(lines)


def as_data(result: Result) -> dict[str, object]:
    """Return a result as plain data for JSON; numbers are decimal strings."""
    if isinstance(result, tuple):
        return {"units": {name: as_data(figure) for name, figure in result}}
    data: dict[str, object] = {"name": result.name}
    if isinstance(result, Verdict):
        data["verdict"] = result.verdict
    else:
        said = for_speech(result.value, result.plus_minus)
        data |= {
            "value": result.value.value,
            "unit": result.value.unit,
            "plus_minus": result.plus_minus.value if result.plus_minus else None,
            "spoken": {"value": said.value, "unit": said.unit},
        }
    return data | {
        "reachable": "not-reachable" not in result.notes,
        "also": {name: {"value": m.value, "unit": m.unit} for name, m in result.also},
        "inputs": [list(pair) for pair in result.inputs],
        "formula": result.formula,
        "valid": result.valid,
        "source": result.source,
        "estimate": result.estimate,
        "notes": list(result.notes),
    }


def _whole_listing() -> str:
    """Return every computation under its subject."""
    parts = [f"{subject.upper()}\n{_listing(group)}" for subject, group in GROUPS.items()]
    return "\n\n".join([*parts, _FOOT])


def _listing(computations: Iterable[Computation]) -> str:
    """Return the computations with their keys, the needed ones first."""
    lines: list[str] = []
    for computation in computations:
        lines.append(f"{computation.name}: {computation.question}")
        ordered = sorted(computation.keys, key=lambda key: not key.required)
        lines += [_key_line(key) for key in ordered]
    return "\n".join(lines)


def _key_line(key: Key) -> str:
    """Return one line on a key: name, companion, what is allowed, help."""
    name = f"{key.name}="
    if key.beside is not None:
        name += f" {key.beside.name}=" if key.beside.required else f" [{key.beside.name}=]"
    name = name if key.required else f"[{name}]"
    more = ", several times" if key.many else ""
    help_text = f"; {key.help}" if key.help else ""
    return f"    {name:<22} {key.allowed}{more}{help_text}"


def _json_list() -> str:
    """Return the list of computations as JSON."""
    return json.dumps(
        {
            name: {
                "question": computation.question,
                "keys": {
                    key.name: {
                        "takes": key.allowed,
                        "required": key.required,
                        "several": key.many,
                        "beside": key.beside.name if key.beside else None,
                    }
                    for key in computation.keys
                },
            }
            for name, computation in CATALOGUE.items()
        },
        ensure_ascii=False,
    )
