"""The card: one page, every sentence of it one the grammar takes, and no kind left out."""

from __future__ import annotations

import re

import pytest

from assistant.grammar.card import phrases
from assistant.grammar.meaning import KINDS, Meaning
from assistant.phrasing.en.card import ADVICE, COLUMNS, GROUPS, LINES, OTHER, grouped, page
from tests.bench import grammar


def test_it_is_one_page() -> None:
    """66 lines of 100 columns: A4 and letter at ten characters to the inch, six lines to the inch."""
    lines = page(phrases(grammar())).splitlines()

    assert len(lines) <= LINES
    assert max(map(len, lines)) <= COLUMNS


def test_every_recommended_sentence_is_on_it() -> None:
    """Across the wrapped lines of its column."""
    found = phrases(grammar())
    lines = page(found).splitlines()
    half = COLUMNS // 2
    columns = " ".join(" ".join(line[at : at + half + 1] for line in lines) for at in (0, half + 1))
    text = " ".join(columns.split())

    missing = [one for kind in found for one in found[kind] if one not in text]
    assert missing == []


def test_every_group_is_of_known_kinds_and_none_has_to_go_under_other() -> None:
    """A new kind of sentence gets a place among the trade's words."""
    assert {kind for kinds in GROUPS.values() for kind in kinds} <= set(KINDS)
    assert OTHER not in grouped(phrases(grammar()))


def test_a_kind_without_a_group_is_not_left_out() -> None:
    """It comes last."""
    assert list(grouped({"emergency": ("emergency",), "novel": ("a novel thing",)})) == [
        "STOP AND TROUBLE", OTHER,
    ]  # fmt: skip


@pytest.mark.parametrize("said", re.findall(r"\{(.*?)\}", " ".join(ADVICE)))
def test_how_to_speak_is_shown_with_sentences_that_are_taken(said: str) -> None:
    """Word for word."""
    assert isinstance(grammar().parse(said), Meaning)
