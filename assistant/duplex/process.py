"""The process that holds microphone and loudspeaker together: `python -m assistant.duplex.process NAME`.

It is on its own for the reasons for which the microphone is: a sound library that hangs, or knows only the
devices there were when it was loaded, is ended with its process. What is to be played comes in on standard
input, what was heard and what has been played goes out on standard output.
"""

from __future__ import annotations

import contextlib
import os
import queue
import sys
import threading
from collections.abc import Callable, Iterator, Sequence

from assistant.duplex import wire
from assistant.duplex.canceller import SpeexCanceller
from assistant.duplex.cancelling import Cancelling
from assistant.duplex.reduction import Reduction
from assistant.duplex.stream import DuplexStream
from assistant.duplex.wire import Aired, Gain, Hold, Measured, Play, Progress, Stop
from assistant.errors import MissingPart
from assistant.hearing.blocks import Trouble
from assistant.hearing.microphone_process import SILENT_S
from assistant.speaking.air import Air
from assistant.speaking.line import Line, Playing
from assistant.speaking.sound import SILENCE_DB

EVERY = 100
"""Frames of our own voice between two reports."""


class Reported(Air):
    """Keeps what left the card until it is told to the starter."""

    def __init__(self) -> None:
        super().__init__()
        self.late_s = 0.0
        """How much later than the sound captured meanwhile what is handed over now is said to be heard."""
        self._news: queue.SimpleQueue[Aired] = queue.SimpleQueue()

    def put(self, start: float, seconds: float, level_db: float = SILENCE_DB) -> None:
        """Sound of a level leaves the card from `start` on, or sooner.

        After sound was lost, the card's word of when that is may be a tenth of a second out; but no echo is
        captured before the moment at which its sound is handed over: from there on it counts as in the air.
        """
        self._news.put(Aired(start - self.late_s, seconds + self.late_s, level_db))

    def is_late(self, seconds: float) -> None:
        """Take in how long what is handed over next is on its way, by the card's word."""
        self.late_s = max(0.0, seconds)

    def news(self) -> Iterator[Aired]:
        """Yield what has left it since this was last asked."""
        with contextlib.suppress(queue.Empty):
            while True:
                yield self._news.get_nowait()


class Player:
    """Carries out the orders of the starter on a line, and tells how far each sound is."""

    def __init__(self, line: Line) -> None:
        self._line = line
        self._lock = threading.Lock()
        self._under_way: dict[int, Playing] = {}

    def obey(self, order: wire.Order) -> None:
        """Carry out one order."""
        match order:
            case Play(number, sound):
                with self._lock:
                    self._under_way[number] = self._line.play(sound)
            case Stop():
                self._line.stop()
            case Hold(held):
                self._line.hold(held)
            case Gain(gain):
                self._line.gain = gain

    def progress(self) -> list[Progress]:
        """Return how far the sounds that have begun or ended are; one that is over is told of once more."""
        with self._lock:
            under_way = list(self._under_way.items())
        found = []
        for number, playing in under_way:
            over = playing.over
            if playing.started_at is None and not over:
                continue
            started, heard = playing.started_at or 0.0, playing.heard_at or 0.0
            seconds = playing.position_s
            found.append(Progress(number, seconds, started, heard, playing.completed, over))
            if over:
                with self._lock:
                    del self._under_way[number]
        return found


class Check:
    """Tells what is taken out, every second of reply and whenever that becomes enough or too little."""

    def __init__(self) -> None:
        self._settled, self._measured = False, 0

    def news(self, reduction: Reduction) -> list[Measured]:
        """Return what is to be told now."""
        changed = reduction.settled != self._settled
        if not changed and reduction.measured < self._measured + EVERY:
            return []
        self._settled, self._measured = reduction.settled, reduction.measured
        return [Measured(round(reduction.db, 1), reduction.settled)]


def main(argv: Sequence[str]) -> int:
    """Hold the devices until the starter ends or they give no more sound."""
    out = sys.stdout.buffer
    air = Reported()
    line = Line(air=air)
    player = Player(line)
    try:
        canceller = SpeexCanceller()
        stream = DuplexStream(line, argv[0] if argv else "", late=air.is_late)
        threading.Thread(target=_orders, args=(player.obey,), daemon=True).start()
        cancelling, check = Cancelling(canceller, stream.rate), Check()
        while (both := stream.read(SILENT_S)) is not None:
            heard = list(cancelling.blocks(both))
            told: list[wire.Told] = [*air.news(), *player.progress(), *check.news(cancelling.reduction)]
            for message in (*told, *heard):
                wire.write(out, message)
        wire.write(out, Trouble("the microphone gives no more sound"))
    except MissingPart as trouble:
        wire.write(out, Trouble(str(trouble)))
    except OSError:
        pass  # nobody listens any more
    # Not by way of the sound library's own clearing up, which can hang on a device that is gone.
    os._exit(0)


def _orders(obey: Callable[[wire.Order], None]) -> None:
    """Carry out what the starter asks for; leave when it does."""
    while (message := wire.read(sys.stdin.buffer)) is not None:
        if isinstance(message, Play | Stop | Hold | Gain):
            obey(message)
    os._exit(0)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
