"""Every computation by name: what it answers, its keys, the function. Drives the command and the voice.

`CATALOGUE[name].reckon(pairs)` takes typed (key, text) pairs; `CATALOGUE[name].function` takes measures.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from assistant.reckoning.catalogue.computation import Computation, Result
from assistant.reckoning.catalogue.filling import DRAINING, LEVEL, REFILL
from assistant.reckoning.catalogue.fluids import COOLANT, DILUTION, FLUIDS
from assistant.reckoning.catalogue.planning import CLOSING
from assistant.reckoning.catalogue.tools import TORQUE, WARMING

__all__ = ["CATALOGUE", "Computation", "Result"]

CATALOGUE: Mapping[str, Computation] = MappingProxyType(
    {
        computation.name: computation
        for group in (REFILL, LEVEL, DRAINING, DILUTION, WARMING, TORQUE, FLUIDS, COOLANT, CLOSING)
        for computation in group
    }
)
"""Name -> computation."""
