"""A loudspeaker beside the microphone: `python -m tests.benchmark echo [--replies 20] [--levels 10,0]`.

In a simulated room, with our real ear: what of our own voice is heard (false events), who says "stop" into a
reply and is heard, and readings; with the gate alone and with the echo cancelled, also with the library's
suppressor of what is left. With `--card`, inside `.ci/sound-card`, the same on real streams at 0 dB, the
virtual loudspeaker led into the virtual microphone. Each part is kept with its own commit.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

from assistant.duplex.canceller import EchoCanceller, SpeexCanceller
from tests.benchmark.ear_hour.ear import open_ear
from tests.benchmark.echo.card import on_the_card
from tests.benchmark.echo.desk import Desk
from tests.benchmark.echo.figures import alone, talked
from tests.benchmark.echo.people import readings, replies, stops, strings
from tests.benchmark.echo.suppressor import Suppressing
from tests.benchmark.outcome import commit, kept, write

WAYS: dict[str, Callable[[], EchoCanceller | None]] = {
    "gate": lambda: None,
    "cancel": SpeexCanceller,
    "cancel and suppress": Suppressing,
}
SEED = 5


def main(argv: Sequence[str]) -> int:
    """Run the room or the card; 1 where something was heard of our own voice."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmark echo", description=__doc__)
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--replies", type=int, default=20)
    parser.add_argument("--levels", default="10,0,-10,-20", help="echo beside the voice, dB")
    parser.add_argument("--ways", default=",".join(WAYS), help="ways to keep it out")
    parser.add_argument("--card", action="store_true", help="on the virtual card")
    wanted = parser.parse_args(argv)
    said = {"stop": stops(30), "readings": readings(12), "digits": strings(10)}
    ours = replies(wanted.replies, wanted.seed)
    if not wanted.card:
        _kept("room, nobody else speaks", argv, wanted.seed, alone(open_ear(), said))
    false = 0
    for way in wanted.ways.split(","):
        if wanted.card:
            part, figures = f"card, {way}", on_the_card(open_ear(), way, ours, said)
            false += _kept(part, argv, wanted.seed, figures)
            continue
        for level in map(int, wanted.levels.split(",")):
            desk = Desk(open_ear(), level, WAYS[way](), np.random.default_rng(wanted.seed))
            figures = talked(desk.say, ours, said)
            false += _kept(f"room, echo {level:+d} dB, {way}", argv, wanted.seed, figures)
    return 1 if false else 0


def _kept(part: str, argv: Sequence[str], seed: int, figures: dict[str, Any]) -> int:
    """Keep one part beside the others; return how many false events were in it."""
    before = kept("echo") or {"figures": {}}
    by = " ".join(["python -m tests.benchmark echo", *argv])
    whole = {**before["figures"], part: {"commit": commit(), "command": by, **figures}}
    write("echo", list(argv), seed, sum(one.get("replies", 0) for one in whole.values()), whole)
    return len(figures.get("false events", []))
