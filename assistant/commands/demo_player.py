"""The process that runs the recorded job: `python -m assistant.commands.demo_player` (used by the demo).

Prints one JSON line for each thing said. With `--cut-after` it tells when the reading of that clip is
durable and then waits, before reading it back, for the kill that stands for a power cut.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from collections.abc import Sequence
from pathlib import Path

from assistant.app import Session, new_session, resumed_session
from assistant.commands import house
from assistant.commands.ears import play, run_out
from assistant.commands.fetch import word_graph
from assistant.commands.language import grammar_of
from assistant.commands.recorded_job import Script, load_clips, read_script, spoken_ms
from assistant.dialogue.reply import Heard
from assistant.errors import AssistantError
from assistant.hearing.recogniser import Recogniser
from assistant.job.events import Event
from assistant.job.instant import Instant
from assistant.shelf.places import cache_folder, data_folder
from assistant.shelf.procedure_file import load_procedure
from assistant.shelf.settings import Settings
from assistant.shelf.vehicle_file import load_vehicle
from assistant.timekeeping.clock import RecordedClock

BOOTS = ("recorded-boot-1", "recorded-boot-2")
"""A power cut means another boot: from there on only UTC connects the two."""
CLIP_WAIT_S = 30.0
"""Nobody waits for an answer here, so no disk is too slow: every run keeps the same sound."""


class Player:
    """Speaks by printing and moving the recording's clock on."""

    def __init__(self, script: Script, clock: RecordedClock, cut_after: str) -> None:
        self._script, self._clock, self._cut = script, clock, cut_after
        self._clip = ""

    def tell(self, **message: object) -> None:
        """Print one message."""
        at = (self._clock.now().utc_ms - self._script.start_ms) / 1000
        print(json.dumps({"at": at, **message}, ensure_ascii=False), flush=True)

    def say(self, sentences: Sequence[str]) -> bool:
        """Say sentences; the clock moves on by their length."""
        for sentence in sentences:
            self.tell(who="assistant", text=sentence)
            self._clock.advance(spoken_ms([sentence]))
        return True

    def heard(self, clip: str, heard: Heard) -> None:
        """Note what the mechanic said."""
        self._clip = clip
        self.tell(who="mechanic", text=heard.words or "...", clip=clip)

    def committed(self, events: Sequence[Event]) -> None:
        """At the power cut: say that the events are durable, then wait for the end."""
        if self._cut and self._clip == self._cut:
            self.tell(what="committed")
            while True:
                time.sleep(60)


def main(argv: Sequence[str] | None = None) -> int:
    """Play the recorded job from its start, or from the power cut on."""
    parser = argparse.ArgumentParser()
    parser.add_argument("folder", type=Path)
    parser.add_argument("journal", type=Path)
    parser.add_argument("model", type=Path)
    parser.add_argument("--cut-after", default="")
    parser.add_argument("--resume-after", default="")
    arguments = parser.parse_args(argv)
    try:
        _play(arguments)
    except AssistantError as trouble:
        print(trouble, file=sys.stderr)
        return 1
    return 0


def _play(arguments: argparse.Namespace) -> None:
    script = read_script(arguments.folder)
    grammar = grammar_of("en", data_folder("grammars"))
    cache = cache_folder()
    recogniser = Recogniser(word_graph(grammar.acceptor, arguments.model, cache), grammar)
    resumed = bool(arguments.resume_after)
    start_s = script.back_s if resumed else 0.0
    clock = RecordedClock(Instant(script.start_ms + round(start_s * 1000), BOOTS[resumed], 60_000))
    player = Player(script, clock, arguments.cut_after)
    store = house.open_store(str(arguments.journal), clock.now(), clip_wait_s=CLIP_WAIT_S)
    try:
        session = _session(script, store, clock, player, resumed)
        names = [name for name, _, _ in script.clips]
        first = names.index(arguments.resume_after) + 1 if resumed else 0
        zero = clock.now().up_ms - (clock.now().utc_ms - script.start_ms)
        job = session.state.job
        play(
            session,
            load_clips(script, first),
            recogniser,
            grammar,
            clock,
            lambda sound: store.keep(job, sound),
            player.heard,
            zero_ms=zero,
        )
        run_out(session, clock, max(0, script.start_ms + round(script.end_s * 1000) - clock.now().utc_ms))
    finally:
        store.close()


def _session(
    script: Script, store: house.Store, clock: RecordedClock, player: Player, resumed: bool
) -> Session:
    if resumed:
        job = store.journal.work()[-1].id
        session = resumed_session(
            history=store.journal.read(job), outbox=store.outbox, clock=clock, say=player.say
        )
        session.reopen()
        return session
    session = new_session(
        procedure=load_procedure(script.procedure),
        sheet=load_vehicle(script.vehicle, None),
        settings=Settings().as_texts(),
        versions=house.VERSIONS,
        who=script.who,
        outbox=store.outbox,
        clock=clock,
        say=player.say,
        committed=player.committed,
    )
    session.open()
    return session


if __name__ == "__main__":
    sys.exit(main())
