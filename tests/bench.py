"""A workbench for tests of the conversation: the real session, grammar and procedure, without sound.

Time moves only when told; what was said is kept as replies and as sentences; the journal is the
in-memory store, or any other that is given.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

from assistant.app import Session, new_session, resumed_session
from assistant.commands.language import grammar_of
from assistant.commands.understanding import from_line
from assistant.dialogue.reply import Heard, Reply
from assistant.grammar.grammar import Grammar
from assistant.job import events as e
from assistant.job.instant import Instant
from assistant.journal.memory import MemoryJournal
from assistant.journal.outbox import DurableFirst
from assistant.journal.store import Journal
from assistant.shelf.places import data_folder
from assistant.shelf.procedure_join import load_joined
from assistant.shelf.vehicle_file import load_for
from assistant.timekeeping.clock import RecordedClock

SHEET = Path(__file__).parent / "data" / "vehicle.toml"
START = Instant(1_790_000_000_000, "test-boot", 1_000_000)


@cache
def grammar() -> Grammar:
    """Return the shipped English grammar, compiled once."""
    return grammar_of("en", data_folder("grammars"))


@cache
def procedure(name: str = "automatic-drain-refill") -> Mapping[str, object]:
    """Return a service by its name or file, read once; several joined to one job with a plus between."""
    return load_joined(name.split("+"), print)


@dataclass
class Bench:
    """A job on the bench."""

    sheet: Path = SHEET
    service: str = "automatic-drain-refill"
    journal: Journal = field(default_factory=MemoryJournal)
    clock: RecordedClock = field(default_factory=lambda: RecordedClock(START))
    sentences: list[str] = field(default_factory=list)
    replies: list[Reply] = field(default_factory=list)
    events: list[e.Event] = field(default_factory=list)
    past: Mapping[str, object] = field(default_factory=dict)
    """What the job is told of the services before it."""

    def __post_init__(self) -> None:
        """Begin the job."""
        self.outbox = DurableFirst(self.journal)
        self.session: Session = new_session(
            procedure=procedure(self.service),
            sheet=load_for(self.sheet, procedure(self.service)),
            settings={},
            versions={},
            who="",
            outbox=self.outbox,
            clock=self.clock,
            say=self._say,
            past=self.past,
        )
        self._kept(self.session.open())

    def _say(self, sentences: Sequence[str]) -> bool:
        self.sentences.extend(sentences)
        return True

    def _kept(self, turn: object) -> None:
        self.replies.extend(turn.replies)  # type: ignore[attr-defined]
        self.events.extend(turn.events)  # type: ignore[attr-defined]

    def forget(self) -> None:
        """Begin a new page of what was said and what happened."""
        self.sentences.clear()
        self.replies.clear()
        self.events.clear()

    def hear(self, *lines: str, after_s: float = 4.0) -> list[str]:
        """Say lines one after the other, each some seconds after the last; return the keys of the replies."""
        self.forget()
        for line in lines:
            self.wait(after_s)
            self._kept(self.session.hear(from_line(line, grammar())))
        return self.keys

    def hear_so(self, heard: Heard, after_s: float = 4.0) -> list[str]:
        """Say something with the given sureness, twin or clip."""
        self.forget()
        self.wait(after_s)
        self._kept(self.session.hear(heard))
        return self.keys

    def wait(self, seconds: float) -> list[str]:
        """Let time pass, doing what falls due on the way; return the keys of what is said."""
        before = len(self.replies)
        left = round(seconds * 1000)
        while (due := self.session.wait_ms()) is not None and due <= left:
            self.clock.advance(due)
            left -= due
            self._kept(self.session.pass_time())
        self.clock.advance(left)
        return [one.key for one in self.replies[before:]]

    def restart(self, *, boot: str = "test-boot", gone_s: float = 60.0) -> list[str]:
        """Take the job up again from the journal alone, as after a kill; another boot is a power cut."""
        self.forget()
        now = self.clock.now().later(round(gone_s * 1000))
        self.clock.set(Instant(now.utc_ms, boot, now.up_ms if boot == now.boot else 30_000))
        job = self.session.state.job
        self.outbox = DurableFirst(self.journal)
        self.session = resumed_session(
            history=self.journal.read(job), outbox=self.outbox, clock=self.clock, say=self._say
        )
        self._kept(self.session.reopen())
        return self.keys

    @property
    def keys(self) -> list[str]:
        """The keys of the replies since the last page."""
        return [one.key for one in self.replies]

    @property
    def step(self) -> str:
        """The current step."""
        return self.session.state.step_id

    @property
    def history(self) -> list[e.Event]:
        """Everything the journal holds of the job."""
        return self.journal.read(self.session.state.job)


def begun_by(script: Mapping[str, Any]) -> Bench:
    """Return the job a conversation begins: its service, with its sheet."""
    sheet = (SHEET.parent / script.get("sheet", SHEET.name)).resolve()
    return Bench(sheet=sheet, service=script.get("service", "automatic-drain-refill"))
