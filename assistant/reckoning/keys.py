"""Keys of a computation: what each takes, and how typed text becomes its value.

A key takes a measure of one kind, a word from a list, a whole number, a date or a unit. A key that may
be given several times can have a companion said just after it: the temperature of a drained part, the
time of a reading. "about" before an amount marks an estimate where the key takes one.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from assistant.errors import WrongInput
from assistant.reckoning.given import lacking, refuse
from assistant.units import Measure, kind_of, read_measure, read_unit, symbol_of, units_of

Value: TypeAlias = Measure | str | int | bool | tuple[Measure, bool]
Single: TypeAlias = Value | None
Many: TypeAlias = Sequence[Value | tuple[Value, Single]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """One key of a computation."""

    name: str
    takes: str
    """A kind of unit (volume, temperature, ...), or word, text, count, date, unit, yes-no, anything."""
    help: str = ""
    required: bool = False
    many: bool = False
    about: bool = False
    """Takes 'about 1 cup': the value becomes (measure, whether it was about)."""
    beside: Key | None = None
    """A companion given just after each value of this key: the value becomes (value, companion)."""
    choices: tuple[str, ...] = ()
    argument: str = ""
    """The argument of the function it fills; its own name when empty."""

    @property
    def target(self) -> str:
        """The argument of the function this key fills."""
        return self.argument or self.name.replace("-", "_")

    @property
    def allowed(self) -> str:
        """What may be given, in words for an error or a listing."""
        if self.choices:
            return f"one of {', '.join(self.choices)}"
        words = {
            "count": "a whole number",
            "date": "a date such as 2027-05-31",
            "unit": "a unit such as L or US qt or N m",
            "text": "a word",
            "yes-no": "yes or no",
            "anything": "a number with a unit",
            "amount": "a volume, a length or a share with its unit",
            "volume": "volume (L, mL, cup, US or imp gal, qt, pt, fl oz)",
            "number": "a number without unit",
            "angle": "an angle in degrees, such as 45",
        }
        if self.takes in words:
            return words[self.takes]
        return f"{self.takes.replace('_', ' ')} ({', '.join(map(symbol_of, units_of(self.takes)))})"


def value_of_text(key: Key, text: str) -> Value:
    """Return the value a typed `text` gives for `key`; raises WrongInput naming the key."""
    text = text.strip()
    if not text:
        raise refuse(key.name, "", f"a value is needed: {key.allowed}")
    if key.takes in ("word", "text", "yes-no"):
        return _word(key, text)
    if key.takes == "count":
        if not (text.isascii() and text.isdecimal()):
            raise refuse(key.name, text, "a whole number is needed")
        return int(text)
    if key.takes == "date":
        return text
    if key.takes == "angle":
        text = (
            re.sub(r"\s*(°|deg|degrees?)$", " angle_degree", text)
            if not text.isdecimal()
            else f"{text} angle_degree"
        )
    about = key.about and text.lower().startswith("about ")
    try:
        if key.takes == "unit":
            return read_unit(text)
        found = read_measure(text[len("about ") :] if about else text)
    except WrongInput as wrong:
        raise refuse(key.name, text, f"{wrong}; allowed is {key.allowed}") from None
    if key.takes not in ("anything", "amount") and kind_of(found.unit) != key.takes:
        bare = "it has no unit; " if found.unit == "one" else ""
        raise refuse(key.name, text, f"{bare}allowed is {key.allowed}")
    return (found, about) if key.about else found


def _word(key: Key, text: str) -> Value:
    """Return a word, checked against the key's list, or a yes as True."""
    if key.takes == "yes-no":
        if text.lower() not in ("yes", "no"):
            raise refuse(key.name, text, "allowed is yes or no")
        return text.lower() == "yes"
    if key.choices and text not in key.choices:
        raise refuse(key.name, text, f"allowed is {key.allowed}")
    return text


def gather(keys: Sequence[Key], pairs: Sequence[tuple[str, str]]) -> dict[str, Single | Many]:
    """Return the arguments that (key, text) pairs give, in order; raises WrongInput naming the key.

    A companion belongs to the value before it; a key given twice must be one that may be.
    """
    by_name = {key.name: key for key in keys}
    companions = {key.beside.name: key for key in keys if key.beside is not None}
    single: dict[str, Single] = {}
    many: dict[str, list[tuple[Value, Single]]] = {key.name: [] for key in keys if key.many}
    last: str | None = None
    for name, text in pairs:
        owner = _owner(name, last, companions, by_name)
        if owner is not None and owner.beside is not None:
            given = many[owner.name]
            if not given or given[-1][1] is not None:
                raise refuse(name, text, f"must follow a value of {owner.name}")
            given[-1] = (given[-1][0], value_of_text(owner.beside, text))
            continue
        if name not in by_name:
            known = ", ".join([*by_name, *companions])
            raise refuse(name, text, f"no such key here; keys are {known}")
        key, last = by_name[name], name
        value = value_of_text(key, text)
        if key.many:
            many[name].append((value, None))
        elif name in single:
            raise refuse(name, text, "given twice")
        else:
            single[name] = value
    return _arguments(keys, single, many)


def _owner(
    name: str, last: str | None, companions: Mapping[str, Key], by_name: Mapping[str, Key]
) -> Key | None:
    """Return the key a companion called `name` belongs to here, or None where `name` is a key itself."""
    before = by_name.get(last) if last else None
    if before is not None and before.beside is not None and before.beside.name == name:
        return before
    return None if name in by_name else companions.get(name)


def _arguments(
    keys: Sequence[Key], single: Mapping[str, Single], many: Mapping[str, list[tuple[Value, Single]]]
) -> dict[str, Single | Many]:
    """Return the arguments by the function's own names, refusing what is missing."""
    arguments: dict[str, Single | Many] = {}
    for key in keys:
        if key.many:
            given = many[key.name]
            if key.required and not given:
                raise lacking(key.name, key.allowed)
            if key.beside is not None and key.beside.required and any(beside is None for _, beside in given):
                raise lacking(key.beside.name, f"after each {key.name}: {key.beside.allowed}")
            arguments[key.target] = [pair if key.beside is not None else pair[0] for pair in given]
        elif key.name in single:
            arguments[key.target] = single[key.name]
        elif key.required:
            raise lacking(key.name, key.allowed)
    return arguments
