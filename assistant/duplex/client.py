"""The starter's side of the sound process: for the ear a microphone, for the voice a loudspeaker."""

from __future__ import annotations

import contextlib
import itertools
import queue
import sys
import threading
import time
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import IO

from assistant.duplex import wire
from assistant.duplex.wire import Aired, Gain, Hold, Measured, Play, Progress, Stop
from assistant.hearing.blocks import Block, Message, Trouble
from assistant.hearing.capture import STALE_S, MicrophoneProcess
from assistant.speaking.air import Air
from assistant.speaking.line import Output, Playing
from assistant.speaking.sound import Sound

COMMAND = (sys.executable, "-m", "assistant.duplex.process")
START_S = 3.0
"""How long a reply waits for the devices to open before it goes out another way."""


class SoundProcess(MicrophoneProcess):
    """One run of the process. What nobody takes is dropped and counted: news of what is played must go on."""

    def __init__(self, name: str, told: Callable[[Aired | Progress | Measured], None]) -> None:
        """`told` takes what becomes of the sounds, in a thread of this object's own."""
        self._told = told
        self._turn = threading.Lock()
        self._lost = 0
        self.heard_at: float | None = None
        """When the last block came in."""
        self.ended = threading.Event()
        """Set when nothing more will come."""
        self.first = threading.Event()
        """Set when the first block came, or the end."""
        super().__init__(name, COMMAND)

    @property
    def alive(self) -> bool:
        """Whether sound is coming in, and so goes out."""
        heard = self.heard_at
        return heard is not None and not self.ended.is_set() and time.monotonic() - heard < STALE_S

    def next(self, timeout_s: float) -> Message | None:
        """Return the next message, with what was dropped before it counted in it."""
        message = super().next(timeout_s)
        if not isinstance(message, Block):
            return message
        lost, self._lost = self._lost, 0
        return replace(message, lost=message.lost + lost)

    def order(self, order: wire.Order) -> bool:
        """Tell the process what to do; False where it is gone."""
        stdin = self._process.stdin
        assert stdin is not None
        try:
            with self._turn:
                wire.write(stdin, order)
        except (OSError, ValueError):
            return False
        return True

    def _read(self, stream: IO[bytes]) -> None:
        with stream, contextlib.suppress(OSError, ValueError):
            while (message := wire.read(stream)) is not None:
                if isinstance(message, Block | Trouble):
                    self._put(message)
                elif isinstance(message, Aired | Progress | Measured):
                    self._told(message)
        self.ended.set()
        self._put(Trouble(self._why_it_ended()))
        self.first.set()

    def _put(self, message: Message) -> None:
        if isinstance(message, Block):
            self.heard_at = time.monotonic()
            self.first.set()
        while True:
            try:
                self._messages.put_nowait(message)
            except queue.Full:
                with contextlib.suppress(queue.Empty):
                    dropped = self._messages.get_nowait()
                    self._lost += len(dropped.pcm) // 2 if isinstance(dropped, Block) else 0
            else:
                return


class Duplex:
    """Microphone and loudspeaker of one card; while they are not there, another loudspeaker."""

    def __init__(
        self,
        name: str,
        gain: float,
        substitute: Callable[[float], Output],
        checked: Callable[[Measured], None] = lambda _: None,
    ) -> None:
        """Start the process; `substitute` opens a loudspeaker of a gain, or raises `MissingPart`.

        `name` is part of that of the microphone; `checked` takes each self check, in another thread.
        """
        self._name, self._gain, self._substitute, self._checked = name, gain, substitute, checked
        self.air = Air()
        """When what was played left the card."""
        self.measured = Measured(0.0, False)
        """The last self check of the canceller."""
        self._lock, self._turn = threading.Lock(), threading.Lock()
        self._numbers = itertools.count(1)
        self._under_way: dict[int, Playing] = {}
        self._other: Output | None = None
        self._process = self._started()
        self._handed = False

    def opening(self) -> SoundProcess:
        """Begin an attempt at the microphone: the process that was started first, then another each time."""
        if self._handed:
            self._process.close()  # first: whoever is stuck in an order to it is let go
            with self._turn:
                self._drop()
                if self._other is not None and self._other.playing is None:
                    self._other.close()  # it may hold the card
                    self._other = None
                self._process = self._started()
        self._handed = True
        return self._process

    @property
    def gain(self) -> float:
        """How loud, 1 being as the sound comes."""
        return self._gain

    @gain.setter
    def gain(self, gain: float) -> None:
        """Play so loud from now on."""
        self._gain = gain
        self._process.order(Gain(gain))
        if self._other is not None:
            self._other.gain = gain

    @property
    def alive(self) -> bool:
        """Tell whether what is given now will be heard."""
        return self._process.alive or (self._other is not None and self._other.alive)

    @property
    def playing(self) -> Playing | None:
        """The sound being played now, if any."""
        with self._lock:
            first = next(iter(self._under_way.values()), None)
        return first or (self._other.playing if self._other is not None else None)

    def play(self, sound: Sound) -> Playing:
        """Put `sound` behind what is playing and return it at once."""
        if not self._process.alive and self._other is not None:
            return self._other.play(sound)
        number, playing = next(self._numbers), Playing(sound.samples(), sound.rate)
        with self._turn:
            with self._lock:
                self._under_way[number] = playing
            if not self._process.order(Play(number, sound)):
                self._drop()
        return playing

    def stop(self, timeout_s: float = 0.3) -> bool:
        """Fall silent, drop what waits, and return whether it was silent within `timeout_s`."""
        if self._other is not None:
            self._other.stop(timeout_s)
        with self._lock:
            under_way = dict(self._under_way)
        if not under_way:
            return True
        self._process.order(Stop())
        until = time.monotonic() + timeout_s
        for playing in under_way.values():
            playing.wait(max(0.0, until - time.monotonic()))
        silent = all(playing.over for playing in under_way.values())
        self._drop(under_way)
        return silent

    def hold(self, held: bool) -> None:
        """Fall silent in the middle of what is playing, or go on with it where it was."""
        self._process.order(Hold(held))
        if self._other is not None:
            self._other.hold(held)

    def reopen(self) -> None:
        """Wait for the devices if they are being opened; else speak through the other loudspeaker."""
        self._process.first.wait(START_S)
        if self._process.alive:
            return
        if self._other is None:
            self._other = self._substitute(self._gain)
        elif not self._other.alive:
            self._other.reopen()

    def close(self) -> None:
        """Stop and let go of the devices."""
        self._process.close()
        self._drop()
        if self._other is not None:
            self._other.close()

    def _started(self) -> SoundProcess:
        process = SoundProcess(self._name, self._follow)
        process.order(Gain(self._gain))
        threading.Thread(target=self._mourn, args=(process,), daemon=True).start()
        return process

    def _mourn(self, process: SoundProcess) -> None:
        """Wake whoever waits for sounds that nobody will play any more."""
        process.ended.wait()
        if process is self._process:
            self._drop()

    def _follow(self, message: Aired | Progress | Measured) -> None:
        """Take in how far a sound is, and what was taken out of what was heard."""
        if isinstance(message, Measured):
            self.measured = message
            self._checked(message)
            return
        if isinstance(message, Aired):
            self.air.put(message.start, message.seconds, message.level_db)
            return
        with self._lock:
            playing = self._under_way.get(message.number)
            if playing is None:
                return
            if message.over:
                del self._under_way[message.number]
        if message.started_at:
            playing.started_at, playing.heard_at = message.started_at, message.heard_at
        playing.reached(message.seconds, completed=message.completed)
        if message.over:
            playing.end()

    def _drop(self, gone: Mapping[int, Playing] | None = None) -> None:
        """Give up sounds, all of them where none are named, and wake whoever waits for them."""
        with self._lock:
            gone = dict(self._under_way) if gone is None else gone
            for number in gone:
                self._under_way.pop(number, None)
        for playing in gone.values():
            playing.end()
