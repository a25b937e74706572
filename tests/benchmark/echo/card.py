"""The same on real streams: the virtual loudspeaker led into the virtual microphone, at 0 dB.

The sound process, its canceller and our real ear, in real time; people are played into the microphone while
the reply is. Run inside `.ci/sound-card`.
"""

from __future__ import annotations

import contextlib
import fcntl
import queue
import subprocess
import threading
import time
from collections.abc import Mapping
from statistics import median
from typing import Any

import numpy as np

from assistant.commands.listener import Gate, Listener
from assistant.commands.own_voice import walled
from assistant.dialogue.own_words import Saying
from assistant.duplex.client import Duplex
from assistant.duplex.wire import Measured
from assistant.grammar.judgement import ANYTHING
from assistant.hearing.blocks import Block
from assistant.hearing.break_in import BreakIn
from assistant.hearing.capture import MicrophoneProcess, SteadyMicrophone
from assistant.hearing.recogniser import Recogniser
from assistant.hearing.sound import RATE
from assistant.hearing.utterance import Utterance
from assistant.speaking.line import Output, Playing
from assistant.speaking.output import Loudspeaker
from assistant.speaking.sound import active_level, from_samples
from tests.bench import grammar
from tests.benchmark.echo.figures import Outcome, talked
from tests.benchmark.echo.people import LEVEL, Reply, Said
from tests.benchmark.live import card
from tests.benchmark.noises import Wave

AFTER_S = 1.5
"""Listened to after a reply, and after whoever spoke into it."""
START_S = 10.0
PIPE = 4096
"""Bytes of the pipe to the sound server's client: 128 ms of sound that is late, no more."""


class Talker:
    """Somebody at the microphone: one stream that is always there and mostly silent.

    A stream that came and went with each sentence would change the sound server's delays, and so the path of
    the echo, which no voice does.
    """

    def __init__(self) -> None:
        command = ["pacat", "--raw", "--latency-msec=30", "--device=mic", f"--rate={RATE}", "--channels=1",
                   "--format=s16le"]  # fmt: skip
        self._process = subprocess.Popen(command, stdin=subprocess.PIPE, bufsize=0)
        assert self._process.stdin is not None
        fcntl.fcntl(self._process.stdin, fcntl.F_SETPIPE_SZ, PIPE)
        self._waiting: queue.SimpleQueue[bytes] = queue.SimpleQueue()
        threading.Thread(target=self._run, daemon=True).start()

    def speak(self, wave: Wave) -> None:
        """Say something now."""
        self._waiting.put(np.round(np.clip(wave, -1, 1) * 32_767).astype("<i2").tobytes())

    def close(self) -> None:
        """Fall silent for good."""
        self._process.kill()
        self._process.wait()

    def _run(self) -> None:
        assert self._process.stdin is not None
        with contextlib.suppress(OSError):
            while True:
                try:
                    pcm = self._waiting.get_nowait()
                except queue.Empty:
                    pcm = bytes(2 * RATE // 100)
                self._process.stdin.write(pcm)  # waits until the stream has room: it keeps the time


class Desk:
    """A session on the card; belongs to the thread that uses it."""

    def __init__(self, ear: Recogniser, way: str) -> None:
        """Open the devices the way that is wanted, "gate" or "cancel"."""
        self._talker = Talker()
        self._checks: list[Measured] = []
        self._settled = [0, 0]
        self._cut_at: float | None = None
        self._sayings: list[Saying] = []
        self._duplex: Duplex | None = None
        self.slips = 0
        """How often the canceller was doubted again."""
        if way == "cancel":
            self._duplex = Duplex("", 1.0, lambda gain: Loudspeaker(gain=gain), self._checks.append)
            self._output: Output = self._duplex
            self._microphone = SteadyMicrophone(self._duplex.opening)
        else:
            self._output = Loudspeaker()
            self._microphone = SteadyMicrophone(MicrophoneProcess)
        gate = Gate(self._output.air, BreakIn(ear.model, self._output.air.loudest))
        self._listener = Listener(ear, self._cut, gate, self._wall)
        until = time.monotonic() + START_S
        while self._microphone.read(0.1) is None:
            assert time.monotonic() < until, self._microphone.trouble

    def close(self) -> None:
        """Let go of the devices."""
        self._microphone.close()
        self._output.close()
        self._talker.close()

    def say(self, reply: Reply, said: Said | None = None, after_s: float = 1.0) -> Outcome:
        """Play a reply, somebody speaking into it after so long; it goes on where it is cut short."""
        self._cut_at, self._settled = None, [0, 0]
        self._checks.clear()
        playing = self._output.play(from_samples(reply.sound, RATE))
        found, spoken = list[Utterance](), said is None
        begun = time.monotonic()
        until = begun + len(reply.sound) / RATE + AFTER_S
        if said is not None:
            until = max(until, begun + after_s + len(said.sound) / RATE + AFTER_S)
        while time.monotonic() < until:
            if said is not None and not spoken and time.monotonic() > begun + after_s:
                spoken = True
                level = active_level(said.sound.astype(np.float32), RATE)
                self._talker.speak(LEVEL * said.sound / level)
            found += self._listen(reply, playing, said)
        db = [one.db for one in self._checks if one.db] or [0.0]
        self.slips += sum(not one.settled for one in self._checks)
        cut_s = None if self._cut_at is None else self._cut_at - begun
        return Outcome(tuple(found), cut_s, median(db), self._settled[0] / max(1, self._settled[1]))

    def _listen(self, reply: Reply, playing: Playing, said: Said | None) -> list[Utterance]:
        block = self._microphone.read(0.05)
        if block is None:
            return []
        if playing.heard_at is not None:
            words = grammar().normalise(reply.words)
            self._sayings = [Saying(words, playing.heard_at, playing.heard_at + playing.position_s)]
        if not playing.over:
            self._settled[0] += block.cancelled
            self._settled[1] += 1
        return self._listener.hear(block, said.expectation if said is not None else ANYTHING)

    def _cut(self) -> None:
        self._cut_at = time.monotonic() if self._cut_at is None else self._cut_at

    def _wall(self, decided: list[Utterance], block: Block) -> list[Utterance]:
        end, kept = block.at + len(block.pcm) / 2 / RATE, list[Utterance]()
        for one in decided:
            began = end - one.decided
            kept += walled([one], self._sayings, grammar().normalise, began, block.cancelled)
        return kept


def on_the_card(
    ear: Recogniser, way: str, ours: list[Reply], said: Mapping[str, list[Said]]
) -> dict[str, Any]:
    """Return what the room's figures are, off the card."""
    card.link("speaker:monitor_MONO", "mic:playback_MONO")
    desk = Desk(ear, way)
    try:
        figures = talked(desk.say, ours, said)
    finally:
        desk.close()
        subprocess.run(["pw-link", "-d", "speaker:monitor_MONO", "mic:playback_MONO"], check=False)
    return {**figures, "doubted": desk.slips}
