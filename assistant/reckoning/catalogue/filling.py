"""Draining, filling and levels: what is out, what goes in, and whether it is right."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.reckoning import balance, draining, level, refill
from assistant.reckoning.catalogue.computation import (
    DENSITY,
    DROP,
    INTERVAL,
    SPAN,
    SPAN_MM,
    Computation,
    Result,
    may,
    need,
)
from assistant.units import Measure


def _by_unit(pairs: Sequence[tuple[Measure, str]]) -> dict[str, list[Measure]]:
    """Return amounts by the unit they came out of or went into."""
    found: dict[str, list[Measure]] = {}
    for amount, unit in pairs:
        found.setdefault(unit, []).append(amount)
    return found


def _untangle(*, drained: Sequence[tuple[Measure, str]], poured: Sequence[tuple[Measure, str]]) -> Result:
    """Return the balances of `balance.mixed_up` for (amount, unit) pairs."""
    return balance.mixed_up(drained=_by_unit(drained), poured=_by_unit(poured))


_POUR_AT = may("pour-at", "temperature", "of the new fluid, 20 °C when not given")
_AT_OF_PART = may("at", "temperature", "it had when measured")
_WINDOW = (need("temperature", "temperature"), need("low", "temperature"), need("high", "temperature"))
_SPILLED_NEW = may("spilled-new", "volume", "new fluid that missed", many=True, about=True)
_DRIP = (
    INTERVAL,
    need("since-drops", "duration", "since the stream broke into drops"),
    DROP,
    may("wait", "duration", "a further wait, 10 min when not given"),
)

REFILL: tuple[Computation, ...] = (
    Computation(
        "refill",
        "how much new fluid goes in for what came out",
        refill.refill,
        (
            need("drained", "volume", "a part", many=True, beside=_AT_OF_PART, argument="parts"),
            may("level-before", "volume", "signed: -0.2 L was low by 0.2 L"),
            may("spilled", "volume", "old fluid not measured", many=True, about=True, argument="spills"),
            may("residue", "volume", "in filter or pan", many=True),
            DENSITY,
            _POUR_AT,
        ),
    ),
    Computation(
        "balance",
        "what this unit is still owed",
        balance.balance,
        (
            need("drained", "volume", "a part", many=True, beside=_AT_OF_PART),
            may("poured", "volume", "a part", many=True, beside=_AT_OF_PART),
            _SPILLED_NEW,
            DENSITY,
            _POUR_AT,
        ),
    ),
    Computation(
        "to-go",
        "what is left to pour",
        balance.still_to_pour,
        (need("refill", "volume"), may("poured", "volume", many=True), _SPILLED_NEW),
    ),
    Computation(
        "must-stop",
        "whether pouring must stop",
        balance.must_stop,
        (
            need("refill", "volume"),
            need("poured", "volume", many=True),
            may("capacity", "volume", "at most"),
            may("takes-it", "yes-no", "whether it still takes fluid"),
        ),
    ),
    Computation(
        "plausible-amount",
        "whether an amount is what is to be expected",
        refill.plausible_amount,
        (
            need("amount", "volume"),
            need("expected", "volume"),
            may("tolerance", "amount", "a share or a volume, 30 % when not given"),
        ),
    ),
    Computation(
        "mixed-up",
        "what each unit is owed after a wrong plug was opened",
        _untangle,
        (
            need("drained", "volume", many=True, beside=need("from", "text", "the unit")),
            may("poured", "volume", many=True, beside=need("into", "text", "the unit")),
        ),
    ),
)
LEVEL: tuple[Computation, ...] = (
    Computation(
        "level-offset",
        "how far the level is from full, as a volume",
        level.offset,
        (
            need("place", "word", "where the fluid stands", choices=level.PLACES),
            SPAN,
            SPAN_MM,
            may("amount", "amount", "from the mark"),
            may("mark", "word", "full when not given", choices=("hot", "cold", "full", "low")),
            may("share", "word", "of the way up, between the marks", choices=tuple(level.SHARES)),
        ),
    ),
    Computation(
        "level-shift",
        "how the level moves from one temperature to another",
        level.shift,
        (
            need("volume", "volume", "in the unit"),
            need("at", "temperature"),
            need("to", "temperature"),
            may("span-litres", "volume", "between the marks"),
            SPAN_MM,
            DENSITY,
        ),
    ),
    Computation(
        "level-should-read",
        "what the level should read at a temperature",
        level.should_read,
        (
            need("temperature", "temperature"),
            need("full-at", "temperature", "where the mark is right"),
            need("volume", "volume", "in the unit when full"),
            may("span-litres", "volume", "between the marks"),
            SPAN_MM,
            DENSITY,
        ),
    ),
    Computation(
        "pan-volume",
        "what a height in a pan stands for",
        level.of_pan,
        (need("area", "area"), need("height", "length")),
    ),
    Computation(
        "level-to-add",
        "what moves the level from a reading to a target",
        level.add_or_drain,
        (
            need("reading", "length"),
            need("target", "length"),
            SPAN,
            need("span-mm", "length", "between the marks"),
        ),
    ),
    Computation("window", "whether it is warm enough to judge", level.window_verdict, _WINDOW),
    Computation(
        "overflow",
        "what an open level plug says",
        level.overflow,
        (
            *_WINDOW,
            need("engine", "word", choices=("running", "off")),
            need("flow", "word", choices=tuple(level.FLOWS)),
            may("caught", "volume", "what ran out so far"),
            may("too-much", "volume", "the amount that means overfilled"),
        ),
    ),
    Computation(
        "believe",
        "whether a reading off the stick can be believed",
        level.believe,
        (need("place", "word", many=True, choices=level.PLACES, argument="places"),),
    ),
)
DRAINING: tuple[Computation, ...] = (
    Computation("still-to-come", "what the drip says is still to come", draining.still_to_come, _DRIP),
    Computation(
        "worth-waiting",
        "whether waiting longer pays",
        draining.worth_waiting,
        (*_DRIP, may("worth", "volume", "worth a wait, 10 mL when not given")),
    ),
    Computation("drip-rate", "what a drip amounts to", draining.drip_rate, (INTERVAL, DROP)),
    Computation(
        "time-to-drain",
        "how long it takes at least",
        draining.time_to_drain,
        (
            need("area", "area", "plan area of the pan"),
            need("hole", "anything", "diameter, or area"),
            may("volume", "volume", "above the hole"),
            may("head", "length", "over the hole, instead of the volume"),
            may("head-left", "length"),
            may("discharge", "number", "0.6 when not given"),
        ),
    ),
    Computation(
        "clinging",
        "what film is still on a wall",
        draining.clinging,
        (
            need("width", "length"),
            need("height", "length"),
            need("viscosity", "viscosity"),
            need("after", "duration"),
        ),
    ),
    Computation(
        "warm-against-cold",
        "how much more clings when it is cold",
        draining.warm_against_cold,
        (need("warm", "viscosity", "its viscosity warm"), need("cold", "viscosity", "its viscosity cold")),
    ),
)
