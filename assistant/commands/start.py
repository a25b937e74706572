"""`assistant start PROCEDURE --vehicle FILE`, and `assistant` alone, which starts by voice."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

from assistant.app import Say, Session, new_session
from assistant.commands import house
from assistant.commands.attending import attentive, carry_out
from assistant.commands.book import remembered_of
from assistant.commands.builds import sheet_for
from assistant.commands.ears import Ear, Recorded, play, run_out
from assistant.commands.first_start import ask_once, ask_who
from assistant.commands.language import ear_lacks, with_own
from assistant.commands.live import ear_for
from assistant.commands.page import beside, beside_recording, option
from assistant.commands.personal import personal_ear
from assistant.commands.sheet_keeping import keeps_figures
from assistant.errors import WrongInput
from assistant.grammar.grammar import Grammar
from assistant.job.events import Event
from assistant.journal.codec import encode
from assistant.shelf.places import cache_folder
from assistant.shelf.procedure_join import load_joined
from assistant.shelf.settings import Settings
from assistant.shelf.vehicle_file import load_for, vehicle_path
from assistant.timekeeping.clock import Clock, RecordedClock, SystemClock

SILENCE_AFTER_MS = 3_600_000
"""After a recording ends its clock goes on this long, so that timers that still run are announced."""


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Register the command."""
    parser = subparsers.add_parser("start", help="begin a job")
    job_of(parser)
    ends(parser)
    parser.add_argument("--who", default="", help="name or initials of the mechanic")
    parser.set_defaults(run=run)


def job_of(parser: argparse.ArgumentParser) -> None:
    """Register what says which job is meant: services, sheet, and the parts of it."""
    parser.add_argument("procedure", help="name of a service (automatic-drain-refill) or a procedure file")
    parser.add_argument("--vehicle", required=True, metavar="FILE", help="the vehicle sheet")
    parser.add_argument(
        "--with",
        action="append",
        default=[],
        dest="services",
        metavar="PROCEDURE",
        help="another service",
    )
    parser.add_argument("--unit", help="which unit of the sheet, where it has several")
    parser.add_argument("--variant", action="append", default=[], help="which build of a unit, by its name")


def ends(parser: argparse.ArgumentParser) -> None:
    """Register the options of the two ends of a conversation and of the record."""
    parser.add_argument("--ear", default="microphone", help="microphone, keyboard or a sound FILE")
    parser.add_argument("--voice", default="speaker", help="speaker, print or a sound FILE to write")
    parser.add_argument("--journal", metavar="FILE", help="where the record is written")
    parser.add_argument("--model", metavar="DIR", type=Path, help="folder of the speech model")
    parser.add_argument("--json", action="store_true", help="print each event as a JSON line")
    option(parser)


def run(arguments: argparse.Namespace) -> int:
    """Begin a job and run it."""
    chosen = house.settings()
    procedure = load_joined([arguments.procedure, *arguments.services], house.left_out)
    path = vehicle_path(arguments.vehicle)
    load_for(path, procedure, arguments.unit, arguments.variant)  # a bad file is told before anything opens
    clock = clock_for(arguments.ear)

    def begin(store: house.Store, say: Say, settled: Settings, ear: Ear | None) -> Session:
        sheet = sheet_for(
            path,
            procedure,
            ear,
            say,
            unit=arguments.unit,
            variants=arguments.variant,
            language=settled.language,
        )
        session = new_session(
            procedure=procedure,
            sheet=sheet,
            settings=settled.as_texts(),
            versions=house.VERSIONS,
            who=arguments.who or settled.who,
            outbox=store.outbox,
            clock=clock,
            say=say,
            past=remembered_of(store.journal, sheet),
        )
        if arguments.json:
            session.committed = print_events
        keeps_figures(session, path)
        session.open()
        return session

    return carry_on(arguments, chosen, clock, begin)


def clock_for(ear: str) -> Clock:
    """Return this computer's clock, or for a recording one that starts now and moves as it plays."""
    now = SystemClock()
    return now if ear in ("microphone", "keyboard") else RecordedClock(now.now())


def print_events(events: Sequence[Event]) -> None:
    """Print events as JSON lines."""
    for event in events:
        name, version, body = encode(event)
        print(json.dumps({"type": name, "version": version, **json.loads(body)}), flush=True)


def carry_on(
    arguments: argparse.Namespace,
    chosen: Settings,
    clock: Clock,
    begin: Callable[[house.Store, Say, Settings, Ear | None], Session],
) -> int:
    """Open journal, voice and ear; run the session that `begin` makes; close everything.

    A microphone that is not there becomes the keyboard.
    """
    if arguments.ear not in ("microphone", "keyboard") and not Path(arguments.ear).is_file():
        raise WrongInput(f"{arguments.ear} is no sound file; --ear takes microphone, keyboard or a FILE")
    grammar = with_own(chosen.language, house.left_out, chosen.address, ear_lacks(arguments.model))
    with house.opened(arguments.journal, arguments.voice, chosen, clock.now(), arguments.ear) as (
        store,
        voice,
    ):
        say = house.speaker(voice, echo=arguments.voice != "print" and not arguments.json)
        if isinstance(clock, RecordedClock):
            with beside_recording(arguments, store, say, clock.now) as said:
                session = begin(store, said, chosen, None)
                attentive(session, chosen, voice)
                _run_recording(arguments, session, store, grammar, clock)
        else:
            with ear_for(arguments, chosen, grammar, store, voice) as heard:
                settled, listening = ask_once(chosen, store, heard, say)
                if not getattr(arguments, "who", ""):
                    settled, listening = ask_who(settled, listening, say)
                with beside(arguments, store, heard, listening, say, grammar, clock.now) as (ear, said):
                    session = begin(store, said, settled, ear)
                    carry_out(session, store, settled, voice, heard, ear)
        print(f"(record {session.state.job})", file=sys.stderr)
        return 0


def _run_recording(
    arguments: argparse.Namespace,
    session: Session,
    store: house.Store,
    grammar: Grammar,
    clock: RecordedClock,
) -> None:
    from assistant.commands.fetch import word_graph
    from assistant.hearing.sound import read_sound

    pcm = read_sound(Path(arguments.ear)).astype("<i2").tobytes()
    folder = word_graph(grammar.acceptor, arguments.model, cache_folder())
    job = session.state.job
    play(
        session,
        [Recorded(0, pcm, arguments.ear)],
        personal_ear(folder, grammar, session.state.who, house.settings()),
        grammar,
        clock,
        lambda sound: store.keep(job, sound),
        lambda _, heard: None if arguments.json else print(f"    > {heard.words or '...'}", flush=True),
        everything=store.level == "all",
    )
    run_out(session, clock, SILENCE_AFTER_MS)
