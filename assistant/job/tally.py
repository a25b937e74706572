"""The tally of a job as it went on: the sums of `balance` after each event, in one pass over the events.

To add up thousands of readings anew after each of them would take minutes.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from assistant.job import events as e
from assistant.job.balance import NOTHING_IN, Inflow, is_new, less, summed, with_one
from assistant.job.reading import Reading
from assistant.job.state import State, apply, begin
from assistant.units import Measure

Totals = Mapping[str, tuple[Measure | None, Measure | None]]
"""What came out of each unit and what went in, over all rounds, as `balance.in_all` says."""
_AMOUNTS = frozenset({"drained", "poured", "can-left", "spilled"})
_NO_AMOUNT = (e.ReadingStood, e.ReadingDoubted)
"""They change a reading, but nothing that is summed."""


@dataclass(frozen=True, slots=True)
class _Round:
    """The sums of one round of one unit."""

    out: Measure | None = None
    inflow: Inflow = NOTHING_IN
    spilled: Measure | None = None
    drawn: Measure | None = None

    def plus(self, one: Reading, size: Measure | None) -> _Round:
        """Return the sums with a counted reading more; `size` is that of a can."""
        if one.kind in ("poured", "can-left"):
            return replace(self, inflow=self.inflow.plus(one, size))
        if one.kind == "drained" and not is_new(one):
            return replace(self, out=with_one(self.out, one))
        if one.kind == "drained":
            return replace(self, drawn=with_one(self.drawn, one))
        return replace(self, spilled=with_one(self.spilled, one)) if is_new(one) else self

    @property
    def into(self) -> Measure | None:
        """What went in, less what was lost of it."""
        return less(self.inflow.into, self.spilled, self.drawn)


def tallies(history: Sequence[e.Event]) -> Iterator[tuple[e.Event, Totals]]:
    """Yield each event that changed an amount, with the amounts after it.

    Only what is taken back, settled later or reckoned by another can is added up anew.
    """
    state = begin(history[0])
    rounds: dict[tuple[str, int], _Round] = {}
    for one in history[1:]:
        before, state = state, apply(one, state)
        if isinstance(one, _NO_AMOUNT) or (
            state.readings is before.readings and state.sheets is before.sheets
        ):
            continue
        if isinstance(one, e.ReadingHeard) and one.reading not in before.readings:
            _add(rounds, state.readings[one.reading], state)
        else:
            rounds = {}
            for reading in state.readings.values():
                _add(rounds, reading, state)
        yield one, _in_all(rounds, state)


def _add(rounds: dict[tuple[str, int], _Round], one: Reading, state: State) -> None:
    if one.kind in _AMOUNTS and one.counts and one.measure:
        size = state.at_unit(one.of).sheet.figure("container")
        key = (one.of, one.round)
        rounds[key] = rounds.get(key, _Round()).plus(one, size)


def _in_all(rounds: Mapping[tuple[str, int], _Round], state: State) -> Totals:
    found = {}
    for unit in state.units:
        own = [sums for (of, _), sums in sorted(rounds.items()) if of == unit]
        found[unit] = summed(sums.out for sums in own), summed(sums.into for sums in own)
    return found
