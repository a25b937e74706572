"""The words of a procedure: each can be spoken, none is a sentence the assistant would act on.

What the assistant says may come back through the microphone. A run of words in a step's texts that the
grammar takes for a sentence of use at that step would then answer for the mechanic.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from assistant.job.procedure import Procedure, Step

Fault = tuple[tuple[str, ...], str, str]
LONGEST_RUN = 9
_WORD = re.compile(r"[a-z]+(?:'[a-z]+)?")
_PLACE = re.compile(r"\{[^{}]*\}")


@dataclass(frozen=True, slots=True)
class Known:
    """What the caller knows of the language."""

    speakable: Callable[[str], bool] = lambda word: True
    """Whether a word, lower case, can be spoken."""
    acted_on: Callable[[str, Step], bool] = lambda words, step: False
    """Whether words heard at a step would do something."""


def word_faults(procedure: Procedure, known: Known) -> Iterator[Fault]:
    """Return the faults of every text, each with the word or run of words."""
    for step in procedure.steps:
        for key, text in _texts(procedure, step):
            parts = [_WORD.findall(part.lower()) for part in _PLACE.split(text)]
            for word in (word for part in parts for word in part):
                if not known.speakable(word):
                    yield (step.id, key), f"step {step.id}: {word!r} cannot be spoken", "use another word"
            for run in (run for part in parts for run in _runs(part)):
                if known.acted_on(run, step):
                    yield (
                        (step.id, key),
                        f"step {step.id}: {key} holds {run!r}, which would be acted on if it came back",
                        "say it in other words",
                    )


def _texts(procedure: Procedure, step: Step) -> Iterator[tuple[str, str]]:
    """Return (key, text) of everything that may be said while the step is the current one."""
    yield from (("say", step.say), ("full", step.full))
    yield from ((one.reading, one.ask) for one in step.awaits)
    yield from ((name, procedure.cautions.get(name, "")) for name in step.cautions)
    yield from ((one.on, one.say) for one in (*step.exits, *procedure.exits))
    yield from ((one.name, one.say) for one in step.findings)
    yield from ((fact, procedure.labels.get(fact, "")) for fact in step.requires)
    if step.gate:
        yield step.gate, procedure.gates.get(step.gate, "")
    if step.timer is not None:
        yield "timer", step.timer.ask


def _runs(words: list[str]) -> Iterator[str]:
    for start in range(len(words)):
        for end in range(start + 1, min(start + LONGEST_RUN, len(words)) + 1):
            yield " ".join(words[start:end])
