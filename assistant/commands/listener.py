"""What the ear does with sound by the route of the voice: headset or loudspeaker."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Protocol

from assistant.grammar.judgement import Expectation
from assistant.grammar.meaning import Meaning
from assistant.hearing.blocks import Block
from assistant.hearing.gate import Part, parts
from assistant.hearing.sound import RATE
from assistant.hearing.utterance import Utterance
from assistant.speaking.air import Air

SAID_S = 0.15
"""An utterance followed by so much silence was over when the assistant's own voice cut it off."""
WHOLE_S = 0.07
"""An utterance that begins sooner after the ear opens again may lack its beginning."""
REST_S = 0.5
"""An utterance that begins sooner after sound was lost may be the rest of one that began in what was lost."""


class Recognising(Protocol):
    """What the ear needs of a recogniser; all of it is called by the one thread that made it."""

    expectation: Expectation

    @property
    def hears_speech(self) -> bool:
        """Whether an utterance is under way."""

    @property
    def stirs(self) -> bool:
        """Whether one may be beginning."""

    @property
    def noise_db(self) -> float:
        """Level of the room without speech, dBFS RMS."""

    def feed(self, pcm: bytes, opens: bool = True) -> list[Utterance]:
        """Take in sound, which opens an utterance or may not; return what it decided."""

    def finish(self) -> list[Utterance]:
        """Decide what is under way, and begin anew."""

    def interrupt(self) -> list[Utterance]:
        """Decide what is under way, and begin anew in the same room."""


class Watching(Protocol):
    """What is heard through our own voice."""

    @property
    def louder(self) -> bool:
        """Whether something in the last moments was louder than our own voice."""

    def feed(self, pcm: bytes, at: float) -> str | None:
        """Take in sound captured from `at` on; return words that silence the voice when they are heard."""

    def reset(self) -> None:
        """Another stretch of sound begins."""


MOST_WAIT_S = 3.0
"""A reply waits so long at most for somebody to end."""
SILENCING = ("stop",)
"""What the grammar has no sentence for: all else that breaks in is one, and better told apart by the ear."""
BREAKING_IN = {"stand by": Meaning("stand-by"), "emergency": Meaning("emergency")}
"""What is said into a reply through a loudspeaker -> what it means; "stop" only silences."""


class Gate:
    """For a loudspeaker: what of the sound may be our own voice, and who listens for "stop" in that."""

    def __init__(self, air: Air, watch: Watching) -> None:
        self._air, self._watch = air, watch

    def parts(self, block: Block) -> list[tuple[Part, Block]]:
        """Return a block in pieces, cut where our own begins and ends."""
        return parts(block, self._air.overlapping)

    def shut(self) -> None:
        """Our own voice begins."""
        self._watch.reset()

    @property
    def louder(self) -> bool:
        """Whether somebody else may be speaking in it: it was louder than our own voice alone."""
        return self._watch.louder

    def broken_by(self, block: Block) -> str | None:
        """Take in sound in which our own voice is; return the words that silence it, if they are there."""
        return self._watch.feed(block.pcm, block.at)


class Listener:
    """Feeds a recogniser from a microphone by the rules of the route; called by one thread only."""

    def __init__(
        self,
        recogniser: Recognising,
        cut: Callable[[], None],
        gate: Gate | None = None,
        wall: Callable[[list[Utterance], Block], list[Utterance]] | None = None,
        hold: Callable[[bool], None] = lambda _: None,
    ) -> None:
        """`cut` silences the assistant, `hold` pauses it or lets it go on; `wall` takes out its own words.

        With a headset, where nothing comes back, there is no gate, and whatever speech is heard cuts a
        reply short; at the first sign of it the reply pauses, and none begins meanwhile. Through a
        loudspeaker only a few words do, and nothing else is heard while it speaks, unless our voice was
        taken out of the sound: then a sentence cuts the reply short as soon as it is understood.
        """
        self._recogniser, self._cut, self._gate, self._wall = recogniser, cut, gate, wall
        self._hold = hold
        self._deaf = self._reopened = self._holds = self._through = False
        self._waited = 0.0
        self._since_hole_s = math.inf
        """Sound heard since some was lost."""

    def hear(self, block: Block, expectation: Expectation, cuts: bool = True) -> list[Utterance]:
        """Return the utterances that end with this sound; speech cuts a reply short only if `cuts`."""
        decided = self._decided(block, expectation, cuts)
        if self._wall is not None:
            decided = self._wall(decided, block)
        if cuts and self._through and any(one.meaning is not None for one in decided):
            self._cut()
        return decided

    def _decided(self, block: Block, expectation: Expectation, cuts: bool) -> list[Utterance]:
        self._recogniser.expectation = expectation
        decided: list[Utterance] = []
        if block.lost:
            self._since_hole_s = 0.0
        self._since_hole_s += len(block.pcm) / 2 / RATE
        if self._gate is None:
            return self._open(block.pcm, cuts)
        for kind, piece in self._gate.parts(block):
            if kind is Part.CLOSED:
                heard = self._heard_through if piece.cancelled else self._shut
                decided += heard(self._gate, piece)
                continue
            self._through = False
            self._deaf = False
            if kind is Part.TAIL:
                decided += self._sound(self._recogniser.feed(piece.pcm, opens=False))
            else:
                decided += self._open(piece.pcm, cuts=False)
        return decided

    def _open(self, pcm: bytes, cuts: bool) -> list[Utterance]:
        before = self._recogniser.hears_speech
        decided = self._recogniser.feed(pcm)
        if self._recogniser.hears_speech and not before and cuts:
            self._cut()
        self._held_back(cuts, len(pcm) / 2 / RATE)
        return self._whole(decided)

    def _whole(self, decided: list[Utterance], cut_off: bool = False) -> list[Utterance]:
        """Return what was decided, torn where its beginning or its end was in our own voice."""
        late, self._reopened = self._reopened and bool(decided), self._reopened and not decided
        return [
            torn(one)
            if (late and one.start < WHOLE_S) or (cut_off and one.decided - one.end < SAID_S)
            else one
            for one in self._sound(decided)
        ]

    def _sound(self, decided: list[Utterance]) -> list[Utterance]:
        """Return what was decided, torn where some of it was lost on the way: as one, when it has ended."""
        return [
            asked_again(one) if self._since_hole_s < one.decided - one.start + REST_S else one
            for one in decided
        ]

    def _held_back(self, cuts: bool, seconds: float) -> None:
        """Keep a reply waiting while somebody speaks or may be about to; not for ever, where noise does."""
        speaks = cuts and (self._recogniser.stirs or self._recogniser.hears_speech)
        self._waited = self._waited + seconds if speaks else 0.0
        self._pause(speaks and self._waited < MOST_WAIT_S)

    def _pause(self, held: bool) -> None:
        if held != self._holds:
            self._holds = held
            self._hold(held)

    def _shut(self, gate: Gate, block: Block) -> list[Utterance]:
        """Hear nothing but the words that silence our voice; what was under way may have lost its end."""
        decided: list[Utterance] = []
        self._through = False
        if not self._deaf:
            decided += self._whole(self._recogniser.interrupt(), cut_off=True)
            self._deaf = self._reopened = True
            gate.shut()
        word = gate.broken_by(block)
        if word is not None:
            self._cut()
            decided += _broken_in(word)
        return decided

    def _heard_through(self, gate: Gate, block: Block) -> list[Utterance]:
        """Hear everything through our own voice, of which too little is left to be understood.

        Enough is left to be taken for somebody who speaks: no utterance opens in what is no louder.
        """
        if not self._through:
            self._through, self._deaf = True, False
            gate.shut()
        if gate.broken_by(block) in SILENCING:
            self._cut()
        return self._whole(self._recogniser.feed(block.pcm, opens=gate.louder))

    @property
    def noise_db(self) -> float:
        """Level of the room without speech, dBFS RMS."""
        return self._recogniser.noise_db

    def lost(self) -> list[Utterance]:
        """The microphone is gone: what was under way is torn, for its end is not known."""
        self._pause(False)
        self._since_hole_s = 0.0
        return [asked_again(one) for one in self._recogniser.finish()]


def torn(utterance: Utterance) -> Utterance:
    """Return an utterance of which a piece is missing: without one of its words a number is another."""
    return replace(utterance, meaning=None, reason="torn")


def asked_again(utterance: Utterance) -> Utterance:
    """Return an utterance of which sound was lost: speech, however little of a sentence is left of it."""
    return replace(utterance, meaning=None, reason="lost", mass=1.0)


def _broken_in(word: str) -> list[Utterance]:
    meaning = BREAKING_IN.get(word)
    return [] if meaning is None else [Utterance(word, 0.0, 0.0, 0.0, 0.0, 0.0, meaning=meaning, share=1.0)]
