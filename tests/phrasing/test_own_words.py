"""The assistant does not command itself: no run of words in a reply is a sentence with effect just then.

Four kinds of runs cannot be avoided, and are named here:

- A figure: number and unit, or a part of them, that the reply itself speaks. Sound heard while a reply
  is spoken is dropped by the gate; and a reading heard identical to the one just read back changes nothing.
- The reading that is read back, in its own words or a part of them ("hot" of "on the hot mark").

- A colour read back while a vehicle sheet is made: no job listens then.

- "hot" and "cold" where a text names the marks that are engraved on the dipstick.

One reply, the list of words, speaks sentences on purpose; it relies on the gate alone.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from assistant.dialogue.readings import KINDS
from assistant.dialogue.reply import Reply
from assistant.grammar import Grammar, Meaning
from assistant.job.reading import Reading
from assistant.phrasing import LANGUAGES, phrase
from assistant.phrasing.en.numbers import UNIT_WORDS, number_words
from assistant.phrasing.en.readings import read_back
from assistant.shelf.places import procedures_folder
from assistant.shelf.procedure_file import load_procedure
from tests.phrasing.samples import SHEET, samples

LONGEST_RUN = 12
FIGURES = {
    "number", "amount", "temperature", "torque", "drip", "distance", "unit-tail", "decimal-tail", "vague",
    "share",
}  # fmt: skip
"""Kinds that a figure with its unit makes by itself; a length alone is vague: it says not of what."""
ANSWERS_ONLY = {
    "which-form": "which-form",
    "which-plug": "which-plug",
    "which-system": "which-system",
    "unit-tail": "which-unit",
}
"""Kinds that do nothing unless the reply itself asked for them: kind -> the reply that asks."""
TEACHES = "words"


def runs(grammar: Grammar, words: str) -> Iterator[tuple[str, Meaning]]:
    """Yield every run of one to twelve words that is a sentence, with its meaning."""
    said = words.split()
    for start in range(len(said)):
        for end in range(start + 1, min(start + LONGEST_RUN, len(said)) + 1):
            run = " ".join(said[start:end])
            meaning = grammar.parse(run)
            if isinstance(meaning, Meaning):
                yield run, meaning


NUMBER_WORDS = {
    *(word for n in range(100) for word in number_words(str(n)).split()),
    *(word for names in UNIT_WORDS.values() for name in names for word in name.lower().split()),
    "point", "and", "hundred", "thousand", "minus", "u", "s",
}  # fmt: skip


def _is_figure(run: str) -> bool:
    """Say whether a run is number and unit alone."""
    return set(run.split()) <= NUMBER_WORDS


def _repeats(grammar: Grammar, run: str, meaning: Meaning, reading: object) -> bool:
    """Say whether a run is the reading read back in its own words, or a part of them; never a command."""
    if not isinstance(reading, Reading) or meaning.kind not in (*KINDS, "vague", "unit-tail"):
        return False
    return f" {run} " in f" {grammar.normalise(read_back(reading))} "


def effects(grammar: Grammar, reply: Reply) -> list[str]:
    """Return the runs of a reply that would do something if the assistant heard itself."""
    words = grammar.normalise(" ".join(phrase(reply)))
    found = []
    for run, meaning in runs(grammar, words):
        if meaning.kind in ANSWERS_ONLY and ANSWERS_ONLY[meaning.kind] != reply.key:
            continue
        if meaning.kind in FIGURES and _is_figure(run):
            continue
        if reply.key == "sheet-text" and run == reply.args["text"]:
            continue
        if run in ("hot", "cold") and f"{run} mark" in words:
            continue
        if _repeats(grammar, run, meaning, reply.args.get("reading")):
            continue
        found.append(f"{run} -> {meaning.kind} in: {words}")
    return found


@pytest.mark.parametrize("key", sorted(set(LANGUAGES["en"].replies) - {TEACHES}))
def test_no_reply_holds_a_sentence_with_effect(key: str, english: Grammar) -> None:
    assert [found for reply in samples(key) for found in effects(english, reply)] == []


def _texts(data: object) -> Iterator[str]:
    """Yield every text of a procedure that is spoken."""
    if isinstance(data, dict):
        for name, value in data.items():
            if name in ("say", "full", "ask", "title") and isinstance(value, str):
                yield value
            elif name in ("cautions", "gates", "labels") and isinstance(value, dict):
                yield from (str(one) for one in value.values())
            else:
                yield from _texts(value)
    elif isinstance(data, list):
        for one in data:
            yield from _texts(one)


PROCEDURES = sorted(path.stem for path in procedures_folder().glob("*.toml"))


def test_no_step_text_holds_a_sentence_with_effect(english: Grammar) -> None:
    """Of any service, each text once, for most of them stand in shared pieces."""
    texts = {text for name in PROCEDURES for text in _texts(load_procedure(name))}
    assert len(texts) > 100
    found = [
        one
        for text in sorted(texts)
        for one in effects(english, Reply("ask", {"text": text, "sheet": SHEET}))
    ]
    assert found == []
