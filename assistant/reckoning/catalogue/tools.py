"""Warming and torque: how long to wait, and what to set."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.reckoning import torque, warming
from assistant.reckoning.catalogue.computation import Computation, may, need
from assistant.reckoning.figure import Verdict
from assistant.units import Measure


def _tell_plug(*, torques: Sequence[tuple[str, Measure]], plug: str | None = None) -> Verdict:
    """Return the verdict of `torque.which_plug` for (plug, torque) pairs."""
    return torque.which_plug(torques=dict(torques), plug=plug)


_READINGS = need(
    "reading",
    "temperature",
    "read",
    many=True,
    argument="readings",
    beside=need("at", "duration", "its time"),
)
_AROUND = may("surroundings", "temperature", "what it tends to")

WARMING: tuple[Computation, ...] = (
    Computation(
        "time-until",
        "how long until a temperature",
        warming.time_until,
        (need("goal", "temperature"), _READINGS, _AROUND),
    ),
    Computation(
        "temperature-after",
        "how warm it will be after a wait",
        warming.temperature_after,
        (need("wait", "duration"), _READINGS, _AROUND),
    ),
    Computation(
        "surroundings",
        "what three readings tend to",
        warming.surroundings_from,
        (_READINGS,),
    ),
    Computation(
        "cool-down",
        "how long before it may be touched",
        warming.cool_down,
        (_READINGS, _AROUND, may("limit", "temperature", "60 °C when not given")),
    ),
)
TORQUE: tuple[Computation, ...] = (
    Computation(
        "torque",
        "a torque in another unit",
        torque.convert,
        (need("torque", "torque"), need("in", "unit", argument="unit")),
    ),
    Computation(
        "adapter",
        "what to set with an adapter on the wrench",
        torque.with_adapter,
        (
            need("torque", "torque", "wanted at the bolt"),
            need("length", "length", "hand to drive"),
            need("adapter", "length", "drive to bolt"),
            may("angle", "angle", "0 is straight on"),
        ),
    ),
    Computation(
        "torque-band",
        "what a wrench set to a torque really gives",
        torque.band,
        (need("torque", "torque"), may("tolerance", "anything"), may("wrench-max", "torque")),
    ),
    Computation(
        "wrench-fits",
        "whether a wrench's range holds a torque",
        torque.wrench_fits,
        (need("torque", "torque"), need("lowest", "torque"), need("highest", "torque")),
    ),
    Computation(
        "torque-check",
        "whether a torque said is the one in the sheet",
        torque.check,
        (need("said", "torque"), need("spec", "torque")),
    ),
    Computation(
        "which-plug",
        "which plug's torque is meant",
        _tell_plug,
        (
            need("of", "text", "a plug", many=True, argument="torques", beside=need("is", "torque")),
            may("plug", "text", "the one asked for"),
        ),
    ),
    Computation(
        "bolt-rounds",
        "the rounds of tightening",
        torque.bolt_rounds,
        (need("torque", "torque"), need("bolts", "count")),
    ),
    Computation(
        "preload",
        "the clamping force a torque gives, as a sanity check",
        torque.preload,
        (need("torque", "torque"), need("diameter", "length"), need("friction", "number")),
    ),
)
