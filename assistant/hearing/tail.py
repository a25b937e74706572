"""Late tails: what is said just after a decision and belongs to the sentence before.

Deciding early is safe because of this: "drained five" is answered quickly, and "litres" a second
later is not a new sentence but the end of that one, which is then decided again as a whole.
"""

from __future__ import annotations

from dataclasses import replace

from assistant.grammar import Grammar
from assistant.grammar.grammar import Standing
from assistant.grammar.graph import UNKNOWN
from assistant.grammar.judgement import Expectation, Thresholds, plausible
from assistant.grammar.meaning import Meaning
from assistant.hearing.utterance import Utterance

LATEST = 1.5
"""Seconds after a decision in which a tail may begin."""
_TAILS = frozenset({"unit-tail", "decimal-tail"})


class Tail:
    """Remembers the last utterance of one stream and joins its tail to it."""

    def __init__(self, grammar: Grammar, thresholds: Thresholds | None = None) -> None:
        self._grammar, self._thresholds = grammar, thresholds or Thresholds()
        self._last: Utterance | None = None

    def joined(self, utterance: Utterance, expectation: Expectation) -> Utterance:
        """Return the utterance, or the one before it made whole by it (`amends` is then True)."""
        last, self._last = self._last, utterance
        if last is None or utterance.start - last.decided > LATEST:
            return utterance
        whole = self._whole(last, utterance, expectation)
        if whole is not None:
            self._last = whole
        return whole or utterance

    def _whole(self, last: Utterance, tail: Utterance, expectation: Expectation) -> Utterance | None:
        if tail.share < self._thresholds.ask or tail.candidate is None:
            return None
        if UNKNOWN in f"{last.words} {tail.words}".split() or not self._belongs(last, tail):
            return None
        words = f"{last.words} {tail.words}"
        meaning = self._grammar.parse(words)
        if not isinstance(meaning, Meaning) or not plausible(meaning, expectation.windows):
            return None
        known = last.meaning is not None or last.candidate is not None
        share = tail.share * last.share if known else tail.share
        return replace(
            tail,
            words=words,
            meaning=meaning,
            candidate=meaning,
            reason="",
            share=share,
            start=last.start,
            # A first half that had no meaning of its own was never weighed.
            doubtful=meaning.value is not None and (not known or share < self._thresholds.sure),
            amends=True,
            rivals=(),
            pcm=last.pcm + tail.pcm,
        )

    def _belongs(self, last: Utterance, tail: Utterance) -> bool:
        """Whether the second half may be the rest of the first rather than a sentence of its own."""
        standing = self._grammar.standing(last.words)
        if standing is Standing.INCOMPLETE:
            return True
        if standing in (Standing.CLOSED, Standing.IMPOSSIBLE) or tail.candidate is None:
            return False
        a_digit = standing is Standing.DECIMAL_MAY_FOLLOW and len(tail.words.split()) == 1
        return tail.candidate.kind in _TAILS or (a_digit and tail.candidate.kind == "number")
