"""English example sentences by kind of meaning, for "list the words"; and the shape of an answer."""

from __future__ import annotations

from collections.abc import Mapping

EXAMPLES: Mapping[str, tuple[str, ...]] = {
    "yes": ("affirmative", "yes"),
    "no": ("negative", "no"),
    "all-clear": ("all clear",),
    "done": ("that is done", "done"),
    "running": ("running",),
    "which-system": ("imperial", "american"),
    "which-form": ("one more", "in total", "instead"),
    "which-plug": ("drain plug", "fill plug"),
    "next": ("next step",),
    "back": ("step back",),
    "say-again": ("say again",),
    "in-full": ("in full",),
    "where": ("where are we",),
    "stand-by": ("stand by",),
    "im-back": ("i am back", "carry on"),
    "skip": ("skip this not needed", "skip this no tool", "skip this later"),
    "how-long": ("how long",),
    "how-much-out": ("how much out",),
    "how-much-in": ("how much in",),
    "how-much-to-go": ("how much to go",),
    "how-sure": ("how sure",),
    "which-torque": ("which torque",),
    "how-much-old": ("how much is old",),
    "how-many-changes": ("how many changes to get to nine zero percent",),
    "convert-torque": ("what does three five newton metres make in foot pounds",),
    "which-setting": ("what do i set with a five centimetre adapter",),
    "warm-enough": ("is it warm enough",),
    "level-should-read": ("what should the stick read",),
    "how-long-until": ("how long until five zero degrees", "when can i touch it"),
    "worth-waiting": ("is it worth waiting",),
    "leak-rate": ("how bad is the leak",),
    "what-is-owed": ("what is owed",),
    "what-to-buy": ("what do i buy",),
    "pour-plan": ("how much from each can",),
    "next-service": ("next service",),
    "how-much-concentrate": ("how much concentrate",),
    "of-class": ("is it the right class",),
    "figure": ("wrench is four zero centimetres long", "in stock four litres"),
    "which-tool": ("which tool",),
    "which-fluid": ("which fluid",),
    "what-heard": ("what did you hear",),
    "list-words": ("list the words",),
    "caution": ("cautions again",),
    "disregard": ("disregard last",),
    "note": ("take a note",),
    "timer-start": ("start timer ten minutes", "cooling timer five minutes"),
    "timer-stop": ("end the timer",),
    "finish": ("finish the job",),
    "park": ("park the job",),
    "hand-over": ("hand over to alpha bravo",),
    "emergency": ("emergency",),
    "new-job": ("new job",),
    "resume-job": ("resume the job",),
    "quick-job": ("quick job",),
    "choice": ("number two",),
    "drained": ("drained four point two litres",),
    "poured": ("poured one litre",),
    "amount": ("first can four litres", "another nought point six litres"),
    "can-left": ("can at two point four litres",),
    "spilled": ("spilled half a litre",),
    "number": ("four point two",),
    "temperature": ("five five degrees celsius",),
    "temperature-band": ("warm to the hand",),
    "level": ("on the hot mark", "five millimetres below the hot mark"),
    "torque": ("torque newton metres three five",),
    "drip": ("a drop every six seconds",),
    "drip-state": ("still dripping", "no more drips"),
    "look": ("red and clear",),
    "magnet": ("fine fuzz", "metal flakes"),
    "washer": ("old washer on the plug", "new washer on"),
    "gasket": ("old gasket is off",),
    "share": ("five zero percent",),
    "switch-unit": ("switch to the rear differential",),
    "distance": ("clock reads eight four two one zero kilometres",),
    "plate": ("plate reads alpha four seven two",),
    "happened": ("plug will not move", "there is a leak"),
    "unit-tail": ("litres",),
}
"""Kind of meaning -> sentences that mean it, the plainest first."""

SHAPES: Mapping[str, str] = {
    "drained": "a number, then its unit",
    "poured": "a number, then its unit",
    "amount": "a number, then its unit",
    "can-left": "the can, a number, then its unit",
    "spilled": "a number, then its unit",
    "number": "a number by itself",
    "temperature": "a number, then degrees and the scale",
    "temperature-band": "how it feels to the hand",
    "level": "the place on the stick, and how far",
    "torque": "the torque, digit by digit, and its unit",
    "drip": "a drop every so many seconds",
    "drip-state": "how the drip goes on",
    "look": "the colour, then how it looks",
    "magnet": "what sits on the magnet",
    "washer": "where the washer was",
    "gasket": "where the old gasket is",
    "share": "a number, then percent",
    "distance": "the clock, digit by digit",
    "plate": "the code, letter by letter",
    "yes": "agree to it, or turn it down",
    "all-clear": "tell me that everybody is away from it",
    "which-system": "the system of the unit",
    "which-form": "the total, more, or a replacement",
    "which-plug": "which of the plugs",
    "unit-tail": "the unit",
    "skip": "the reason for leaving it out",
    "im-back": "tell me that you are here",
    "running": "tell me once it flows or idles",
    "done": "tell me once this step is behind you",
}
"""Kind awaited -> what an answer looks like, told without being such an answer."""
DEFAULT_SHAPE = "a number, then its unit"
MOST_LISTED = 4
"""Examples spoken at once; more nobody remembers (common practice, no source)."""


def listed_examples(kinds: tuple[str, ...]) -> tuple[str, ...]:
    """Return one example per kind, the most wanted first, at most `MOST_LISTED`."""
    return tuple(EXAMPLES[kind][0] for kind in kinds if kind in EXAMPLES)[:MOST_LISTED]


def shape(kinds: tuple[str, ...]) -> str:
    """Return the shape of an answer of the kind awaited most."""
    return next((SHAPES[kind] for kind in kinds if kind in SHAPES), DEFAULT_SHAPE)
