"""What the running job would await when a sentence is said, as `expectation_of` widens it."""

from __future__ import annotations

from assistant.commands.understanding import SANE, VOLUME_KINDS
from assistant.grammar.judgement import Expectation
from assistant.grammar.meaning import KINDS

COLD = Expectation(windows=SANE)
"""Nothing is awaited."""
_ASKED = ("yes", "no", "correction")
_STEP = ("running", "done", "next")
_READINGS = (*VOLUME_KINDS, "number")
_TAILS = ("unit-tail", "decimal-tail")


def awaited(kind: str) -> Expectation:
    """Return what is awaited at the moment a sentence of `kind` is said.

    An answer comes after its question, a reading where it is asked for, everything else in a step that
    waits for a volume or for "done". With kind "" (talk) a question stands open: the hardest moment.
    """
    if kind in ("yes", "no", ""):
        kinds = {*_ASKED, *_READINGS}
    elif kind in _STEP:
        kinds = {*_STEP, "drained"}
    elif kind in KINDS and (KINDS[kind].units or kind in ("number", *_TAILS)):
        kinds = {kind, "done", "next"}
    else:
        kinds = {kind, *_STEP, "drained"}
    if kinds & {*VOLUME_KINDS, "correction"}:
        kinds |= {"amount", *VOLUME_KINDS, "number"}
    if any(KINDS[one].units for one in kinds if one in KINDS):
        kinds.add("number")
    if kind in _TAILS or kinds & {*_ASKED}:
        kinds |= set(_TAILS)
    return Expectation(awaiting=tuple(sorted(kinds)), windows=SANE)
