"""The wall of words: what the assistant said and when, held against what the ear brings."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

from assistant.dialogue.own_words import Saying, Verdict, whose
from assistant.dialogue.readings import KINDS as READINGS
from assistant.hearing.blocks import Block
from assistant.hearing.sound import RATE
from assistant.hearing.utterance import Utterance
from assistant.speaking.aloud import AloudVoice

ANSWERS = frozenset({"yes", "no"})


def walled(
    utterances: Iterable[Utterance],
    sayings: Iterable[Saying],
    normalise: Callable[[str], str],
    began: float = 0.0,
    cancelled: bool | None = None,
) -> list[Utterance]:
    """Return the utterances that are not the assistant's own; what was spoken into a reply is marked.

    `sayings` are on the clock on which the stream of the utterances began at `began`, in seconds.
    `cancelled` is whether the assistant's voice was taken out of what was heard last, None where it never is.
    A sentence into a reply is then acted on; but a reading, however little of it was in one, needs a yes,
    and a yes or no is none to a question that was not heard out.
    """
    said, kept = tuple(sayings), list[Utterance]()
    for one in utterances:
        words = normalise(one.known_words)
        verdict = whose(words, one.meaning, began + one.start, began + one.end, said)
        if verdict is not Verdict.OWN:
            into = one if cancelled is None else _into(one, said, began)
            over = verdict is Verdict.OVER and not cancelled
            kept.append(replace(into, over=into.over or over))
    return kept


def _into(one: Utterance, said: tuple[Saying, ...], began: float) -> Utterance:
    """Return an utterance with what follows from its having been spoken into a reply, if it was."""
    into = any(began + one.start < each.end and each.start < began + one.end for each in said)
    if not into or one.meaning is None:
        return one
    reading = one.meaning.kind in READINGS or one.meaning.value is not None
    return replace(one, doubtful=one.doubtful or reading, over=one.meaning.kind in ANSWERS)


class OwnVoice:
    """Knows what a voice says aloud and when; any thread may ask."""

    def __init__(self, voice: AloudVoice, normalise: Callable[[str], str], *, cancels: bool = False) -> None:
        """`cancels` says whether its echo is taken out of what is heard, when that can be done."""
        self._voice, self._normalise, self._cancels = voice, normalise, cancels

    def sayings(self) -> list[Saying]:
        """Return the phrases that were or are in the air, in seconds of `time.monotonic`."""
        return [
            Saying(self._normalise(text), playing.heard_at, playing.heard_at + playing.position_s)
            for text, playing in tuple(self._voice.spoken)
            if playing.heard_at is not None
        ]

    def keep_out(self, decided: list[Utterance], block: Block) -> list[Utterance]:
        """Return what of the utterances decided with this block of sound was not our own voice."""
        if not decided:
            return decided
        cancelled = block.cancelled if self._cancels else None
        now, sayings = block.at + len(block.pcm) / 2 / RATE, self.sayings()
        return [
            kept
            for one in decided
            for kept in walled([one], sayings, self._normalise, now - one.decided, cancelled)
        ]
