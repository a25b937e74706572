"""A computation as it is offered: its name, the question it answers, its keys and its function."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

from assistant.reckoning.figure import Figure, Verdict
from assistant.reckoning.keys import Key, gather

Result: TypeAlias = Figure | Verdict | tuple[tuple[str, Figure], ...]


@dataclass(frozen=True, slots=True)
class Computation:
    """One computation: its name, the question it answers, its keys, and the pure function."""

    name: str
    question: str
    function: Callable[..., Result]
    keys: tuple[Key, ...]

    def reckon(self, pairs: Sequence[tuple[str, str]]) -> Result:
        """Return the result for typed (key, text) pairs; raises WrongInput naming the key."""
        return self.function(**gather(self.keys, pairs))


def need(name: str, takes: str, text: str = "", **more: Any) -> Key:
    """Return a key that has to be given."""
    return Key(name=name, takes=takes, help=text, required=True, **more)


def may(name: str, takes: str, text: str = "", **more: Any) -> Key:
    """Return a key that may be given."""
    return Key(name=name, takes=takes, help=text, **more)


DENSITY = may("density15", "density", "of the fluid at 15 °C")
SPAN = need("span-litres", "volume", "between the marks")
SPAN_MM = may("span-mm", "length", "between the marks")
INTERVAL = need("interval", "duration", "between drops")
DROP = may("drop", "volume", "of one drop, 0.05 mL when not given")
