"""What every command that runs a job needs: settings, journal, grammar, voice, put together once."""

from __future__ import annotations

import contextlib
import logging
import queue
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING

from assistant import __version__
from assistant.app import Say
from assistant.commands.log import LoggedOutbox, note
from assistant.dialogue.reply import Reply
from assistant.duplex.client import Duplex
from assistant.duplex.lacking import lacking
from assistant.duplex.wire import Measured
from assistant.errors import MissingPart, WrongInput
from assistant.job.instant import Instant
from assistant.journal.clip_writer import LONGEST_S, ClipWriter
from assistant.journal.clips import ClipStore
from assistant.journal.open import open_or_wait
from assistant.journal.outbox import DurableFirst
from assistant.journal.store import Journal, Notice
from assistant.shelf.places import clips_folder, journal_file, settings_file
from assistant.shelf.settings import Clips, Settings, read_settings
from assistant.speaking.aloud import AloudVoice
from assistant.speaking.client import VoiceProcess
from assistant.speaking.frames import Manner
from assistant.speaking.line import Playing
from assistant.speaking.output import Loudspeaker
from assistant.speaking.printed import FileVoice, PrintedVoice
from assistant.speaking.voice import Voice

VERSIONS = {"assistant": __version__, "procedure-format": "1", "sheet-format": "1"}

if TYPE_CHECKING:
    from assistant.journal.sender import Sender

DAY_MS = 86_400_000


def left_out(what: str) -> None:
    """Say that a file of the mechanic's own is left out, and why."""
    print(f"({what})", file=sys.stderr)
    note(logging.WARNING, "left out", why=what)


def settings() -> Settings:
    """Return the user's settings."""
    return read_settings(settings_file())


def journal_place(given: str | None, chosen: Settings) -> str:
    """Return where the journal is: the option, else the setting, else the records folder."""
    return given or chosen.journal or str(journal_file())


def clips_place(where: str) -> Path:
    """Return the folder of the clips that belong to the journal `where`."""
    return Path(where).expanduser().parent / "clips" if "://" not in where else clips_folder()


@dataclass(slots=True)
class Store:
    """An open journal with its outbox and the clips beside it."""

    journal: Journal
    outbox: DurableFirst
    clips: ClipWriter
    level: Clips = "readings"
    """Which sound is kept."""
    sender: Sender | None = None
    """Copies the journal to a server."""
    told: queue.SimpleQueue[Notice] = field(default_factory=queue.SimpleQueue)

    def tell(self, notice: Notice) -> None:
        """Print what happened beside the job and keep it for the next reply; may be called by any thread."""
        print(f"({notice.text})", file=sys.stderr, flush=True)
        note(logging.WARNING, notice.what, text=notice.text)
        self.told.put(notice)

    def news(self) -> tuple[Reply, ...]:
        """Return what happened since this was last asked, as it is said."""
        found: list[Reply] = []
        with contextlib.suppress(queue.Empty):
            while True:
                found.append(Reply(self.told.get_nowait().what))
        return tuple(found)

    def written(self) -> None:
        """Let the sender know that there is something to copy."""
        if self.sender is not None:
            self.sender.poke()

    def keep(self, job: str, sound: bytes) -> str | None:
        """Keep the sound of a job and return its name, None where none is wanted or could be kept."""
        if not job or self.level == "off":
            return None
        clip = self.clips.keep(job, sound)
        if clip.name is None:
            print(f"(no sound kept: {clip.reason})", file=sys.stderr)
            note(logging.WARNING, "no sound kept", why=clip.reason)
        return clip.name

    def close(self) -> None:
        """Write what still waits, then let go."""
        self.clips.close()
        self.outbox.retry()
        if self.sender is not None and not self.sender.close():
            print(
                "(not everything is on the server yet; the rest follows with the next job)", file=sys.stderr
            )
        self.journal.close()


def open_store(
    where: str, at: Instant, chosen: Settings | None = None, clip_wait_s: float = LONGEST_S
) -> Store:
    """Open the journal for writing; what the user must be told is printed.

    With settings, sound older than they allow is removed meanwhile, and the journal copied to their server.
    An event waits for its sound for `clip_wait_s` at most.
    """
    journal = open_or_wait(where, at)
    for notice in journal.notices:
        print(f"({notice.text})", file=sys.stderr)
        note(logging.WARNING, notice.what, text=notice.text)
    clips = ClipWriter(ClipStore(clips_place(where)), clip_wait_s)
    if chosen is not None:
        clips.sweep(at.utc_ms - chosen.clip_days * DAY_MS)
    store = Store(journal, LoggedOutbox(journal, lambda: store.written()), clips)
    if chosen is not None:
        store.level = chosen.clips
        store.sender = _sender(where, chosen.server, store)
    return store


def _sender(where: str, server: str, store: Store) -> Sender | None:
    """Return what copies a journal in a file to the server of the settings; None where there is none."""
    if not server or "://" in where:
        return None
    from assistant.journal.sender import Sender  # its driver is an extra part

    try:
        return Sender(Path(where).expanduser(), server, store.tell)
    except MissingPart as trouble:
        print(f"(nothing is copied to the server: {trouble})", file=sys.stderr)
        return None


@contextlib.contextmanager
def opened(
    journal: str | None, voice: str, chosen: Settings, at: Instant, ear: str = ""
) -> Iterator[tuple[Store, Voice]]:
    """Give an open journal and a voice; both are closed, however the block is left.

    `ear` names the ear beside which the voice will speak.
    """
    with contextlib.ExitStack() as stack:
        store = open_store(journal_place(journal, chosen), at, chosen)
        stack.callback(store.close)
        mouth = open_voice(voice, chosen, ear)
        stack.callback(mouth.close)
        yield store, mouth


def manner_of(chosen: Settings) -> Manner:
    """Return how the voice speaks by the settings."""
    usual = Manner(rate=chosen.voice_rate)
    return replace(usual, voice=chosen.voice) if chosen.voice else usual


def open_voice(kind: str, chosen: Settings, ear: str = "") -> Voice:
    """Return the voice asked for: speaker, print, or a file to write; without a device it prints.

    Beside the ear "microphone" it may be one with it, so that its echo can be taken out of what is heard.
    """
    printed = PrintedVoice(sys.stdout)
    if kind == "print":
        return printed
    if kind != "speaker" and not kind.lower().endswith((".wav", ".flac")):
        raise WrongInput(f"no voice is called '{kind}': use speaker, print or a .wav file")
    process = VoiceProcess(manner_of(chosen))
    if kind != "speaker":
        return FileVoice(Path(kind), process)
    try:
        both = duplex(chosen) if ear == "microphone" else None
        return AloudVoice(process, both or Loudspeaker(gain=chosen.volume / 100), printed)
    except MissingPart as trouble:
        process.close()
        print(f"(no sound: {trouble}; what is said is printed)", file=sys.stderr)
        return printed


def duplex(chosen: Settings) -> Duplex | None:
    """Return microphone and loudspeaker as one where the echo is to be cancelled; tell why it cannot be."""
    if chosen.echo != "cancel":
        return None
    why = lacking(chosen.microphone)
    if why:
        print(f"(the echo is not cancelled: {why}; it does not listen while it speaks)", file=sys.stderr)
        return None

    def checked(one: Measured) -> None:
        note(logging.INFO, "echo", reduction_db=one.db, settled=one.settled)

    return Duplex(chosen.microphone, chosen.volume / 100, lambda gain: Loudspeaker(gain=gain), checked)


def speaker(voice: Voice, *, echo: bool) -> Say:
    """Return what speaks a turn sentence by sentence, printing it too where `echo` is set.

    Whatever stops one sentence stops the rest of the turn.
    """

    echo = echo and not isinstance(voice, PrintedVoice)  # it prints by itself

    def say(sentences: Sequence[str]) -> bool:
        said: list[Playing] = []
        for sentence in sentences:
            if echo:
                print(sentence, flush=True)
            note(logging.DEBUG, "said", sentence=sentence)
            voice.speak(sentence)
            if isinstance(voice, AloudVoice) and voice.last is not None:
                said.append(voice.last)
            if any(one.over and not one.completed for one in said):
                voice.stop()
                return False
        return all(one.wait(60.0) for one in said)

    return say
