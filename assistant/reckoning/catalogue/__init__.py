"""Every computation by name: what it answers, its keys, the function. Drives the command and the voice.

`CATALOGUE[name].reckon(pairs)` takes typed (key, text) pairs; `CATALOGUE[name].function` takes measures.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from assistant.reckoning.catalogue.computation import Computation, Result
from assistant.reckoning.catalogue.filling import DRAINING, LEVEL, REFILL
from assistant.reckoning.catalogue.fluids import COOLANT, DILUTION, EXPANSION, VISCOSITY
from assistant.reckoning.catalogue.planning import DUE, POURING, UNITS
from assistant.reckoning.catalogue.tools import TORQUE, WARMING

__all__ = ["CATALOGUE", "GROUPS", "Computation", "Result"]

GROUPS: Mapping[str, tuple[Computation, ...]] = MappingProxyType(
    {
        "refill": REFILL,
        "level": LEVEL,
        "draining": DRAINING,
        "dilution": DILUTION,
        "warming": WARMING,
        "torque": TORQUE,
        "expansion": EXPANSION,
        "viscosity": VISCOSITY,
        "coolant": COOLANT,
        "pouring": POURING,
        "due": DUE,
        "units": UNITS,
    }
)
"""Subject -> its computations, in the order they are listed."""

CATALOGUE: Mapping[str, Computation] = MappingProxyType(
    {computation.name: computation for group in GROUPS.values() for computation in group}
)
"""Name -> computation."""
