"""When an utterance begins and when it is over: silence, measured against what the grammar still allows.

A pure state machine. Time is counted in samples of what it was fed, so the same sound gives the same
decisions at any speed and however it was cut into pieces.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum, auto

from assistant.errors import WrongInput
from assistant.hearing.openness import Openness
from assistant.hearing.sound import RATE

FRAME = 512
"""Samples the voice detector judges at once: 32 ms."""
PRE_ROLL = 15 * FRAME
"""Samples of sound before the onset that belong to the utterance: 480 ms, so no first consonant is lost."""


@dataclass(frozen=True, slots=True)
class Pauses:
    """How much silence ends an utterance, in seconds, by what may still follow.

    Whole frames of 32 ms. Measured with 280 hesitations of seven lengths: delays are about the
    silence plus 50-80 ms, and pauses up to the silence are tolerated.
    """

    closed: float = 0.096
    """Nothing may follow: 0 of 98 results changed by deciding then."""
    unit: float = 0.160
    """Only a unit may follow; cut off, it is taken in as a late tail."""
    phrase: float = 0.160
    """A whole sentence that may be added to; cut off, what follows is taken in as a late tail."""
    decimal: float = 0.384
    """A further decimal may follow: "three point two" is not cut from "five" by pauses of 0.3 s."""
    number: float = 0.192
    """A whole number without its unit. People seldom pause inside one, and what then comes is a late tail."""
    growing: float = 0.512
    """Digits of a number not yet whole: cut from the rest by none of 30 pauses up to 0.45 s."""
    incomplete: float = 1.504
    """No sentence yet: after a verb or "point" pauses of 1 s were never cut."""
    unknown: float = 0.512
    """Outside the grammar, or no word at all."""
    stable: float = 0.064
    """The words have not changed for so long."""
    factor: float = 1.0
    """For slow talkers, 1 to 3: stretches all but `closed` and `stable`."""

    def __post_init__(self) -> None:
        """Refuse a factor that would cut people off or wait for ever."""
        if not 1.0 <= self.factor <= 3.0:
            raise WrongInput(f"the pause factor is {self.factor}; it lies between 1 and 3")

    def samples(self, openness: Openness) -> int:
        """Return the silence, in samples, that ends an utterance so open."""
        wait = float(getattr(self, openness.value))
        return round(wait * (1.0 if openness is Openness.CLOSED else self.factor) * RATE)


class Phase(Enum):
    """Where the endpointer is."""

    WAITING = auto()
    """No speech; sound goes into the pre-roll."""
    INSIDE = auto()
    """In an utterance; sound goes to the recogniser."""
    DEAF = auto()
    """After talk that was too long: nothing is heard until there is a silence."""


class Ending(Enum):
    """Why an utterance is over."""

    DECIDED = auto()
    """Silence enough for what was said."""
    NOTHING = auto()
    """There was sound, and not one word in it."""
    TALK = auto()
    """Too long for any sentence."""


SPEECH = 0.5
"""Probability of the voice detector from which a frame is speech."""
ONSET_FRAMES = 2
"""Frames of speech in a row that begin an utterance, so that a flicker in steady noise does not."""
LONGEST = 12 * RATE
"""No sentence lasts so long, even slowly said."""
LONGEST_UNKNOWN = 4 * RATE
"""Nothing but unknown words for so long is talk, and need not be decoded further."""
QUIET_AGAIN = int(0.32 * RATE)
"""Silence after too long a talk that opens the ear again."""


class Endpointer:
    """Told of every frame; says when an utterance begins and ends."""

    def __init__(self, pauses: Pauses | None = None) -> None:
        self.pauses = pauses or Pauses()
        self.phase = Phase.WAITING
        self.now = 0
        """Samples heard so far."""
        self.start = 0
        """First sample of speech of the current or last utterance."""
        self.end = 0
        """End of the last frame of speech of the current or last utterance."""
        self.before = -LONGEST
        """End of the last speech, talk included, in which there were words."""
        self._speech_run = 0
        self._words: str | None = None
        self._changed = 0

    @property
    def silence(self) -> int:
        """Samples since the last speech."""
        return self.now - self.end

    @property
    def stirs(self) -> bool:
        """Whether the last frame may be the first of an utterance."""
        return self.phase is Phase.WAITING and self._speech_run > 0

    def frame(self, speech: float, samples: int = FRAME, opens: bool = True) -> Phase:
        """Take in one frame, by its probability of being speech; return the phase it belongs to.

        A frame that opens no utterance still counts as the beginning of one that opens after it.
        """
        self.now += samples
        self._speech_run = self._speech_run + 1 if speech >= SPEECH else 0
        if self.phase is Phase.WAITING:
            if opens and self._speech_run >= ONSET_FRAMES:
                self.start, self.end = self.now - self._speech_run * samples, self.now
                self.phase, self._words, self._changed = Phase.INSIDE, None, self.now
        # A lone frame of speech inside a silence is a flicker of the detector, in steady noise a
        # frequent one: it does not make the silence start again.
        elif self._speech_run >= ONSET_FRAMES:
            self.end = self.now
        if self.phase is Phase.DEAF and self.silence >= QUIET_AGAIN:
            self.reopen()
        return self.phase

    def heard(self, words: str, openness: Openness) -> Ending | None:
        """Take in what the recogniser makes of the utterance so far; return why it is over, or None.

        Called once after each frame inside an utterance.
        """
        if words != self._words:
            self._words, self._changed = words, self.now
        length = self.now - self.start
        talk = bool(words) and openness is Openness.UNKNOWN and length >= LONGEST_UNKNOWN
        if length >= LONGEST or talk:
            return Ending.TALK
        if self._speech_run or self.silence < self.pauses.samples(openness):
            return None
        if not words:
            return Ending.NOTHING
        if self.now - self._changed < round(self.pauses.stable * RATE):
            return None
        return Ending.DECIDED

    def close(self, ending: Ending) -> None:
        """The utterance was dealt with: wait for the next, or for a silence when it was talk."""
        self.phase = Phase.DEAF if ending is Ending.TALK else Phase.WAITING
        if ending is Ending.DECIDED:
            self.before = self.end
        if ending is not Ending.TALK:
            self._speech_run = 0

    def reopen(self) -> None:
        """Listen again at once."""
        self.before = self.end
        self.phase, self._speech_run = Phase.WAITING, 0
