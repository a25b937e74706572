"""From what a contestant heard to what the job would have done: taken, asked, refused, nothing, wrong."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from assistant.grammar import Meaning
from assistant.grammar.judgement import (
    Alternative,
    Conditions,
    Decision,
    Expectation,
    Refused,
    Thresholds,
    Understood,
    judge,
)
from assistant.job.commands import consequence
from assistant.job.reading import HIGH
from assistant.phrasing.en.twins import twin_value
from tests.benchmark.hearing.awaited import COLD, awaited
from tests.benchmark.hearing.commands import english
from tests.benchmark.hearing.contestants import Row
from tests.benchmark.hearing.running import Result

OUTCOMES = ("taken", "asked", "refused", "nothing", "wrong")
"""taken: the right meaning, at once; asked: "did you say ...", believed only after a yes, or "how much is
that?" when heard as an amount without a number; refused: to be said again; nothing: not noticed as speech;
wrong: another meaning taken at once. Where nothing may be understood, a question is wrong, too."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of one clip."""

    what: str
    heard: tuple[str, ...]
    """Words of every decision."""
    share: float
    decided: float | None
    """Seconds of the stream, of a clip rightly taken."""
    reason: str = ""


@cache
def parsed(words: str) -> Any:
    """Return what words mean, remembered."""
    return english().parse(words)


def decision_of(
    told: dict[str, Any], expectation: Expectation, thresholds: Thresholds | None = None
) -> Decision:
    """Return the decision about one kept utterance."""
    alternatives = [Alternative(words, score) for words, score in told["alternatives"]]
    sound = Conditions(**told["conditions"]) if told["conditions"] else None
    return judge(alternatives, parsed, expectation, sound, thresholds)


def believed(decision: Decision) -> bool:
    """Say whether the job would act on it without a yes."""
    if not isinstance(decision, Understood) or decision.doubtful:
        return False
    meaning = decision.meaning
    if meaning.value is None or twin_value(decision.words, parsed) is None:
        return True
    kind = "drained" if meaning.kind in ("amount", "number") else meaning.kind
    return consequence(kind, doubtful=False, twin=True, decides=False) != HIGH


def same(meaning: Meaning, wanted: Meaning | None) -> bool:
    """Say whether the job would do the same: "five litres" is what was drained where that is awaited."""
    if wanted is None:
        return False
    if meaning.kind == "amount" and wanted.kind in ("drained", "poured"):
        meaning = replace(meaning, kind=wanted.kind)
    return meaning == wanted


def outcome(result: Result, thresholds: Thresholds | None = None, *, cold: bool = False) -> Outcome:
    """Return what the job would have done with a clip, judged as it awaits it, or with nothing awaited."""
    clip = result.task.clip
    expectation = COLD if cold else awaited(clip.kind)
    decisions: list[tuple[Decision, float]] = []
    for told in result.row.utterances:
        if told["talk"]:
            continue
        if told["amends"] and decisions:
            decisions.pop()
        decisions.append((decision_of(told, expectation, thresholds), told["decided"]))
    return classified([one for one, _ in decisions], clip.words, [at for _, at in decisions], result.row)


def classified(decisions: list[Decision], words: str, decided: list[float], row: Row) -> Outcome:
    """Hold decisions against what was said; `words` is "" where nothing may be understood."""
    wanted = parsed(words) if words else None
    heard = tuple(one.words for one in decisions)
    share = max((one.share for one in decisions), default=0.0)
    right = [
        at
        for one, at in zip(decisions, decided, strict=True)
        if isinstance(one, Understood) and believed(one) and same(one.meaning, wanted)
    ]
    false = [
        one
        for one in decisions
        if isinstance(one, Understood) and believed(one) and not same(one.meaning, wanted)
        if wanted is None or one.meaning.kind != "vague"
    ]
    if false:
        return Outcome("wrong", heard, share, None)
    if right:
        return Outcome("taken", heard, share, right[-1])
    if any(isinstance(one, Understood) for one in decisions):  # doubtful, or vague
        return Outcome("asked", heard, share, None)
    if decisions:
        reasons = [one.no_match.reason for one in decisions if isinstance(one, Refused)]
        return Outcome("refused", heard, share, None, reasons[-1])
    return Outcome("nothing", heard, share, None, "talk" if row.utterances else "empty")


def changed(result: Result) -> bool | None:
    """Say whether deciding early changed the result; None where that was not tried.

    Changed is what was believed by one and is not the likeliest of the other. The whole of the sound is
    decoded once only, so whether it would be believed after a second decoding is not known.
    """
    whole = result.row.whole
    if whole is None or len(result.row.utterances) != 1:
        return None
    expectation = awaited(result.task.clip.kind)
    early, late = decision_of(result.row.utterances[0], expectation), decision_of(whole, expectation)
    pairs = ((early, late), (late, early))
    return any(believed(one) and _likeliest(one) != _likeliest(other) for one, other in pairs)


def _likeliest(decision: Decision) -> Meaning | None:
    if isinstance(decision, Understood):
        return decision.meaning
    return decision.rivals[0][0] if decision.rivals else None
