"""What is spoken comes in breaths: about twelve words a sentence, a little more where asked for in full.

A figure with its unit counts as one word, however many it is made of. That a sentence heard once, hands
busy, should be short is common practice in radio-telephony and in spoken instruction; no source for twelve.
"""

from __future__ import annotations

from statistics import median

import pytest

from assistant.phrasing import LANGUAGES
from assistant.shelf.procedure_file import list_procedures, load_procedure
from tests.phrasing.spoken import SHORT, of_reply, of_services
from tests.phrasing.test_own_words import NUMBER_WORDS

LONGEST, LONGEST_IN_FULL, TYPICAL = 12, 15, 9


def words(line: str) -> int:
    """Return how many words a sentence has, a figure and its unit being one."""
    count, figure = 0, False
    for word in line.lower().rstrip(".?!").replace(",", "").split():
        here = word in NUMBER_WORDS - {"and"}
        count += not (here and figure)
        figure = here
    return count


def too_long(lines: list[str], most: int) -> list[str]:
    """Return the sentences beyond a length."""
    return [f"{words(line)}: {line}" for line in lines if words(line) > most]


def test_every_service_is_looked_at() -> None:
    """Of the shortest as of the longest kind there are hundreds."""
    assert len(of_services(*SHORT)) > 600
    assert len(of_services("full")) > 400


@pytest.mark.parametrize(("keys", "most"), [(SHORT, LONGEST), (("full",), LONGEST_IN_FULL)])
def test_no_sentence_of_a_service_is_longer_than_a_breath(keys: tuple[str, ...], most: int) -> None:
    """By default and in full."""
    assert too_long(of_services(*keys), most) == []


@pytest.mark.parametrize("key", sorted(LANGUAGES["en"].replies))
def test_no_reply_is_longer_than_a_breath(key: str) -> None:
    """With figures of any kind in it."""
    assert too_long(of_reply(key), LONGEST) == []


def test_the_typical_sentence_is_shorter_still() -> None:
    """What is said without being asked for in full."""
    assert median(words(line) for line in of_services("say", "ask")) <= TYPICAL


def test_in_full_is_more_than_the_short_text() -> None:
    """At every step that has both."""
    found = [
        str(step["id"])
        for name in list_procedures()
        for step in load_procedure(name)["step"]  # type: ignore[attr-defined]
        if step.get("full") and len(step["full"].split()) <= len(step["say"].split())
    ]
    assert found == []
