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

from tests.benchmark.live.card import RATE, play, plug, unplug, use
from tests.benchmark.live.program import MICROPHONE, VOICE, Program
from tests.benchmark.live.talk import AROUND_S, PATIENCE_S, Clip, Talk

LONGEST_S = 15.0
AWAY_S = 1.5
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

    def __init__(self, program: Program, talk: Talk, clips: tuple[list[Clip], list[Clip]], seed: int) -> None:
        """`clips` are questions and readings."""
        self.program, self.talk, (self.questions, self.readings) = program, talk, clips
        self.random = random.Random(seed)
        self.taken_in_part: list[str] = []
        """The readings that were taken although the middle of them was lost."""
        self.not_asked_again: list[str] = []
        """The readings of which nothing was said after that."""
        self._saying = threading.Thread()
        self._answered = False

    def run(self, names: tuple[str, ...]) -> list[Fault]:
        """Do each in turn, and see whether the program is back."""
        return [self._one(name) for name in names]

    def _one(self, name: str) -> Fault:
        while not self.program.told.empty():
            self.program.told.get()
        time.sleep(self.random.uniform(0.0, 0.6))
        deed: Callable[[], float | None] = getattr(self, name)
        self._answered = False
        back = deed()
        return Fault(name.replace("_", " "), back, self._answered or self._reply_s() is not None)

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

    def reading_stalled(self) -> float | None:
        """The middle of a reading is lost, for the microphone's process stands still for a second.

        It is asked again, for no part of it may be taken for the whole; said again, it is taken.
        """
        self.talk.tape.wait_quiet(0.8, 10.0)
        clip = self.random.choice(self.readings)
        events, since = len(self.program.events), self.talk.tape.now
        self._say(clip)
        time.sleep(AROUND_S + self.random.uniform(0.3, 0.6) * clip.audible / RATE)
        self._stall(self.program.part(MICROPHONE))
        self._saying.join()
        ended = time.monotonic()
        if not self.talk.tape.wait_sound(since, PATIENCE_S):
            self.not_asked_again.append(clip.name)
        back = time.monotonic() - ended
        self.talk.tape.wait_quiet(0.8, 10.0)
        taken = readings(self.program.events[events:])
        self.taken_in_part += [f"{clip.name}: {event['words']}" for event in taken]
        events = len(self.program.events)
        self._answered = any(self.talk.ask(clip) and readings(self.program.events[events:]) for _ in range(2))
        return back

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
        self._say(self._question())
        time.sleep(self.random.uniform(0.2, 0.8))

    def _say(self, clip: Clip) -> None:
        self._saying = threading.Thread(target=play, args=(clip.path,), daemon=True)
        self._saying.start()

    def _stall(self, pid: int) -> None:
        os.kill(pid, signal.SIGSTOP)
        time.sleep(STALL_S)
        with contextlib.suppress(ProcessLookupError):
            os.kill(pid, signal.SIGCONT)

    def _reply_s(self) -> float | None:
        """Ask until there is a reply; return the seconds from the end of the first question to it."""
        if self._saying.is_alive():
            self._saying.join()
        clip = self._question()
        begun = time.monotonic()
        while time.monotonic() < begun + LONGEST_S:
            if self.talk.ask_over(clip):
                self._answered = True
                return time.monotonic() - begun - clip.path.stat().st_size / 96_000
        return None


def readings(events: list[dict[str, object]]) -> list[dict[str, object]]:
    """Return those of the events that took a reading."""
    return [event for event in events if event["type"] == "ReadingHeard"]
