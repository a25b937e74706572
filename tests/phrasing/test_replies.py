"""Every reply of the dialogue has a wording: short, in words alone, and its readings parse back."""

from __future__ import annotations

import ast
import re
from pathlib import Path
from statistics import median

import pytest

import assistant.dialogue
from assistant.dialogue.reply import Reply
from assistant.errors import WrongInput
from assistant.grammar import Grammar, Meaning
from assistant.job import plausible
from assistant.job.reading import Reading
from assistant.job.sheet import FIGURES as SHEET_FIGURES
from assistant.phrasing import LANGUAGES, Language, examples, languages, phrase
from assistant.phrasing.en.examples import EXAMPLES
from assistant.phrasing.en.replies import WHY
from assistant.phrasing.en.words import FIGURES, LACKING, filled
from tests.phrasing.samples import READINGS, SHEET, samples
from tests.phrasing.test_own_words import runs

DIALOGUE = Path(assistant.dialogue.__file__).parent
ASKED_BY_NAME = {
    "confirm", "which-system", "which-unit", "which-plug", "too-cold", "too-hot",
    "plate-mismatch", "fluid-mismatch",
    "overflow-close", "overflow-let-run", "overflow-add", "overflow-engine-off",
}  # fmt: skip
"""Keys said through a variable: a question about a reading, a verdict, a mismatch."""
BY_REASON = {"sound-noisy", "sound-quiet", "sound-loud"}
"""Keys made of the reason for not understanding."""
OF_THE_PROGRAM = {
    "not-a-choice", "resumed", "resume-where", "unsaved", "saved-now", "no-microphone",
    "microphone-found", "ear-lost", "ear-back", "voice-lost", "voice-back", "quick-job", "nothing-to-resume",
    "first-start", "first-start-over", "ask-who", "sheet-unfit", "sheet-written",
    "server-away", "server-differs",
}  # fmt: skip
"""Said by the program around a job, not by the dialogue."""
KEYS = sorted(LANGUAGES["en"].replies)
LONGEST, TYPICAL = 16, 10


def _literals(node: ast.expr) -> list[str]:
    if isinstance(node, ast.IfExp):
        return [*_literals(node.body), *_literals(node.orelse)]
    return [node.value] if isinstance(node, ast.Constant) and isinstance(node.value, str) else []


def said_by_the_dialogue() -> set[str]:
    """Return the keys of all `say("key", ...)` and `Reply("key", ...)` calls of the dialogue."""
    found: set[str] = set()
    for file in DIALOGUE.glob("*.py"):
        for node in ast.walk(ast.parse(file.read_text())):
            if not isinstance(node, ast.Call) or not node.args:
                continue
            name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
            if name in ("say", "Reply"):
                found.update(_literals(node.args[0]))
    return found


def sentences_of(key: str) -> list[str]:
    return [line for reply in samples(key) for line in phrase(reply)]


def test_every_reply_of_the_dialogue_has_a_wording_and_none_is_orphaned() -> None:
    spoken = said_by_the_dialogue() | ASKED_BY_NAME | BY_REASON
    assert len(spoken) > 60
    assert spoken - set(KEYS) == set()
    assert set(KEYS) - spoken - OF_THE_PROGRAM == set()


@pytest.mark.parametrize("key", KEYS)
def test_sentences_are_short_and_hold_words_alone(key: str) -> None:
    for line in sentences_of(key):
        assert re.fullmatch(r"[A-Z][A-Za-z' ,]*[.?!]", line), line
        assert len(line.split()) <= LONGEST, line


def test_the_typical_sentence_is_ten_words_at_most() -> None:
    assert median(len(line.split()) for key in KEYS for line in sentences_of(key)) <= TYPICAL


def test_every_doubt_and_every_figure_has_words() -> None:
    returns = (
        node
        for node in ast.walk(ast.parse(Path(plausible.__file__).read_text()))
        if isinstance(node, ast.Return)
    )
    doubts = {text for node in returns if node.value is not None for text in _literals(node.value) if text}
    assert doubts == set(WHY)
    assert set(FIGURES) == set(SHEET_FIGURES)


@pytest.mark.parametrize(
    "one", [one for one in READINGS if one.value], ids=lambda one: f"{one.kind}-{one.value}"
)
def test_the_words_of_a_reading_mean_the_same_value_and_unit(one: Reading, english: Grammar) -> None:
    words = english.normalise(" ".join(phrase(Reply("heard", {"reading": one, "total": None}))))
    found = {(m.value, m.unit) for _, m in runs(english, words)}
    assert (one.value, one.unit) in found, words


@pytest.mark.parametrize(
    "one", [one for one in READINGS if not one.value], ids=lambda one: f"{one.kind}-{dict(one.slots)}"
)
def test_the_words_of_a_finding_mean_the_same_finding(one: Reading, english: Grammar) -> None:
    words = english.normalise(" ".join(phrase(Reply("heard", {"reading": one, "total": None}))))
    found = [dict(m.slots) for _, m in runs(english, words) if m.kind == one.kind]
    assert dict(one.slots) in found, words


def test_sound_alikes_and_torques_are_repeated_digit_by_digit() -> None:
    thirteen = phrase(Reply("heard", {"reading": READINGS[3], "total": None}))
    assert thirteen == ("About one three litres out.",)
    torque = phrase(Reply("confirm", {"reading": READINGS[32]}))
    assert torque == ("Torque three five newton metres, drain plug.", "Is that right?")


@pytest.mark.parametrize("key", ["confirm", "advise-refill", "advise-again"])
def test_what_needs_a_yes_ends_with_a_question(key: str) -> None:
    for reply in samples(key):
        assert phrase(reply)[-1].endswith("?")


@pytest.mark.parametrize("kind", sorted(EXAMPLES))
def test_examples_mean_their_kind(kind: str, english: Grammar) -> None:
    for sentence in EXAMPLES[kind]:
        meaning = english.parse(sentence)
        assert isinstance(meaning, Meaning), sentence
        assert meaning.kind == kind, sentence


def test_places_are_filled_from_the_sheet() -> None:
    text = "Tighten to {drain-plug-torque} with the {drain-plug-tool}; it holds {capacity}."
    assert filled(text, SHEET) == (
        f"Tighten to three five newton metres with the square key; it holds {LACKING}.",
    )


def test_texts_of_the_workshop_become_words() -> None:
    assert phrase(Reply("job-begins", {"title": "Drain", "vehicle": "van 2.5 (bay 4)"})) == (
        "Drain, van two point five bay four.",
    )
    assert phrase(Reply("menu", {"what": "vehicle", "options": ("Zoë's 75W-90_van",)}))[0] == (
        "One, Zoë's seventy five W ninety van."
    )


def test_unknown_key_language_and_missing_argument_are_plain_errors() -> None:
    with pytest.raises(WrongInput, match="no wording for the reply 'nonsense'"):
        phrase(Reply("nonsense"))
    with pytest.raises(WrongInput, match="no language 'xx'"):
        phrase(Reply("noted"), "xx")
    with pytest.raises(WrongInput, match="'timer-on' needs ms as int"):
        phrase(Reply("timer-on", {"name": "drain"}))


def test_a_second_language_needs_only_its_table() -> None:
    """Three sentences of Esperanto, a language no part of the program knows."""
    numbers = ("nul", "unu", "du", "tri", "kvar")
    toy = Language(
        "eo",
        {
            "noted": lambda args: ("Notite.",),
            "step": lambda args: (f"Paŝo {numbers[args.whole('number')]}.", args.text("text")),
            "advise-again": lambda args: (f"Plenigu {numbers[int(args.measure('amount').value)]} litrojn.",),
        },
        {"yes": ("jes",)},
    )
    both = {**LANGUAGES, toy.name: toy}
    assert languages(both) == ("en", "eo")
    assert phrase(Reply("noted"), "eo", both) == ("Notite.",)
    assert phrase(Reply("step", {"number": 3, "text": "Ĉesu."}), "eo", both) == ("Paŝo tri.", "Ĉesu.")
    assert examples("yes", "eo", both) == ("jes",)
    assert phrase(Reply("noted"), "en", both) == ("Noted.",)
    with pytest.raises(WrongInput, match="'eo' has no wording"):
        phrase(Reply("standing"), "eo", both)
