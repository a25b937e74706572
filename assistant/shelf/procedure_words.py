"""The texts of a procedure: places a sheet fills, words that can be spoken, no sentence that acts.

What the assistant says may come back through the microphone. A run of words in a step's texts that the
grammar takes for a sentence of use at that step would then answer for the mechanic.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from assistant.job.procedure import Procedure, Step
from assistant.job.sheet import FIGURES, TEXTS
from assistant.shelf.procedure_schema import Fault

LONGEST_RUN = 9
_WORD = re.compile(r"[a-z]+(?:'[a-z]+)?")
PLACE = re.compile(r"\{([^{}]*)\}")
SPOKEN_SIGNS = " ',.?!-{}"


@dataclass(frozen=True, slots=True)
class Known:
    """What the caller knows of the language."""

    speakable: Callable[[str], bool] = lambda word: True
    """Whether a word, lower case, can be spoken."""
    acted_on: Callable[[str, Step], bool] = lambda words, step: False
    """Whether words heard at a step would do something."""
    mean: Callable[[str], bool] = lambda words: True
    """Whether words may do something at any step; asked once for each run of a text."""
    unit_faults: Callable[[str], Iterable[tuple[str, str]]] = lambda text: ()
    """(what, cure) of units and figures that do not belong into a text."""


def text_faults(procedure: Procedure) -> Iterator[Fault]:
    """Return the faults of texts that can be told without knowing the language."""
    yield from _places(procedure)
    yield from _signs(procedure)


def texts_of(step: Step) -> Iterator[tuple[str, str]]:
    """Return (key, text) of everything a step may say."""
    yield from (("title", step.title), ("say", step.say), ("full", step.full), ("tool", step.tool))
    yield from ((one.reading, one.ask) for one in step.awaits)
    yield from ((one.on, one.say) for one in step.exits)
    yield from ((one.name, one.say) for one in step.findings)
    if step.timer is not None:
        yield "timer", step.timer.ask


def _places(procedure: Procedure) -> Iterator[Fault]:
    """Every place in a text is something a sheet holds; a short text never lacks its figure."""
    for step in procedure.steps:
        for key, text in texts_of(step):
            if text.count("{") != len(PLACE.findall(text)) or text.count("}") != len(PLACE.findall(text)):
                yield (step.id, key), f"step {step.id}: a brace stands alone in {key}", "write {figure}"
            for place in PLACE.findall(text):
                if place not in FIGURES and place not in TEXTS:
                    yield (
                        (step.id, f"{{{place}}}"),
                        f"step {step.id}: no sheet has {place!r}",
                        f"known are {', '.join((*FIGURES, *TEXTS))}",
                    )
                elif key == "say" and place not in step.figures:
                    yield (
                        (step.id, f"{{{place}}}"),
                        f"step {step.id}: say needs {place}, and a sheet may lack it",
                        f'add figures = ["{place}"]' if place in FIGURES else "move it into full",
                    )
    for name, text in (*procedure.cautions.items(), *procedure.gates.items(), *procedure.labels.items()):
        if "{" in text or "}" in text:
            yield (name,), f"{name}: a place cannot be filled here", "say it without a figure"


def _signs(procedure: Procedure) -> Iterator[Fault]:
    """A text for the ear holds words only: figures and signs are read aloud in ways nobody expects."""
    for where, key, text in _everything(procedure):
        for what, cure in sign_faults(text):
            yield (where, key), f"{where}: {key} {what}", cure


def sign_faults(text: str) -> Iterator[tuple[str, str]]:
    """Return (what, cure) where a text for the ear holds signs that are no words."""
    odd = sorted({sign for sign in PLACE.sub("", text) if not sign.isalpha()} - set(SPOKEN_SIGNS))
    if odd:
        cure = "spell it out, and make two sentences of one with a colon"
        yield f"holds {' '.join(odd)}, which is not spoken as meant", cure


def _everything(procedure: Procedure) -> Iterator[tuple[str, str, str]]:
    """Give (step or name, key, text) of every text of a procedure."""
    yield from ((step.id, key, text) for step in procedure.steps for key, text in texts_of(step))
    for group in (procedure.cautions, procedure.gates, procedure.labels):
        yield from ((name, name, text) for name, text in group.items())
    yield from (("[[exit]]", one.on, one.say) for one in procedure.exits)


def unspeakable(text: str, known: Known) -> Iterator[str]:
    """Return each word of a text that cannot be spoken."""
    return (word for word in _WORD.findall(PLACE.sub("|", text.lower())) if not known.speakable(word))


def word_faults(procedure: Procedure, known: Known) -> Iterator[Fault]:
    """Return the faults of every text, each with the word or run of words."""
    for where, key, text in _everything(procedure):
        for what, cure in known.unit_faults(PLACE.sub("|", text)):
            yield (where, key), f"{where}: {key} has {what}", cure
    looked: dict[str, tuple[list[str], list[str]]] = {}  # what many steps say is looked through once
    for step in procedure.steps:
        for key, text in _texts(procedure, step):
            if text not in looked:
                looked[text] = list(unspeakable(text, known)), [run for run in _runs(text) if known.mean(run)]
            strange, meaning = looked[text]
            for word in strange:
                yield (step.id, key), f"step {step.id}: {word!r} cannot be spoken", "use another word"
            for run in meaning:
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


def _runs(text: str) -> Iterator[str]:
    """Return the runs of words of a text, as far as a place that a sheet fills."""
    for part in PLACE.sub("|", text).split("|"):
        words = _WORD.findall(part.lower())
        for start in range(len(words)):
            for end in range(start + 1, min(start + LONGEST_RUN, len(words)) + 1):
                yield " ".join(words[start:end])
