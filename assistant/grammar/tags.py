"""The small language of the tags: which there are, and what each must look like.

Of the meaning
    kind=K unit=U and SLOT=VALUE     as the catalogue of meanings allows
Of a number, in the order of the words
    digit D     one digit: it adds to a ten or hundred before it, else it is written after the last
    n N         ten to ninety: adds; after a single digit it follows it ("two fifty" is 250)
    hundred, thousand, point, minus
    and F       a fraction to add ("and a half" is: and 0.5)
    restart     what was said so far of the number was a slip
    then        what was said so far is the first of two numbers: it goes into the slots first, first-unit
Of a spelled code
    letter L
Of the file
    card TEXT   a recommended wording, for the printed card
    as WORDS    another spelling of WORDS
"""

from __future__ import annotations

import re

from assistant.errors import BadFile
from assistant.grammar.meaning import KINDS, Kind
from assistant.grammar.tree import Tag

Op = tuple[str, str]
"""A tag as it lies on the automaton: (name, value)."""

NUMBER_OPS = frozenset(
    {"digit", "n", "hundred", "thousand", "point", "and", "minus", "restart", "then", "letter"}
)
FILE_TAGS = frozenset({"card", "as"})
_VALUES = {
    "digit": re.compile(r"\d"),
    "n": re.compile(r"[1-9]\d"),
    "hundred": re.compile(""),
    "thousand": re.compile(""),
    "point": re.compile(""),
    "minus": re.compile(""),
    "restart": re.compile(""),
    "then": re.compile(""),
    "and": re.compile(r"0\.\d+"),
    "letter": re.compile(r"[A-Z]"),
    "card": re.compile(r"\S.*"),
    "as": re.compile(r"\S.*"),
}
_UNITS = frozenset(unit for kind in KINDS.values() for unit in kind.units)


def read_tag(file: str, tag: Tag) -> Op:
    """Return the tag as (name, value); raises `BadFile` where the catalogue does not know it."""
    if "=" in tag.text:
        name, value = (part.strip() for part in tag.text.split("=", 1))
        _check_pair(file, tag, name, value)
        return name, value
    name, _, value = tag.text.partition(" ")
    value = value.strip()
    if name not in _VALUES:
        raise BadFile(file, f"the tag {{{tag.text}}} is not known", line=tag.line, cure=_known())
    if not _VALUES[name].fullmatch(value):
        cure = f"{name!r} takes {_VALUES[name].pattern or 'no value'}"
        raise BadFile(file, f"the tag {{{tag.text}}} has a wrong value", line=tag.line, cure=cure)
    return name, value


def _known() -> str:
    return "known are kind=, unit=, a slot such as form=, and " + ", ".join(sorted(_VALUES))


def _check_pair(file: str, tag: Tag, name: str, value: str) -> None:
    if name == "kind":
        allowed = set(KINDS)
    elif name == "unit":
        allowed = set(_UNITS)
    else:
        allowed = {v for kind in KINDS.values() for v in kind.slots.get(name, ()) if v not in "*#"}
    if not allowed:
        raise BadFile(file, f"no kind of meaning has a slot {name!r}", line=tag.line, cure=_known())
    if value not in allowed:
        cure = "one of: " + ", ".join(sorted(allowed))
        raise BadFile(file, f"{value!r} is no {name}", line=tag.line, cure=cure)


def spelled_slot(kind: Kind) -> str | None:
    """Return the name of the slot filled by spelled letters and digits, if the kind has one."""
    return next((name for name, values in kind.slots.items() if values == ("*",)), None)
