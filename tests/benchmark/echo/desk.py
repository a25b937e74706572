"""A loudspeaker beside a microphone in the simulated room, and our real ear behind them, on simulated time.

What the sound process does frame by frame (canceller, self check) and what the ear does with it (gate, words
that break in, recogniser, wall of words) are the program's own; the card and the room are simulated.
"""

from __future__ import annotations

import numpy as np

from assistant.commands.listener import Gate, Listener
from assistant.commands.own_voice import walled
from assistant.dialogue.own_words import Saying
from assistant.duplex.canceller import FRAME, EchoCanceller
from assistant.duplex.reduction import Reduction
from assistant.grammar.judgement import ANYTHING, Expectation
from assistant.hearing.blocks import Block
from assistant.hearing.break_in import BreakIn
from assistant.hearing.recogniser import Recogniser
from assistant.hearing.sound import RATE
from assistant.hearing.utterance import Utterance
from assistant.speaking.air import Air
from assistant.speaking.sound import active_level, level_db
from tests.bench import grammar
from tests.benchmark.echo.figures import Outcome
from tests.benchmark.echo.people import Reply, Said
from tests.benchmark.echo.room import DELAY_S, echo
from tests.benchmark.noises import Rng, Wave

VOICE_DB = -20.0
"""The mechanic's voice at the microphone, RMS of its active parts."""
NOISE_DB = -65.0
PAUSE_S = 1.5
"""Silence after a reply."""


def amplitude(db: float) -> float:
    """Return a level as a share of full scale."""
    return float(10 ** (db / 20))


class Desk:
    """One session: the state of canceller, self check and ear goes on from reply to reply."""

    def __init__(self, ear: Recogniser, echo_db: float, canceller: EchoCanceller | None, rng: Rng) -> None:
        """`echo_db` is the level of the echo beside the mechanic's voice."""
        self.air, self.now, self.reduction = Air(), 100.0, Reduction()
        self._ear, self._echo_db, self._canceller, self._rng = ear, echo_db, canceller, rng
        self._cut_at: float | None = None
        self._sayings: tuple[Saying, ...] = ()
        gate = Gate(self.air, BreakIn(ear.model, self.air.loudest))
        self._listener = Listener(ear, self._cut, gate, self._wall)

    def _cut(self) -> None:
        self._cut_at = self.now if self._cut_at is None else self._cut_at

    def _wall(self, decided: list[Utterance], block: Block) -> list[Utterance]:
        end = block.at + len(block.pcm) / 2 / RATE
        kept = []
        for one in decided:
            began = end - one.decided
            kept += walled([one], self._sayings, grammar().normalise, began, block.cancelled)
        return kept

    def say(self, reply: Reply, said: Said | None = None, after_s: float = 1.0) -> Outcome:
        """Play a reply, somebody speaking into it after so long; the reply goes on where it is cut short."""
        voice = said.sound if said is not None else None
        long = len(reply.sound) + round(PAUSE_S * RATE)
        if voice is not None:
            long = max(long, round((after_s + PAUSE_S) * RATE) + len(voice))
        count = -(-long // FRAME) * FRAME
        played = np.zeros(count)
        played[: len(reply.sound)] = reply.sound
        heard = echo(played) * amplitude(VOICE_DB + self._echo_db) / active_level(played, RATE)
        if voice is not None:
            at = round(after_s * RATE)
            heard[at : at + len(voice)] += voice * amplitude(VOICE_DB) / active_level(voice, RATE)
        heard += self._rng.standard_normal(count) * amplitude(NOISE_DB)
        return self._run(reply, played, heard, said.expectation if said is not None else ANYTHING)

    def _run(self, reply: Reply, played: Wave, heard: Wave, expectation: Expectation) -> Outcome:
        begun, self._cut_at = self.now, None
        seconds = len(reply.sound) / RATE
        saying = Saying(grammar().normalise(reply.words), begun + DELAY_S, begun + DELAY_S + seconds)
        self._sayings = (*self._sayings[-3:], saying)
        mine, theirs = _pcm(played), _pcm(heard)
        found, powers, settled = list[Utterance](), np.zeros(2), 0
        for at in range(0, len(mine), 2 * FRAME):
            played_now, captured = mine[at : at + 2 * FRAME], theirs[at : at + 2 * FRAME]
            left, calm = captured, False
            if self._canceller is not None:
                left = self._canceller.cancel(captured, played_now)
                calm = self.reduction.frame(captured, played_now, left)
            if at < 2 * len(reply.sound):
                self.air.put(self.now + DELAY_S, FRAME / RATE, level_db(_floats(played_now)))
                powers += [np.mean(_floats(captured) ** 2), np.mean(_floats(left) ** 2)]
                settled += calm
            found += self._listener.hear(Block(left, 0, self.now, calm), expectation)
            self.now += FRAME / RATE
        frames = -(-len(reply.sound) // FRAME)
        ratio = 10 * np.log10((powers[0] + 1e-12) / (powers[1] + 1e-12))
        cut_s = None if self._cut_at is None else self._cut_at - begun
        return Outcome(tuple(found), cut_s, float(ratio), settled / frames)


def _pcm(wave: Wave) -> bytes:
    return np.asarray(np.clip(np.rint(wave * 32_767), -32_768, 32_767)).astype("<i2").tobytes()


def _floats(pcm: bytes) -> np.ndarray[tuple[int], np.dtype[np.float32]]:
    return np.frombuffer(pcm, dtype="<i2").astype(np.float32) / np.float32(32_768)
