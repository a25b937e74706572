"""The English card: the sentences of the grammar on one printable page, in groups of the trade's words."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence

LINES, COLUMNS = 66, 100
"""A page of A4 or letter paper at ten characters to the inch, six lines to the inch."""
GAP = 2
MIDDLE = (COLUMNS - GAP) // 2

TITLE = "WHAT TO SAY"
ADVICE: tuple[str, ...] = (
    "One sentence at a time, in your own voice; a short pause ends it. Other words are not heard.",
    "Number first, then its unit. Torque, temperature and distance go digit by digit: {three five "
    "newton metres}. Thirteen and thirty sound alike; {one three litres} and {three zero litres} do not.",
    "Decimals with point, below one with nought: {drained four point two litres}, "
    "{another nought point six litres}. Letters by the spelling alphabet: {hand over to alpha bravo}.",
    "Everything is read back. Wrong? {disregard last}, or say it anew after the word correction: "
    "{correction second can nought point eight litres}.",
)
"""How to speak; a sentence in braces is one the grammar takes, and is printed in quotes."""

GROUPS: Mapping[str, tuple[str, ...]] = {
    "STOP AND TROUBLE": ("emergency", "happened"),
    "ANSWERS": ("yes", "no", "all-clear", "done", "running", "which-form", "which-system", "which-plug"),
    "THROUGH THE JOB": (
        "next", "back", "say-again", "in-full", "where", "skip", "stand-by", "im-back", "ear", "manner",
        "switch-unit",        "hand-over", "initials", "park", "finish",
    ),
    "PUTTING IT RIGHT": ("disregard", "what-heard", "list-words", "caution"),
    "QUESTIONS": (
        "how-long", "how-much-out", "how-much-in", "how-much-to-go", "how-sure",
        "which-torque", "which-tool", "which-fluid",
    ),
    "VEHICLE": ("plate", "distance", "last-service", "plan"),
    "RECKONED ON THE SPOT": (
        "how-much-old", "how-many-changes", "convert-torque", "which-setting", "warm-enough",
        "level-should-read", "how-long-until", "worth-waiting", "leak-rate", "what-is-owed", "what-to-buy",
        "pour-plan", "next-service", "how-much-concentrate", "of-class", "convert", "reckon", "figure",
    ),
    "FLUID OUT AND IN": ("drained", "poured", "amount", "can-left", "spilled"),
    "TEMPERATURE AND LEVEL": ("temperature", "temperature-band", "level", "share"),
    "PLUG, WASHER, TORQUE": ("torque", "washer", "gasket", "bolt-round", "bolt"),
    "LOOK, MAGNET, DRIP": ("look", "magnet", "drip", "drip-state"),
    "TIMERS AND NOTES": ("timer-start", "timer-stop", "note"),
    "BEGINNING": ("new-job", "resume-job", "quick-job", "choice"),
}  # fmt: skip
"""Heading -> kinds of meaning, in the order of the page."""
OTHER = "OTHER"
RUN_ON = frozenset(
    {
        "VEHICLE", "QUESTIONS", "RECKONED ON THE SPOT", "PLUG, WASHER, TORQUE", "LOOK, MAGNET, DRIP",
        "TEMPERATURE AND LEVEL", "BEGINNING",
    }
)  # fmt: skip
"""Groups whose kinds are told one after the other, to save lines."""


def page(phrases: Mapping[str, Sequence[str]]) -> str:
    """Return the card of these sentences (kind -> sentences), at most `LINES` lines of `COLUMNS`."""
    top = [TITLE, ""]
    for advice in ADVICE:
        top += textwrap.wrap(advice.replace("{", '"').replace("}", '"'), COLUMNS)
    blocks = [_block(heading, kinds, phrases) for heading, kinds in grouped(phrases).items()]
    left, right = _halves(blocks)
    height = max(len(left), len(right))
    rows = zip(left + [""] * (height - len(left)), right + [""] * (height - len(right)), strict=True)
    return "\n".join([*top, "", *(f"{one:<{MIDDLE + GAP}}{other}".rstrip() for one, other in rows)])


def grouped(phrases: Mapping[str, Sequence[str]]) -> Mapping[str, tuple[str, ...]]:
    """Return heading -> kinds that have sentences; a kind without a group comes last, none is left out."""
    known = {kind for kinds in GROUPS.values() for kind in kinds}
    groups = {**GROUPS, OTHER: tuple(kind for kind in phrases if kind not in known)}
    present = {heading: tuple(kind for kind in kinds if kind in phrases) for heading, kinds in groups.items()}
    return {heading: kinds for heading, kinds in present.items() if kinds}


def _block(heading: str, kinds: Sequence[str], phrases: Mapping[str, Sequence[str]]) -> list[str]:
    lines = [heading]
    each = [" / ".join(dict.fromkeys(phrases[kind])) for kind in kinds]
    for told in [" / ".join(each)] if heading in RUN_ON else each:
        lines += textwrap.wrap(told, MIDDLE, initial_indent="  ", subsequent_indent="    ")
    return [*lines, ""]


def _halves(blocks: Sequence[list[str]]) -> tuple[list[str], list[str]]:
    """Part the blocks, in order, into two columns whose heights differ least."""
    sizes = [len(block) for block in blocks]
    cut = min(range(1, len(blocks) + 1), key=lambda at: max(sum(sizes[:at]), sum(sizes[at:])))
    left, right = ([line for block in part for line in block] for part in (blocks[:cut], blocks[cut:]))
    return left, right
