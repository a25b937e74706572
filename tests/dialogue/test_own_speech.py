"""The assistant's own words, heard while they are spoken, are told from a mechanic's by words and times."""

from __future__ import annotations

import pytest

from assistant.dialogue.own_words import ECHO_S, Saying, Verdict, likeness, whose
from assistant.grammar.meaning import Meaning

REPLY = (
    Saying("fifty five degrees celsius", 10.0, 11.8),
    Saying("the level was low by point two", 12.0, 14.0),
)
READING = Meaning("temperature", "55", "celsius")
LATER = Meaning("torque", "35", "newton_metre")


@pytest.mark.parametrize(
    ("words", "start", "end", "verdict"),
    [
        ("fifty five degrees celsius", 10.0, 11.8, Verdict.OWN),
        ("fifty five degree celsius", 10.1, 12.1, Verdict.OWN),
        ("eight five degrees celsius", 10.0, 11.8, Verdict.OWN),
        ("fifty five", 10.0, 10.6, Verdict.OWN),
        ("point two", 13.5, 14.0 + ECHO_S / 2, Verdict.OWN),
        ("celsius low", 11.5, 13.0, Verdict.OWN),
        ("torque three five newton metres", 12.0, 13.9, Verdict.OVER),
        ("torque three five newton metres", 13.8, 15.8, Verdict.MEANT),
        ("fifty five degrees celsius", 13.7, 15.5, Verdict.MEANT),
        ("fifty five degrees celsius", 14.6, 16.0, Verdict.MEANT),
        ("fifty five degrees celsius", 8.0, 9.9, Verdict.MEANT),
    ],
)
def test_whose_words_they_are(words: str, start: float, end: float, verdict: Verdict) -> None:
    assert whose(words, READING, start, end, REPLY) is verdict


@pytest.mark.parametrize("kind", ["emergency", "stand-by"])
def test_what_halts_the_work_always_goes_through(kind: str) -> None:
    assert whose("stand by", Meaning(kind), 10.5, 11.0, REPLY) is Verdict.MEANT
    assert whose("fifty five degrees", Meaning(kind), 10.0, 11.0, REPLY) is Verdict.MEANT


def test_what_was_not_understood_in_a_reply_is_not_talk() -> None:
    """It would send the ear to sleep."""
    assert whose("", None, 12.2, 13.9, REPLY) is Verdict.OWN
    assert whose("", None, 15.0, 16.0, REPLY) is Verdict.MEANT


def test_while_nothing_is_spoken_everything_is_meant() -> None:
    assert whose("torque three five newton metres", LATER, 1.0, 2.0, ()) is Verdict.MEANT


def test_likeness_goes_by_the_order_of_the_words() -> None:
    assert likeness("five fifty", "fifty five") == 0.5
    assert likeness("two litres", "Two litre, please.") == 1.0
    assert likeness("", "fifty five") == 0.0
