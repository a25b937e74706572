"""Other people in the workshop: how much they talked lately, and what may be believed among them.

The recogniser fits a sentence to any talk, now and then a sure one. What nobody can mistake for talk is
an answer given just after the assistant spoke, after a pause; the rest must then be surer than usual.
"""

from __future__ import annotations

from dataclasses import dataclass

from assistant.dialogue.reply import Heard
from assistant.grammar.meaning import Meaning, NoMatch
from assistant.job.instant import Instant, elapsed
from assistant.job.situation import COMPLAINTS

FORGOTTEN_MS = 60_000
"""After so long without talk nobody is there any more; before that it is forgotten evenly."""
COMPANY_MS = 3_000
"""So much talk, not forgotten, is company."""
LEAST_MS = 1_000
"""Each word of somebody else counts for so much, however short it is."""
ANSWER_MS = 8_000
"""Among others, what was begun so soon after the assistant fell silent is an answer to it."""
NUMBER_MS = 60_000
"""A number by itself answers the question put so lately; later it might be anybody's."""
SURE_AMONG = 0.95
"""Among others, least share of a sentence that answers nothing."""
CLOSE, CLOSE_IN_SOUND, FOREIGN = 0.6, 0.3, 0.05
"""Least probability of the likeliest sentence from which what was refused was nearly one; where the sound
was to blame; and under which there was nothing but unknown words."""
SHORT_MS, SENTENCE_MS = 2_000, 4_000
"""The length of something short, and of a reading."""
TRAPPED_WORDS = 3
"""So many words make a sentence that is known and never acted on."""
LEAST_WORDS = 2
"""A single word comes out of any talk."""


@dataclass(frozen=True, slots=True)
class Company:
    """Other talk in the room."""

    ms: int = 0
    """How much speech it was when it was heard last, what was forgotten by then taken off."""
    last: Instant | None = None

    def lately(self, now: Instant) -> int:
        """Return how much of it, in ms of speech, is not forgotten."""
        if self.last is None:
            return 0
        return round(self.ms * max(0.0, 1 - elapsed(self.last, now).ms / FORGOTTEN_MS))

    def here(self, now: Instant) -> bool:
        """Say whether there is company."""
        return self.lately(now) >= COMPANY_MS

    def heard(self, ms: int, now: Instant) -> Company:
        """Return it with so much more talk."""
        return Company(min(self.lately(now) + ms, FORGOTTEN_MS), now)


def believable(heard: Heard, meaning: Meaning, at: Instant, spoke: Instant | None, company: Company) -> bool:
    """Say whether a sentence may be taken for one to the assistant; it ended at `at`.

    `spoke` is when the assistant fell silent last.
    """
    since = _since(spoke, heard, at)
    if not company.here(at.later(-heard.ms)):
        return meaning.kind != "number" or since <= NUMBER_MS
    if since <= ANSWER_MS:
        return heard.sure
    words = heard.words.split()
    whole = meaning.kind != "number" and len(words) >= LEAST_WORDS and not meaning.slot("correcting")
    return whole and heard.sure and heard.share >= SURE_AMONG


def meant(heard: Heard, refused: NoMatch, at: Instant, spoke: Instant | None, company: Company) -> bool:
    """Say whether what was not understood was meant for the assistant, so that it is answered.

    Just after the assistant spoke, something short was. Later only what was nearly a sentence, and none
    of it among others.
    """
    if refused.reason in ("talk", "empty"):
        return False
    if _since(spoke, heard, at) <= ANSWER_MS and heard.ms <= SENTENCE_MS:
        return refused.reason != "unknown" or (heard.share >= FOREIGN and heard.ms <= SHORT_MS)
    if refused.reason in ("unknown", "not-now") or company.here(at.later(-heard.ms)):
        return False
    if refused.reason in ("trap", "implausible"):  # all of its words are the grammar's, which talk seldom has
        return len(heard.words.split()) >= TRAPPED_WORDS
    return heard.share >= (CLOSE_IN_SOUND if refused.reason in COMPLAINTS else CLOSE)


def _since(spoke: Instant | None, heard: Heard, at: Instant) -> int:
    """Return the ms from the assistant's last word to the beginning of what was heard."""
    if spoke is None:
        return 1 << 40
    return max(0, elapsed(spoke, at).ms - heard.ms)
