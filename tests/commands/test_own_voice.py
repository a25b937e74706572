"""What the loudspeaker says and when, held against what the ear brings."""

from __future__ import annotations

from collections import deque
from types import SimpleNamespace
from typing import cast

import numpy as np

from assistant.commands.listener import Listener
from assistant.commands.own_voice import OwnVoice, walled
from assistant.dialogue.own_words import Saying
from assistant.grammar.judgement import ANYTHING, Expectation
from assistant.grammar.meaning import Meaning
from assistant.hearing.blocks import Block
from assistant.hearing.sound import RATE
from assistant.hearing.utterance import Utterance
from assistant.speaking.aloud import AloudVoice
from assistant.speaking.line import Playing
from tests.bench import grammar

READING = Meaning("temperature", "55", "celsius")


def utterance(words: str, start: float, end: float, meaning: Meaning | None = READING) -> Utterance:
    """Something heard at some time of its stream."""
    return Utterance(words, start, end, end + 0.2, -12.0, -60.0, meaning=meaning, share=1.0)


def voice(text: str, at: float, seconds: float) -> AloudVoice:
    """A voice that has said one phrase."""
    playing = Playing(np.zeros(round(seconds * RATE), np.float32), RATE)
    playing.heard_at = at
    playing.take(round(seconds * RATE))
    return cast(AloudVoice, SimpleNamespace(spoken=deque([(text, playing)])))


def test_its_own_words_are_dropped_and_what_was_spoken_into_them_is_marked() -> None:
    sayings = [Saying("fifty five degrees celsius", 100.0, 102.0)]
    found = [
        utterance("fifty five degrees celsius [unk]", 0.0, 1.9),
        utterance("torque three five newton meters", 0.1, 1.8, Meaning("torque", "35", "newton_metre")),
        utterance("stand by", 0.5, 1.0, Meaning("stand-by")),
        utterance("[unk] [unk]", 0.5, 1.5, None),
        utterance("fifty five degrees celsius", 3.0, 4.0),
    ]

    kept = walled(found, sayings, grammar().normalise, began=100.0)

    assert [(one.words.split()[0], one.over) for one in kept] == [
        ("torque", True), ("stand", False), ("fifty", False),
    ]  # fmt: skip


def test_where_the_echo_is_cancelled_a_sentence_into_a_reply_counts_but_a_reading_needs_a_yes() -> None:
    """A yes into it is none: the question was not heard out. Its own words are dropped all the same."""
    sayings = [Saying("fifty five degrees celsius is that right", 100.0, 103.0)]
    found = [
        utterance("fifty five degrees celsius", 0.0, 1.9),
        utterance("torque three five newton meters", 0.5, 1.8, Meaning("torque", "35", "newton_metre")),
        utterance("say again", 1.5, 2.0, Meaning("say-again")),
        utterance("yes", 2.0, 2.5, Meaning("yes")),
        utterance("drained four litres", 2.5, 4.5, Meaning("drained", "4", "litre")),
        utterance("drained four litres", 4.0, 5.0, Meaning("drained", "4", "litre")),
        utterance("yes", 4.0, 4.5, Meaning("yes")),
    ]

    kept = walled(found, sayings, grammar().normalise, began=100.0, cancelled=True)

    assert [(one.words.split()[0], one.doubtful, one.over) for one in kept] == [
        ("torque", True, False), ("say", False, False), ("yes", False, True),
        ("drained", True, False), ("drained", False, False), ("yes", False, False),
    ]  # fmt: skip


def test_a_reading_that_was_partly_in_a_reply_needs_a_yes_also_where_the_cancelling_has_just_ended() -> None:
    """With a headset it needs none: it cut the reply short."""
    sayings = [Saying("what is the drip interval", 100.0, 102.0)]
    found = [utterance("drained four litres", 1.5, 4.0, Meaning("drained", "4", "litre"))]

    def doubtful(cancelled: bool | None) -> list[bool]:
        kept = walled(found, sayings, grammar().normalise, began=100.0, cancelled=cancelled)
        return [one.doubtful for one in kept]

    assert doubtful(None) == [False]
    assert doubtful(False) == doubtful(True) == [True]


class Decided:
    """A recogniser that has just decided one utterance, whenever its stream began."""

    hears_speech = stirs = False
    noise_db = -60.0

    def __init__(self, one: Utterance) -> None:
        self.one = one
        self.expectation = ANYTHING

    def feed(self, pcm: bytes, opens: bool = True) -> list[Utterance]:
        """Bring it."""
        return [self.one]

    def finish(self) -> list[Utterance]:
        """Nothing is under way."""
        return []

    interrupt = finish


def test_the_times_of_the_ear_and_of_the_loudspeaker_are_brought_together() -> None:
    """The block's time of capture tells when the utterance was decided."""
    own = OwnVoice(voice("Fifty five degrees Celsius.", 500.0, 2.0), grammar().normalise)
    one = utterance("fifty five degrees celsius", 7.0, 8.9)
    for captured, heard in ((502.1, 0), (506.0, 1), (499.5, 1)):
        block = Block(bytes(2 * RATE // 10), at=captured - 0.1)
        ear = Listener(Decided(one), lambda: None, wall=own.keep_out)
        assert len(ear.hear(block, Expectation())) == heard


def test_a_phrase_still_waiting_is_not_in_the_air() -> None:
    waiting = voice("Fifty five degrees.", 0.0, 2.0)
    waiting.spoken[0][1].heard_at = None
    assert OwnVoice(waiting, grammar().normalise).sayings() == []
