"""What goes wrong with sound, done to the running program: cables, stalls, processes that die."""

from __future__ import annotations

import contextlib
import os
import random
import signal
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass

from tests.benchmark.live.card import play, plug, unplug, use
from tests.benchmark.live.program import MICROPHONE, VOICE, Program
from tests.benchmark.live.talk import Clip, Talk

LONGEST_S = 15.0
AWAY_S = 2.5
"""A cable is out for so long."""
STALL_S = 1.0


@dataclass(frozen=True, slots=True)
class Fault:
    """What was done, and after how many seconds it was over: None where it never was."""

    name: str
    back_s: float | None
    answered: bool
    """Whether the next sentence was answered."""


class Faults:
    """Does things to a program in a conversation."""

    def __init__(self, program: Program, talk: Talk, questions: list[Clip], seed: int) -> None:
        self.program, self.talk, self.questions = program, talk, questions
        self.random = random.Random(seed)

    def run(self, names: tuple[str, ...]) -> list[Fault]:
        """Do each in turn, and see whether the program is back."""
        return [self._one(name) for name in names]

    def _one(self, name: str) -> Fault:
        self.talk.tape.wait_quiet(0.8, 30.0)
        while not self.program.told.empty():
            self.program.told.get()
        time.sleep(self.random.uniform(0.0, 0.6))
        deed: Callable[[], float | None] = getattr(self, name)
        back = deed()
        return Fault(name.replace("_", " "), back, any(self.talk.ask(self._question()) for _ in range(2)))

    def _question(self) -> Clip:
        return self.random.choice(self.questions)

    def microphone_process_killed(self) -> float | None:
        """At any moment, also in mid-sentence."""
        self._say_meanwhile()
        os.kill(self.program.part(MICROPHONE), signal.SIGKILL)
        return self.program.wait_told("listening", LONGEST_S)

    def voice_process_killed(self) -> float | None:
        """Just before it is needed: how long until the reply begins after what was said."""
        os.kill(self.program.part(VOICE), signal.SIGKILL)
        return self._reply_s()

    def voice_process_killed_in_mid_reply(self) -> float | None:
        """What is being played goes on; the next sentence is spoken by another process."""
        self.talk.ask(self._question())
        os.kill(self.program.part(VOICE), signal.SIGKILL)
        return self._reply_s()

    def microphone_stalled(self) -> float | None:
        """Its process stands still for a second in mid-sentence."""
        self._say_meanwhile()
        time.sleep(0.5)
        self._stall(self.program.part(MICROPHONE))
        return self._reply_s()

    def program_stalled(self) -> float | None:
        """The whole program stands still for a second."""
        self._say_meanwhile()
        time.sleep(0.5)
        self._stall(self.program.process.pid)
        return self._reply_s()

    def microphone_unplugged(self) -> float | None:
        """And plugged in again: counted from there.

        Where the sound server gave the program another microphone meanwhile, it never was without one.
        """
        unplug("mic")
        lost = self.program.wait_told("microphone lost", AWAY_S)
        plug("mic")
        begun = time.monotonic()
        use()
        self.talk.tape.join_said()
        if lost is None:
            return self._reply_s()
        back = self.program.wait_told("listening", LONGEST_S)
        return None if back is None else time.monotonic() - begun

    def loudspeaker_unplugged(self) -> float | None:
        """A sentence is said meanwhile; counted from the plugging in to the next reply that is heard."""
        unplug("speaker")
        play(self._question().path)
        time.sleep(AWAY_S)
        plug("speaker")
        begun = time.monotonic()
        use()
        self.talk.tape.join_heard()
        return time.monotonic() - begun if self._reply_s() is not None else None

    def other_default_devices(self) -> float | None:
        """The user chooses other devices in the middle of the job; then the old ones again."""
        plug("headset")
        try:
            use("mic", "headset")
            self.talk.tape.join_heard("headset")
            return self._reply_s()
        finally:
            use()
            unplug("headset")

    def _say_meanwhile(self) -> None:
        threading.Thread(target=play, args=(self._question().path,), daemon=True).start()
        time.sleep(self.random.uniform(0.2, 0.8))

    def _stall(self, pid: int) -> None:
        os.kill(pid, signal.SIGSTOP)
        time.sleep(STALL_S)
        with contextlib.suppress(ProcessLookupError):
            os.kill(pid, signal.SIGCONT)

    def _reply_s(self) -> float | None:
        """Ask until there is a reply; return the seconds from the end of the first question to it."""
        self.talk.tape.wait_quiet(0.8, 10.0)
        clip = self._question()
        begun = time.monotonic()
        while time.monotonic() < begun + LONGEST_S:
            if self.talk.ask(clip):
                return time.monotonic() - begun - clip.path.stat().st_size / 96_000
        return None
