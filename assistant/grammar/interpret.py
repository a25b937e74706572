"""The tags along one path of the automaton -> `Meaning`, with exact numbers."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal

from assistant.grammar.meaning import KINDS, Meaning
from assistant.grammar.tags import NUMBER_OPS, Op, spelled_slot

UNCOUNTED = frozenset({"vague", "trap"})
"""Kinds whose sentences may hold numbers that must not be taken."""


def interpret(ops: Sequence[Op]) -> Meaning:
    """Return what the tags `ops` (in spoken order) mean; the kind must be among them.

    The value is a plain decimal string without exponent or trailing zeros after the point. A kind
    with a spelled slot (a code, initials) takes letters and digits as text instead of a number.
    Kinds of amounts carry their form always, "bare" where the sentence gave none.
    """
    if ("kind", "trap") in ops:
        return Meaning("trap")
    pairs: dict[str, str] = {}
    number: list[Op] = []
    for name, value in ops:
        if name == "restart":
            number.clear()
            pairs.pop("unit", None)
            pairs["repaired"] = "yes"
        elif name == "then":
            pairs["first"] = plain(fold_number(number))
            number.clear()
            if "unit" in pairs:
                pairs["first-unit"] = pairs.pop("unit")
        elif name in NUMBER_OPS:
            number.append((name, value))
        else:
            pairs[name] = value
    kind = pairs.pop("kind")
    unit = pairs.pop("unit", None)
    if kind in UNCOUNTED:
        number.clear()
        unit = None
        pairs = {name: said for name, said in pairs.items() if name in KINDS[kind].slots}
    text_slot = spelled_slot(KINDS[kind])
    if text_slot is not None:
        pairs[text_slot] = "".join(value for _, value in number)
        number.clear()
    if "bare" in KINDS[kind].slots.get("form", ()):
        pairs.setdefault("form", "bare")
    said = plain(fold_number(number)) if number else None
    return Meaning(kind, said, unit, tuple(sorted(pairs.items())))


def fold_number(ops: Iterable[Op]) -> Decimal:
    """Return the exact number of the number tags `ops`, in spoken order.

    "two hundred fifty" (digit 2, hundred, n 50) is 250, "one oh six" (three digits) 106, "two fifty"
    (digit 2, n 50) 250, "four point oh five" 4.05, "two and a half" 2.5, "point six" 0.6.
    """
    thousands = current = fraction = Decimal(0)
    decimals: str | None = None
    negative = False
    before = ""
    for name, value in ops:
        if name == "digit" and decimals is not None:
            decimals += value
        elif name == "digit":
            current = current * 10 + int(value) if before == "digit" else current + int(value)
        elif name == "n":
            current = current * 100 + int(value) if before == "digit" else current + int(value)
        elif name == "hundred":
            current = (current or Decimal(1)) * 100
        elif name == "thousand":
            thousands, current = (current or Decimal(1)) * 1000, Decimal(0)
        elif name == "point":
            decimals = ""
        elif name == "and":
            fraction += Decimal(value)
        elif name == "minus":
            negative = True
        before = name
    total = thousands + current + fraction + (Decimal("0." + decimals) if decimals else 0)
    return -total if negative else total


def plain(number: Decimal) -> str:
    """Return `number` as digits with a point where needed: no exponent, no trailing zeros."""
    text = format(number, "f")
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
