"""Words touched on the page: each taken once, and only for the place in the job it was touched for.

A knuckle bounces, two tablets are touched at once, a page lags behind: none of that may move a job on
twice, or answer a question that was not on the screen.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from dataclasses import dataclass

from assistant.phrasing.en.page import TOUCH

TAKEN, MOVED_ON, TOO_SOON = "taken", "moved-on", "too-soon"
BOUNCE_S = 1.0
"""Within this time a place does not take the same word again."""
SETTLE_S = 0.3
"""Nor any other word within this: the job has not answered the first yet."""
REMEMBERED = 200
REPEATABLE = frozenset({"say-again"})
"""Words that change nothing."""


@dataclass(frozen=True, slots=True)
class Touch:
    """One touch: the word, the place of the picture it was on, and the touch's own name."""

    word: str
    place: str
    press: str


def touch_from(data: object) -> Touch | None:
    """Return the touch of a decoded request, None where it is none."""
    if not isinstance(data, dict) or set(data) != {"word", "place", "press"}:
        return None
    values = [data["word"], data["place"], data["press"]]
    if not all(isinstance(one, str) and len(one) <= 300 for one in values) or data["word"] not in TOUCH:
        return None
    return Touch(*values)


class Touches:
    """Hands the sentences of accepted touches on."""

    def __init__(self, submit: Callable[[str], None], now: Callable[[], float]) -> None:
        """`submit` takes a sentence as it would be said; `now` counts seconds."""
        self._submit, self._now = submit, now
        self._pressed: deque[str] = deque(maxlen=REMEMBERED)
        self._last = ("", "", float("-inf"))

    def take(self, touch: Touch, place: str) -> str:
        """Hand a touch on; say whether it was taken, came too soon, or was for another place."""
        if touch.press in self._pressed:
            return TAKEN  # the same request once more
        if touch.place != place or not place:
            return MOVED_ON
        if touch.word not in REPEATABLE:
            where, word, at = self._last
            if where == place and self._now() - at < (BOUNCE_S if word == touch.word else SETTLE_S):
                return TOO_SOON
            self._last = (place, touch.word, self._now())
        self._pressed.append(touch.press)
        self._submit(TOUCH[touch.word][1])
        return TAKEN
