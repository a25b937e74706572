"""An amount in another unit; a quart that may be US or imperial is asked about, never guessed."""

from __future__ import annotations

from assistant.dialogue.keeping import keep
from assistant.dialogue.reply import Heard, Turn
from assistant.errors import WrongInput
from assistant.grammar.meaning import Meaning
from assistant.job import events as e
from assistant.job.pending import Question
from assistant.reckoning import conversion
from assistant.units import Measure, settled

PASSING = frozenset({"say-again", "stand-by", "im-back", "where", "what-heard", "list-words", "in-full"})
"""What may be said without leaving the question."""


def ask(turn: Turn, meaning: Meaning) -> None:
    """Answer "what is four litres in US quarts", or ask which quarts are meant."""
    assert meaning.value is not None, "the sentence holds an amount"
    assert meaning.unit is not None, "and its unit"
    about = "|".join((meaning.value, meaning.unit, meaning.slot("in")))
    if settled(meaning.unit) and settled(meaning.slot("in")):
        _make(turn, about, "")
    elif turn.state.question is not None:
        turn.say("system-needed")  # another question is open already: this one is to be put in full
    else:
        turn.do(e.Asked(at=turn.at, question="which-measure", about=about))
        turn.say("which-measure")


def answer(turn: Turn, question: Question, meaning: Meaning, heard: Heard) -> bool:
    """Take "US" or "imperial"; anything else leaves the question, which holds nothing up."""
    system = meaning.slot("system") if meaning.kind == "which-system" else ""
    if meaning.kind == "unit-tail" and meaning.unit is not None:
        system = meaning.unit.partition("_")[0]
    if system in ("us", "imperial"):
        turn.do(e.QuestionDropped(at=turn.at, why="answered"))
        _make(turn, question.about, system)
        return True
    if meaning.kind == "unit-tail":
        turn.say("which-measure")
        return True
    if meaning.kind not in PASSING:
        turn.do(e.QuestionDropped(at=turn.at, why="another matter"))
    return False


def _make(turn: Turn, about: str, system: str) -> None:
    value, unit, into = about.split("|")
    unit, into = (one if settled(one) else f"{system}_{one}" for one in (unit, into))
    given = Measure(value, unit)
    try:
        figure = conversion.convert(amount=given, unit=into)
    except WrongInput:
        turn.say("out-of-range")
        return
    turn.say("makes", given=given, made=keep(turn, figure))
