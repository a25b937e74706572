"""A scripted mechanic who listens to the read-back: what was heard wrong is put right, by the same ear.

A wrong reading is answered with "correction" and the sentence again, three times at most; any other wrong
sentence with "disregard last". What is then still wrong would stand in the record.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from assistant.grammar import Meaning
from tests.benchmark.hearing.clips import Clip, Piece
from tests.benchmark.hearing.commands import english
from tests.benchmark.hearing.outcome import Outcome, outcome
from tests.benchmark.hearing.running import Result, Task, run
from tests.benchmark.hearing.table import at_most, group_of

TRIES = 3


def corrections(words: str) -> list[str]:
    """Return what the mechanic says, first try first."""
    tried = [f"correction {words}", f"no correction {words}", f"no {words}"]
    good = [each for each in tried if isinstance(english().parse(each), Meaning)]
    return (good or ["disregard last", "disregard that", "strike that"])[:TRIES]


def after_read_back(
    pairs: Sequence[tuple[Result, Outcome]], side: str, seed: int, condition: str
) -> dict[str, Any]:
    """Return how many of the wrong ones stay wrong after the mechanic's corrections."""
    ours = [
        (result, found)
        for result, found in pairs
        if result.task.contestant == "ours" and result.task.condition == condition
        if group_of(result) == "commands"
    ]
    wrong = [(result, found) for result, found in ours if found.what == "wrong"]
    said = {result.task.clip.id: _corrections(result.task.clip) for result, _ in wrong}
    every = {one.id: one for several in said.values() for one in several}
    heard = {
        one.task.clip.id: outcome(one).what
        for one in run([Task("ours", condition, one) for one in every.values()], side, seed)
    }
    left: list[dict[str, Any]] = []
    told: list[dict[str, Any]] = []
    for result, found in wrong:
        clip = result.task.clip
        # One not understood is said again; one understood wrongly is read back and put right.
        outcomes = [heard.get(one.id, "nothing") for one in said[clip.id]]
        entry = {"said": clip.words, "speaker": clip.speaker, "heard": list(found.heard)}
        told.append({**entry, "corrections": outcomes})
        if "taken" not in outcomes:
            left.append(entry)
    n = len(ours)
    return {
        "n": n,
        "wrong_before": len(told),
        "wrong_after": len(left),
        "wrong_after_percent": round(100 * len(left) / max(n, 1), 3),
        "wrong_after_at_most": round(at_most(len(left), n), 3) if n else None,
        "each": told,
    }


def _corrections(clip: Clip) -> list[Clip]:
    voice = clip.pieces[0].voice
    return [
        Clip(f"corrections/{voice}/{words}", "corrections", voice, (Piece(voice, words),), words, kind)
        for words in corrections(clip.words)
        if (kind := _kind(words))
    ]


def _kind(words: str) -> str:
    meaning = english().parse(words)
    return meaning.kind if isinstance(meaning, Meaning) else ""
