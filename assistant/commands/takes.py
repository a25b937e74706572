"""Reading aloud, turn by turn: a line is asked for, and comes off a microphone, a keyboard or a recording."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

import numpy as np

from assistant.app import Say
from assistant.commands import house
from assistant.commands.ears import Ear, Over
from assistant.commands.language import ear_lacks, with_own
from assistant.commands.personal import ear_of
from assistant.dialogue.reply import Heard
from assistant.errors import MissingPart
from assistant.grammar.grammar import Grammar
from assistant.grammar.judgement import ANYTHING, Expectation
from assistant.hearing.capture import SteadyMicrophone
from assistant.hearing.sound import Samples, in_blocks
from assistant.shelf.places import cache_folder
from assistant.shelf.settings import Settings

if TYPE_CHECKING:
    from assistant.hearing.enrolment import Profile
    from assistant.hearing.recogniser import Recogniser
    from assistant.hearing.utterance import Utterance

PATIENCE_S = 12.0
"""How long a sentence is waited for."""
PATIENT = 3.0
"""Pause factor while a sentence is read for the first time: cut off, it would have to be read again."""
WAIT_S = 0.1
NOTHING: Samples = np.zeros(0, dtype=np.int16)


@dataclass(frozen=True, slots=True)
class Take:
    """What came of one turn: sound, or a line that was typed instead."""

    sound: Samples = field(default_factory=lambda: NOTHING)
    typed: Heard | None = None


class Takes(Protocol):
    """Whoever reads aloud."""

    def take(self, sentences: Sequence[str]) -> Take | None:
        """Say what is to be read and return what comes; None when nothing will come any more."""


class Reader:
    """The real ear, the model loaded once: hears each take as a stream of its own."""

    def __init__(self, model: Path | None, chosen: Settings) -> None:
        """Load grammar and model; raises `MissingPart` where the model is neither there nor to be had."""
        from assistant.commands.fetch import word_graph
        from assistant.hearing.recogniser import open_model

        self.grammar: Grammar = with_own(chosen.language, house.left_out, lacking=ear_lacks(model))
        self._folder = word_graph(self.grammar.acceptor, model, cache_folder())
        self._model = open_model(self._folder)

    def recogniser(
        self, factor: float = PATIENT, expectation: Expectation = ANYTHING, profile: Profile | None = None
    ) -> Recogniser:
        """Return a recogniser with a pause factor, set for a person where a profile is given."""
        from assistant.hearing.enrolment import Profile

        return ear_of(
            self._folder, self.grammar, profile or Profile(), factor,
            model=self._model, expectation=expectation,
        )  # fmt: skip

    def hear(
        self, sound: Samples, factor: float, expectation: Expectation, profile: Profile | None = None
    ) -> Iterator[Utterance]:
        """Yield what is heard in a take."""
        ear = self.recogniser(factor, expectation, profile)
        for block in in_blocks(sound.astype("<i2").tobytes()):
            yield from ear.feed(block)
        yield from ear.finish()


class RecordedTakes:
    """Recordings, one for each turn, in order."""

    def __init__(self, sounds: Sequence[Samples], say: Say) -> None:
        self._sounds, self._say = list(sounds), say

    def take(self, sentences: Sequence[str]) -> Take | None:
        """Say what is to be read; return the next recording."""
        self._say(sentences)
        return Take(self._sounds.pop(0)) if self._sounds else None


class LiveTakes:
    """A person at a microphone, with a keyboard beside it."""

    def __init__(
        self,
        microphone: SteadyMicrophone,
        say: Say,
        listening: Callable[[], Recogniser],
        keyboard: Ear | None = None,
    ) -> None:
        """`listening` makes the recogniser that tells when a sentence is over."""
        self._microphone, self._say, self._listening, self._keyboard = microphone, say, listening, keyboard

    def take(self, sentences: Sequence[str]) -> Take:
        """Say what is to be read; return what is spoken or typed after it, an empty take after silence.

        Raises `MissingPart` where there is neither a microphone nor a keyboard.
        """
        self._say(sentences)
        ear = self._listening()
        while self._microphone.read(0.0) is not None:
            pass  # what was heard while we spoke
        pcm, until = b"", time.monotonic() + PATIENCE_S
        while time.monotonic() < until:
            block = self._microphone.read(WAIT_S)
            deaf = bool(self._microphone.trouble) and not self._microphone.listening
            typed = self._typed(WAIT_S if deaf else 0.0)
            if typed is not None:
                return Take(typed=typed)
            if deaf:
                if self._keyboard is None:
                    raise MissingPart(
                        f"no microphone: {self._microphone.trouble}; give recordings with --ear"
                    )
                until = time.monotonic() + PATIENCE_S  # whoever types takes the time it takes
            if block is not None:
                pcm += block.pcm
                if ear.feed(block.pcm):
                    break
        return Take(np.frombuffer(pcm, dtype="<i2"))

    def _typed(self, timeout_s: float) -> Heard | None:
        item = self._keyboard.next(timeout_s, None) if self._keyboard is not None else None
        if isinstance(item, Over):
            self._keyboard, item = None, None
        return item if item is not None and not item.key else None
