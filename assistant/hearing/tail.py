"""Late tails: what is said just after a decision and belongs to the sentence before.

Deciding early is safe because of this: "drained five" is answered quickly, and "litres" a second
later is no new sentence but the end of that one. The sound of both is then decoded again as one;
the rules here say when that is tried and when its result counts.
"""

from __future__ import annotations

from decimal import Decimal

from assistant.grammar import Grammar, Standing
from assistant.grammar.graph import UNKNOWN
from assistant.grammar.meaning import Meaning
from assistant.hearing.openness import IN_DIGITS
from assistant.hearing.utterance import Utterance

LATEST = 1.5
"""Seconds after a decision in which a tail may begin."""
CLEAR = 0.8
"""Share from which the tail alone counts as a number of its own."""
_FRAGMENTS = frozenset({"unit-tail", "decimal-tail", "number", "amount", "which-form"})
"""Kinds that can be the end of a sentence whose beginning was already decided."""


def may_belong(last: Utterance | None, tail: Utterance, grammar: Grammar) -> bool:
    """Whether `tail` may be the rest of `last` rather than a sentence of its own."""
    if last is None or last.amends or tail.start - last.decided > LATEST:
        return False
    if not last.words or UNKNOWN in last.words.split():
        return False
    if tail.meaning is not None and tail.meaning.kind not in _FRAGMENTS and not _second_half(last, tail):
        return False
    return grammar.standing(last.words) not in (Standing.CLOSED, Standing.IMPOSSIBLE)


def belongs(last: Utterance, tail: Utterance, whole: Utterance) -> bool:
    """Whether `whole`, both decoded as one, is `last` with something added that fits.

    "four" and "nought point five" are not the forty point five they would spell together, "five" and
    "nine" not fifty nine; but "forty" and "five" are forty five, "three point two" and "five" 3.25, and
    "torque six" and "four newton metres" 64.
    """
    if whole.meaning is None or not whole.words.startswith(last.words + " "):
        return False
    before, after = last.candidate, tail.candidate if tail.share >= CLEAR else None
    if before is None or before.value is None or after is None:
        return True
    if after.value is None:
        return _number(whole.meaning) == _number(before)
    if before.unit is not None:
        return False
    if _number(whole.meaning) == Decimal(before.value) + Decimal(after.value):
        return True
    longer = "." in before.value and after.value.isdigit()
    longer = longer or (_second_half(last, tail) and after.kind == whole.meaning.kind)
    return longer and _number(whole.meaning) == Decimal(before.value + after.value)


def put_together(last: Utterance, tail: Utterance, grammar: Grammar) -> str | None:
    """Return the words of both where the tail can be nothing but the fraction of a number just said.

    "First can two" and "point seven litres"; None where they are two sentences.
    """
    before, after = last.candidate, tail.candidate
    if before is None or after is None or before.value is None or after.value is None:
        return None
    words = f"{last.words} {tail.words}"
    whole = grammar.parse(words)
    if before.unit is not None or not isinstance(whole, Meaning) or whole.kind != before.kind:
        return None
    fits = "." not in before.value and Decimal(after.value) < 1
    return words if fits and _number(whole) == Decimal(before.value) + Decimal(after.value) else None


def _second_half(last: Utterance, tail: Utterance) -> bool:
    """Whether these are "torque six" and "four newton metres": one digit of two, and the other."""
    before, after = last.candidate, tail.candidate
    if before is None or after is None or after.unit is None or before.unit is not None:
        return False
    digits = all(each.value is not None and len(each.value) == 1 for each in (before, after))
    return digits and after.kind in IN_DIGITS and before.kind in (after.kind, "number")


def _number(meaning: Meaning) -> Decimal | None:
    return None if meaning.value is None else Decimal(meaning.value)
