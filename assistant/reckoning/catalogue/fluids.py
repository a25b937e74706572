"""Fluids: expansion, viscosity, classes, how much is old, coolant mixtures."""

from __future__ import annotations

from assistant.reckoning import coolant, dilution, expansion, fluid_class, viscosity
from assistant.reckoning.catalogue.computation import DENSITY, Computation, may, need

_SHARES = (may("old", "share", "wanted old share"), may("new", "share", "wanted new share"))

DILUTION: tuple[Computation, ...] = (
    Computation(
        "old-left",
        "how much of it is old",
        dilution.old_left,
        (need("capacity", "volume"), need("drained", "volume", many=True, argument="drains")),
    ),
    Computation(
        "cycles",
        "how many changes to a wanted share",
        dilution.cycles,
        (need("capacity", "volume"), need("drain", "volume", "each time"), *_SHARES),
    ),
    Computation(
        "drum",
        "how far a stock of new fluid goes",
        dilution.drum,
        (
            need("stock", "volume"),
            need("capacity", "volume"),
            need("drain", "volume", "each time"),
            *_SHARES,
        ),
    ),
    Computation(
        "line-exchange",
        "what an exchange through the lines leaves",
        dilution.line_exchange,
        (need("capacity", "volume"), need("volume", "volume", "pumped through")),
    ),
    Computation(
        "exchange-volume",
        "what an exchange through the lines takes",
        dilution.exchange_volume,
        (need("capacity", "volume"), need("old", "share"), may("flow", "flow")),
    ),
)
EXPANSION: tuple[Computation, ...] = (
    Computation(
        "oil-volume",
        "what oil takes at another temperature",
        expansion.oil,
        (need("volume", "volume"), need("at", "temperature"), need("to", "temperature"), DENSITY),
    ),
    Computation(
        "oil-factor",
        "the volume correction factor of an oil",
        expansion.factor,
        (need("at", "temperature"), DENSITY),
    ),
    Computation(
        "coolant-volume",
        "what half-glycol coolant takes at another temperature",
        expansion.coolant,
        (need("volume", "volume"), need("at", "temperature"), need("to", "temperature")),
    ),
    Computation(
        "water-volume",
        "what water takes at another temperature",
        expansion.water,
        (need("volume", "volume"), need("at", "temperature"), need("to", "temperature")),
    ),
)

VISCOSITY: tuple[Computation, ...] = (
    Computation(
        "viscosity",
        "the viscosity at a temperature from two points",
        viscosity.course,
        (
            need("at", "temperature"),
            need("first", "viscosity", "at 40 °C"),
            need("second", "viscosity", "at 100 °C"),
            may("first-at", "temperature", "another than 40 °C"),
            may("second-at", "temperature", "another than 100 °C"),
        ),
    ),
    Computation(
        "viscosity-index",
        "the viscosity index",
        viscosity.index,
        (need("at40", "viscosity", "at 40 °C"), need("at100", "viscosity", "at 100 °C")),
    ),
    Computation(
        "blend",
        "the viscosity of a mixture",
        viscosity.blend,
        (
            need(
                "part",
                "viscosity",
                many=True,
                argument="parts",
                beside=need("amount", "amount", "a volume or share"),
            ),
        ),
    ),
    Computation(
        "of-class",
        "whether a fluid is of the class asked for",
        fluid_class.of_class,
        (
            need("table", "word", choices=("gear", "engine", "industrial")),
            need("grade", "text", "such as 75W-90"),
            need("viscosity", "viscosity", "at 100 °C, industrial at 40 °C"),
        ),
    ),
)
COOLANT: tuple[Computation, ...] = (
    Computation(
        "concentrate",
        "concentrate and water for a share, in a system partly drained",
        coolant.concentrate,
        (
            need("capacity", "volume"),
            need("drained", "volume"),
            need("target", "share"),
            may("left", "share", "in the system, 0 % when not given"),
            may("supply", "share", "of what is poured, 100 % when not given"),
        ),
    ),
    Computation(
        "fresh-coolant",
        "concentrate and water for a fresh mixture",
        coolant.fresh,
        (need("amount", "volume"), need("target", "share"), may("supply", "share")),
    ),
    Computation(
        "coolant-exchange",
        "how much to take out and replace for another share",
        coolant.exchange,
        (
            need("amount", "volume"),
            need("now", "share"),
            need("target", "share"),
            may("supply", "share", "of what goes in, 100 % when not given"),
        ),
    ),
    Computation(
        "coolant-taken",
        "whether air is trapped after refilling",
        coolant.taken,
        (need("drained", "volume"), need("poured", "volume", "what it took back")),
    ),
    Computation(
        "by-weight",
        "concentrate for a share by weight",
        coolant.by_weight,
        (
            need("amount", "volume"),
            need("target", "share"),
            need("density-ratio", "number", "concentrate over water"),
        ),
    ),
)
