"""Planning: containers, what to buy, the next service, what a leak loses; one unit into another."""

from __future__ import annotations

from assistant.reckoning import conversion, due, pouring
from assistant.reckoning.catalogue.computation import DROP, INTERVAL, Computation, may, need

POURING: tuple[Computation, ...] = (
    Computation(
        "pour-plan",
        "how much from each container",
        pouring.plan,
        (need("need", "volume"), need("at-hand", "volume", "a container", many=True)),
    ),
    Computation(
        "buy",
        "what to buy",
        pouring.buy,
        (
            need("need", "volume"),
            need("size", "volume", "of a container that is sold", many=True),
            may("at-hand", "volume", "a container", many=True),
        ),
    ),
    Computation(
        "first-pour", "what to pour before the first check", pouring.first_pour, (need("need", "volume"),)
    ),
)

UNITS: tuple[Computation, ...] = (
    Computation(
        "convert",
        "an amount in another unit",
        conversion.convert,
        (need("amount", "anything"), need("in", "unit", argument="unit")),
    ),
)

DUE: tuple[Computation, ...] = (
    Computation(
        "due-at",
        "the distance at which the next service is due",
        due.at_distance,
        (need("now", "distance"), need("every", "distance")),
    ),
    Computation(
        "due-on",
        "the date on which the next service is due",
        due.on_date,
        (
            need("on", "date", "of this service"),
            may("months", "months"),
            may("every", "distance"),
            may("yearly", "distance", "driven"),
        ),
    ),
    Computation(
        "distance-left",
        "how far it still is to the service",
        due.distance_left,
        (need("now", "distance"), need("due", "distance")),
    ),
    Computation(
        "leak-rate",
        "what a drip on the floor loses",
        due.leak_rate,
        (INTERVAL, DROP, may("reserve", "volume", "that may be lost")),
    ),
)
