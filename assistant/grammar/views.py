"""Several views of one utterance: when another is worth taking, and what they say together.

A view is the list of alternatives of one decoding of the same sound. Views err differently, so that two
agreeing say more than one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from math import exp, log

from assistant.grammar.graph import UNKNOWN
from assistant.grammar.judgement import (
    ALWAYS,
    Alternative,
    Conditions,
    Decision,
    Parse,
    Thresholds,
    Understood,
    is_reading,
)
from assistant.grammar.meaning import Meaning

_SETTLED = frozenset({"not-now", "implausible", "trap", "empty"})
"""Reasons that another view of the sound would not change."""
_UNSEEN = 1e-4
"""Probability of what one view has and another has not: not zero, as lists are cut off."""

READ_BACK = frozenset({"level"})
"""Kinds that are read back though they may hold no number: "on the hot mark"."""


def look_again(decision: Decision, thresholds: Thresholds | None = None) -> bool:
    """Say whether another view of the sound may settle what this one left open: near enough to a decision."""
    limits = thresholds or Thresholds()
    if decision.share < limits.look_again:
        return False
    if isinstance(decision, Understood):
        return decision.doubtful
    return decision.no_match.reason not in _SETTLED


def to_be_borne_out(decision: Decision, sound: Conditions, thresholds: Thresholds | None = None) -> bool:
    """Say whether another view must bear this out: taken at once and not quite certain, or of a narrow band.

    Whatever was put right in the same breath ("four no five litres") must be, too: that is seldom said, and
    talk is fitted to it easily.
    """
    limits = thresholds or Thresholds()
    if not isinstance(decision, Understood) or decision.doubtful or decision.meaning.kind in ALWAYS:
        return False
    if decision.meaning.slot("repaired") or sound.narrow:
        return True
    in_noise = sound.peak_db - sound.noise_db < limits.clear
    return decision.share < (limits.certain_in_noise if in_noise else limits.certain)


def borne_out(
    decision: Understood,
    clean: Iterable[Alternative],
    again: Callable[[], Iterable[Alternative]],
    parse: Parse,
    thresholds: Thresholds | None = None,
) -> bool:
    """Say whether other views bear out what was understood.

    `clean` is the view without the noise, empty where there is none: its mistakes are others, so its word
    counts alone where it is plain. `again` gives the same sound heard once more, its voice known by then; it
    costs most and is asked for only where that is open.
    """
    limits, views = thresholds or Thresholds(), tuple(clean)
    if views:
        share = share_in(views, decision.meaning, parse)
        if share >= limits.sure:
            return True
        if share < limits.not_noise and decision.share < limits.certain:
            return False
    share = share_in(again(), decision.meaning, parse)
    read_back = is_reading(decision.meaning) or decision.meaning.kind in READ_BACK
    unsure = not read_back and decision.share < limits.sure_command
    # A command is not read back, so what is less than sure must be likely in both.
    return share * decision.share >= limits.command if unsure else share >= limits.borne_out


def share_in(view: Iterable[Alternative], meaning: Meaning, parse: Parse) -> float:
    """Return the probability of a meaning in one view."""
    return _by_meaning(tuple(view), parse).get(meaning, ("", 0.0))[1]


def combined(views: Sequence[Iterable[Alternative]], parse: Parse) -> tuple[Alternative, ...]:
    """Return several views of one sound as one list: the geometric mean of what each meaning has in all."""
    tables = [_by_meaning(tuple(view), parse) for view in views]
    words: dict[Meaning | str, str] = {}
    for table in tables:
        for meaning, (said, _) in table.items():
            words.setdefault(meaning, said)
    both = [
        Alternative(
            said, sum(log(max(table.get(meaning, ("", 0.0))[1], _UNSEEN)) for table in tables) / len(tables)
        )
        for meaning, said in words.items()
    ]
    return tuple(sorted(both, key=lambda each: (-each.score, each.words)))


def _by_meaning(
    alternatives: tuple[Alternative, ...], parse: Parse
) -> dict[Meaning | str, tuple[str, float]]:
    """Return what is meant, or the words where nothing is -> (likeliest words, probability)."""
    found: dict[Meaning | str, tuple[str, float]] = {}
    if not alternatives:
        return found
    top = max(each.score for each in alternatives)
    total = sum(exp(each.score - top) for each in alternatives)
    for each in sorted(alternatives, key=lambda one: (-one.score, one.words)):
        known = each.words and UNKNOWN not in each.words.split()
        meant = parse(each.words) if known else None
        key = meant if isinstance(meant, Meaning) else each.words
        words, had = found.get(key, (each.words, 0.0))
        found[key] = (words, had + exp(each.score - top) / total)
    return found
