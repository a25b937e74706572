"""`assistant` alone: a job is begun or taken up by voice, with services and vehicles by spoken number."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from assistant.app import Say, Session, new_session, resumed_session
from assistant.commands import house
from assistant.commands.attending import carry_out
from assistant.commands.book import remembered_of
from assistant.commands.builds import sheet_for
from assistant.commands.ears import Ear, Over
from assistant.commands.first_start import ask_once, ask_who
from assistant.commands.language import ear_lacks, with_own
from assistant.commands.live import ear_for
from assistant.commands.page import beside
from assistant.commands.sheet_keeping import keeps_figures
from assistant.dialogue.starting import Choice, Offer, choose, first
from assistant.errors import AssistantError, BadFile
from assistant.job.state import fold
from assistant.phrasing import phrase
from assistant.shelf.procedure_file import list_procedures, load_procedure
from assistant.shelf.procedure_join import joined, units_of
from assistant.shelf.settings import Settings
from assistant.shelf.vehicle_file import load_vehicle, vehicle_files
from assistant.timekeeping.clock import SystemClock

NO_SHEET: Mapping[str, object] = {"vehicle": "", "unit": ""}
"""A quick job: every figure is asked when it is needed."""


@dataclass(frozen=True, slots=True)
class Shelf:
    """What can be chosen, with what stands behind each spoken name."""

    offer: Offer
    procedures: tuple[Mapping[str, object], ...]
    vehicles: tuple[Path, ...]
    jobs: tuple[str, ...]


def shelf(store: house.Store) -> Shelf:
    """Gather services, vehicle sheets and open jobs; a bad file is left out, and said so."""
    procedures: list[Mapping[str, object]] = []
    for name in list_procedures():
        try:
            procedures.append(load_procedure(name, house.left_out))
        except BadFile as trouble:
            print(f"({trouble})")
    vehicles: list[Path] = []
    names: list[str] = []
    for path in vehicle_files():
        try:
            names.append(str(load_vehicle(path, None)["vehicle"]))
            vehicles.append(path)
        except BadFile as trouble:
            print(f"({trouble})")
    jobs = []
    for row in sorted(store.journal.work(), key=lambda one: -one.last.utc_ms):
        state = fold(store.journal.read(row.id))
        if not state.ended:
            jobs.append((row.id, f"{state.procedure.title}, {state.sheet.vehicle}"))
    offer = Offer(
        services=tuple(str(one["title"]) for one in procedures),
        vehicles=tuple(names),
        jobs=tuple(name for _, name in jobs),
        units=tuple(frozenset(units_of(one)) for one in procedures),
    )
    return Shelf(offer, tuple(procedures), tuple(vehicles), tuple(job for job, _ in jobs))


def run(arguments: argparse.Namespace) -> int:
    """Ask what to do, then run the job."""
    chosen = house.settings()
    clock = SystemClock()
    grammar = with_own(chosen.language, house.left_out, chosen.address, ear_lacks(arguments.model))
    with house.opened(arguments.journal, arguments.voice, chosen, clock.now(), arguments.ear) as (
        store,
        voice,
    ):
        say = house.speaker(voice, echo=arguments.voice != "print")
        there = shelf(store)
        with ear_for(arguments, chosen, grammar, store, voice) as ear:
            settled, listening = ask_once(chosen, store, ear, say)
            settled, listening = ask_who(settled, listening, say)
            with beside(arguments, store, ear, listening, say, grammar, clock.now) as (touched, said):
                choice = _choose(there.offer, touched, said, chosen.language)
                if choice is None:
                    return 1
                session = _session(choice, there, store, clock, said, settled, touched)
                carry_out(session, store, settled, voice, ear, touched)
        return 0


def _choose(offer: Offer, ear: Ear, say: Say, language: str) -> Choice | None:
    choice, replies = first(offer)
    while True:
        if replies:
            say([line for one in replies for line in phrase(one, language)])
        if not choice.open_list():
            return choice
        item = ear.next(None, None)
        if isinstance(item, Over):
            return None
        spoken = item is not None and not item.key
        choice, replies = choose(offer, choice, item) if item and spoken else (choice, ())


def _session(
    choice: Choice,
    there: Shelf,
    store: house.Store,
    clock: SystemClock,
    say: Say,
    settled: Settings,
    ear: Ear,
) -> Session:
    if choice.job is not None:
        history = store.journal.read(there.jobs[choice.job])
        session = resumed_session(history=history, outbox=store.outbox, clock=clock, say=say)
        keeps_figures(session)
        session.reopen()
        return session
    if not choice.services:
        raise AssistantError("no service was chosen")
    services = [there.procedures[one] for one in choice.services]
    procedure = services[0] if len(services) == 1 else joined(services)
    path = None if choice.vehicle is None else there.vehicles[choice.vehicle]
    sheet = NO_SHEET if path is None else sheet_for(path, procedure, ear, say, language=settled.language)
    session = new_session(
        procedure=procedure,
        sheet=sheet,
        settings=settled.as_texts(),
        versions=house.VERSIONS,
        who=settled.who,
        outbox=store.outbox,
        clock=clock,
        say=say,
        past=remembered_of(store.journal, sheet),
    )
    keeps_figures(session, path)
    session.open()
    return session
