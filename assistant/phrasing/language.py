"""What a language of the phrasing is: wordings by reply key, and the arguments a wording reads."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TypeVar

from assistant.errors import WrongInput
from assistant.job.reading import Reading
from assistant.job.sheet import Sheet
from assistant.units import Measure

_T = TypeVar("_T")


@dataclass(frozen=True, slots=True)
class Args:
    """The arguments of one reply, read by name and type; `WrongInput` names what is absent or wrong."""

    key: str
    given: Mapping[str, object] = field(default_factory=dict)

    def _one(self, name: str, sort: type[_T]) -> _T:
        value = self.given.get(name)
        if not isinstance(value, sort):
            raise WrongInput(f"reply '{self.key}' needs {name} as {sort.__name__}, not {value!r}")
        return value

    def text(self, name: str) -> str:
        """Return a text; an absent one is an error."""
        return self._one(name, str)

    def maybe_text(self, name: str) -> str:
        """Return a text, "" where the reply has none."""
        return self._one(name, str) if self.given.get(name) is not None else ""

    def whole(self, name: str) -> int:
        """Return a whole number."""
        return self._one(name, int)

    def measure(self, name: str) -> Measure:
        """Return a measure; an absent one is an error."""
        return self._one(name, Measure)

    def maybe(self, name: str) -> Measure | None:
        """Return a measure, or None where the reply has none."""
        return None if self.given.get(name) is None else self._one(name, Measure)

    def flag(self, name: str) -> bool:
        """Return a truth; absent is false."""
        return bool(self.given.get(name, False))

    def value(self, name: str, sort: type[_T]) -> _T:
        """Return a value of a type of its own; an absent one is an error."""
        return self._one(name, sort)

    def reading(self, name: str = "reading") -> Reading:
        """Return a reading; an absent one is an error."""
        return self._one(name, Reading)

    def maybe_reading(self, name: str = "reading") -> Reading | None:
        """Return a reading, or None where the reply has none."""
        return None if self.given.get(name) is None else self._one(name, Reading)

    def texts(self, name: str) -> tuple[str, ...]:
        """Return several texts; absent is none."""
        return tuple(str(one) for one in self._one(name, tuple)) if self.given.get(name) else ()

    def sheet(self) -> Sheet | None:
        """Return the vehicle sheet whose figures fill the places of a text, or None."""
        return None if self.given.get("sheet") is None else self._one("sheet", Sheet)


Wording = Callable[[Args], tuple[str, ...]]
"""Arguments -> sentences, each a short text of words and punctuation alone."""


def fixed(*lines: str) -> Wording:
    """Return a wording that never varies."""
    return lambda _: lines


@dataclass(frozen=True, slots=True)
class Language:
    """One language: its name, a wording for each reply key, and example sentences by kind of meaning."""

    name: str
    replies: Mapping[str, Wording]
    examples: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
