"""What an utterance can mean: the `Meaning` value and the catalogue of its kinds.

The catalogue is the contract between the grammars (which produce meanings) and the dialogue (which
acts on them). A grammar whose tags name a kind, a slot or a slot value that is not here is refused.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

VOLUME_UNITS = (
    "litre", "millilitre",
    "us_quart", "imperial_quart", "quart",
    "us_pint", "imperial_pint", "pint",
    "us_gallon", "imperial_gallon", "gallon",
    "us_fluid_ounce", "imperial_fluid_ounce", "fluid_ounce",
    "cup",
)  # fmt: skip
"""Spoken units of volume. The bare names (quart, pint, gallon, fluid_ounce) are not settled between
US and imperial: whoever uses one must ask first."""
TEMPERATURE_UNITS = ("celsius", "fahrenheit", "degree")
"""`degree` is not settled between Celsius and Fahrenheit."""
TORQUE_UNITS = ("newton_metre", "pound_foot", "pound_inch")
DURATION_UNITS = ("second", "minute", "hour")
LENGTH_UNITS = ("millimetre", "centimetre")
DISTANCE_UNITS = ("kilometre", "mile")
SHARE_UNITS = ("percent",)


@dataclass(frozen=True, slots=True)
class Meaning:
    """One thing said: its kind, an exact number as a decimal string, its spoken unit, and slots."""

    kind: str
    value: str | None = None
    unit: str | None = None
    slots: tuple[tuple[str, str], ...] = ()
    """Sorted (name, value) pairs."""

    def slot(self, name: str, default: str = "") -> str:
        """Return the value of slot `name`, or `default` where the sentence did not fill it."""
        return dict(self.slots).get(name, default)


@dataclass(frozen=True, slots=True)
class NoMatch:
    """Nothing the grammar can act on; `reason` is one of `REASONS`."""

    reason: str
    words: str = ""


REASONS = (
    "empty", "talk", "unknown", "trap", "torn", "lost", "implausible", "noisy", "quiet", "loud", "not-now",
)  # fmt: skip
"""empty: nothing heard; talk: speech that is not for the assistant; unknown: outside the grammar;
trap: a form known to be unsafe ("oh point five"); torn: incomplete or several meanings too close; lost: a
piece of its sound never arrived; implausible: no sane value; noisy, quiet, loud: the sound, not the words;
not-now: a known sentence that has no use at this moment."""


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of meaning: the units its value may have and the values of its slots."""

    units: tuple[str, ...] = ()
    """Empty: the kind carries no number, unless `count` is set."""
    count: bool = False
    """The value is a bare whole number without unit."""
    needs_value: bool = False
    """A meaning of this kind always carries a value (it may still lack the unit)."""
    slots: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """Slot name -> allowed values; `("*",)` allows any text built from spelled letters and digits,
    `NUMBER` any number."""


ORDINALS = ("1", "2", "3", "4", "5", "6")
_FORM: Mapping[str, tuple[str, ...]] = {
    "form": ("bare", "part", "another", "total"),
    "can": ORDINALS,
    "correcting": ("yes",),
    "repaired": ("yes",),
    "about": ("yes",),
}
_FIX: Mapping[str, tuple[str, ...]] = {"correcting": ("yes",), "repaired": ("yes",)}
_SETTABLE: Mapping[str, tuple[str, ...]] = {"correcting": ("yes",)}
FIGURES_TOLD = (
    "capacity", "container", "stock", "wrench-length", "service-interval", "coolant-left", "coolant-share",
    "wrench-range", "wrench-tolerance", "bolt-count", "pan-bolt-torque", "bolt-diameter", "friction",
    "fluid-viscosity", "fluid-viscosity-40", "old-viscosity", "hole", "pan-area", "wall", "density-ratio",
    "service-months", "service-due", "distance-a-year",
)  # fmt: skip
RECKONED = (
    "wrench-fits", "torque-band", "torque-check", "preload",
    "viscosity", "viscosity-index", "blend", "oil-volume", "oil-factor",
    "fresh-coolant", "coolant-exchange", "coolant-taken", "by-weight",
    "line-exchange", "exchange-volume", "drum",
    "temperature-after", "surroundings",
    "drip-rate", "time-to-drain", "clinging", "warm-against-cold",
    "level-offset", "level-shift", "pan-volume", "level-to-add", "overflow", "believe",
    "must-stop", "plausible-amount", "mixed-up", "first-pour", "due-on", "distance-left",
)  # fmt: skip
"""Computations that are asked for by name; the others have a kind of their own."""
SPOKEN_ONLY_UNITS = ("one", "centistokes", "square_centimetre", "month")
"""Units of figures whose name is not said: the sentence settles them."""
NUMBER = ("#",)
"""Of a slot: any number, as a decimal string."""
TIMER_NAMES = ("drain", "drip", "cooling", "warming", "wait", "washing")
PLUGS = ("drain", "fill", "overflow")
UNIT_NAMES = (
    "engine", "gearbox", "transfer-case", "front-differential", "rear-differential", "cooling-system",
    "steering", "hubs",
)  # fmt: skip
"""Units of a vehicle a mechanic may switch to; the keys of `[units]` of a procedure."""
TIMED_UNITS = UNIT_NAMES[:6]
"""Units that drain by a timer of their own."""
HAPPENINGS = (
    "plug-stuck", "plug-rounded", "plug-spins", "plug-dropped",
    "gushing", "pan-full", "will-not-take", "runs-back",
    "stick-missing", "stick-unreadable", "no-thermometer",
    "wrong-vehicle", "wrong-unit", "part-missing", "plate-unreadable",
    "drip-endless", "leak", "nothing-comes", "tube-blocked", "spilled-unknown",
    "lamp-stays", "air-comes", "gasket-out", "filter-stuck",
)  # fmt: skip

KINDS: Mapping[str, Kind] = MappingProxyType(
    {
        # answers
        "yes": Kind(),
        "no": Kind(),
        "all-clear": Kind(),  # "all clear", "everyone clear": the answer to the engine gate
        # "done", "ready", "that is done", "engine is off": this step is complete
        "done": Kind(slots={"says": ("engine-off", "on-stands", "on-wheels", "cap-open", "cap-shut")}),
        "running": Kind(
            slots={"says": ("engine-on",)}
        ),  # "running", "it is running": fluid runs, engine runs
        "which-system": Kind(slots={"system": ("us", "imperial")}),  # "US", "imperial" alone
        # "one more", "in all", "instead"
        "which-form": Kind(slots={"form": ("another", "total", "instead")}),
        "which-plug": Kind(slots={"plug": PLUGS}),
        # commands
        "next": Kind(),
        "back": Kind(),
        "say-again": Kind(),
        "in-full": Kind(),
        "where": Kind(),
        "stand-by": Kind(),
        "im-back": Kind(),
        "skip": Kind(slots={"reason": ("not-needed", "no-tool", "no-part", "done-before", "later")}),
        "how-long": Kind(slots={"name": TIMER_NAMES, "of": TIMED_UNITS}),
        "how-much-out": Kind(),
        "how-much-in": Kind(),
        "how-much-to-go": Kind(),
        "how-sure": Kind(),
        "which-torque": Kind(slots={"plug": ("drain", "fill"), "in": TORQUE_UNITS}),
        # questions that are reckoned
        "how-much-old": Kind(),
        "how-many-changes": Kind(units=SHARE_UNITS, slots={"of": ("new", "old")}),
        "convert-torque": Kind(units=TORQUE_UNITS, needs_value=True, slots={"in": TORQUE_UNITS}),
        "which-setting": Kind(units=LENGTH_UNITS, slots={"plug": ("drain", "fill")}),  # an adapter
        "warm-enough": Kind(),
        "level-should-read": Kind(),
        "how-long-until": Kind(units=TEMPERATURE_UNITS, slots={"goal": ("warm", "cool")}),
        "worth-waiting": Kind(),
        "leak-rate": Kind(),
        "what-is-owed": Kind(),
        "what-to-buy": Kind(),
        "pour-plan": Kind(),
        "next-service": Kind(),
        "last-service": Kind(),
        "plan": Kind(),  # what the job needs: tools, parts, fluids, room for the old, time
        "how-much-concentrate": Kind(units=SHARE_UNITS),
        "of-class": Kind(),
        "convert": Kind(
            units=(*VOLUME_UNITS, *TEMPERATURE_UNITS),
            needs_value=True,
            slots={"in": (*(unit for unit in VOLUME_UNITS if unit != "cup"), "celsius", "fahrenheit")},
        ),
        "reckon": Kind(  # any other computation, by its name
            units=(
                *VOLUME_UNITS,
                *TEMPERATURE_UNITS,
                *TORQUE_UNITS,
                *SHARE_UNITS,
                *LENGTH_UNITS,
                *DURATION_UNITS,
            ),
            slots={
                "name": RECKONED,
                "first": NUMBER,  # of two numbers
                "first-unit": (*VOLUME_UNITS, *SHARE_UNITS),
                "fluid": ("coolant", "water"),
                "of": ("new", "old"),
                "plug": ("drain", "fill"),
            },
        ),
        "bolt": Kind(count=True, needs_value=True),  # "bolt one", said when it is tight
        "bolt-round": Kind(count=True, slots={"do": ("begin", "next", "done")}),
        "which-tool": Kind(),
        "which-fluid": Kind(),
        "what-heard": Kind(),
        "list-words": Kind(),
        "caution": Kind(),  # "cautions again"
        "disregard": Kind(),
        "note": Kind(),
        "timer-start": Kind(units=DURATION_UNITS, needs_value=True, slots={"name": TIMER_NAMES}),
        "timer-stop": Kind(slots={"name": TIMER_NAMES, "of": TIMED_UNITS}),
        "finish": Kind(),
        "manner": Kind(slots={"change": ("louder", "softer", "slower", "faster")}),  # how the voice speaks
        "ear": Kind(slots={"state": ("open", "closed")}),  # whether talk is listened to
        "park": Kind(),  # "park the job": leave it, with a tag on the vehicle
        "switch-unit": Kind(slots={"to": UNIT_NAMES}),
        "hand-over": Kind(slots={"who": ("*",)}),  # initials in the spelling alphabet
        "initials": Kind(slots={"who": ("*",)}),  # who works on the job
        "emergency": Kind(),
        # starting by voice
        "new-job": Kind(),
        "resume-job": Kind(),
        "quick-job": Kind(),
        "choice": Kind(count=True, needs_value=True),  # "number two"
        # readings of fluid
        "drained": Kind(units=VOLUME_UNITS, needs_value=True, slots=_FORM),
        "poured": Kind(units=VOLUME_UNITS, needs_value=True, slots=_FORM),
        "amount": Kind(units=VOLUME_UNITS, needs_value=True, slots=_FORM),  # what it is of: the step
        "can-left": Kind(units=VOLUME_UNITS, needs_value=True, slots=_FIX),
        "spilled": Kind(units=VOLUME_UNITS, needs_value=True, slots=_FORM),
        # other readings
        "number": Kind(count=True, needs_value=True, slots=_FIX),  # a bare number, decimals allowed
        "temperature": Kind(units=TEMPERATURE_UNITS, needs_value=True, slots=_FIX),
        "temperature-band": Kind(slots={"band": ("cold", "warm", "hot"), **_SETTABLE}),
        "level": Kind(
            units=(*LENGTH_UNITS, *VOLUME_UNITS),
            slots={
                "place": ("at", "above", "below", "between", "off-low", "off-high"),
                "mark": ("hot", "cold", "full", "low"),
                "share": ("quarter", "half", "three-quarters"),  # of the way from low to full mark
                **_FIX,
            },
        ),
        "torque": Kind(units=TORQUE_UNITS, needs_value=True, slots={"plug": PLUGS, **_FIX}),
        "drip": Kind(units=DURATION_UNITS, needs_value=True, slots=_FIX),  # seconds between drops
        "drip-state": Kind(slots={"state": ("stopped", "drops", "thin-stream", "stream"), **_SETTABLE}),
        "look": Kind(
            slots={
                "colour": ("red", "pink", "brown", "black", "milky", "green", "honey"),
                "state": ("clear", "cloudy", "foaming"),
                "smell": ("none", "burnt", "fuel"),
                **_SETTABLE,
            }
        ),
        "magnet": Kind(
            slots={"find": ("clean", "fuzz", "flakes", "chips", "brass", "none-fitted"), **_SETTABLE}
        ),
        "washer": Kind(slots={"state": ("on-plug", "on-pan", "missing", "new-on"), **_SETTABLE}),
        "gasket": Kind(slots={"state": ("off", "stuck", "missing"), **_SETTABLE}),
        "share": Kind(units=SHARE_UNITS, needs_value=True, slots=_FIX),  # concentrate in a coolant
        "distance": Kind(units=DISTANCE_UNITS, needs_value=True, slots=_FIX),
        "plate": Kind(slots={"code": ("*",), **_SETTABLE}),
        # a figure no sheet knows, or that the sheet lacks
        "figure": Kind(
            units=(
                *VOLUME_UNITS,
                *LENGTH_UNITS,
                *DISTANCE_UNITS,
                *SHARE_UNITS,
                *TORQUE_UNITS,
                *SPOKEN_ONLY_UNITS,
            ),
            needs_value=True,
            slots={"name": FIGURES_TOLD, "first": NUMBER, **_SETTABLE},
        ),
        "happened": Kind(slots={"what": HAPPENINGS}),
        "vague": Kind(slots={"of": ("level", "amount", "torque")}),  # "a touch low": ask for a number
        # late tails, only just after a reading
        "unit-tail": Kind(units=(*VOLUME_UNITS, *TEMPERATURE_UNITS, *TORQUE_UNITS)),
        "decimal-tail": Kind(count=True, needs_value=True, slots=_FIX),
        # known, never acted on
        "trap": Kind(),
    }
)
