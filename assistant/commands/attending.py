"""A job that has begun is run to its end; whom the ear listens to, shown by a tone and a printed line."""

from __future__ import annotations

import sys
from collections.abc import Callable

from assistant.app import Session
from assistant.commands import house
from assistant.commands.ahead import prepare
from assistant.commands.ears import Ear, converse
from assistant.commands.live import LiveEar
from assistant.commands.manner import Mannered
from assistant.commands.sheet_keeping import both
from assistant.dialogue.attention import Attention
from assistant.shelf.places import settings_file
from assistant.shelf.settings import Settings
from assistant.speaking.aloud import AloudVoice
from assistant.speaking.voice import Voice

TONES = {"open": "heard", "dozing": "dozing", "closed": "dozing"}
"""How the ear stands -> the tone that tells it: rising where it opens, falling where it does not listen."""


def carry_out(
    session: Session, store: house.Store, chosen: Settings, voice: Voice, heard: Ear, ear: Ear
) -> None:
    """Run a job, however it began or was taken up, until it ends or `ear` does.

    `heard` is the ear that hears the microphone, if any does; `ear` brings what is touched as well.
    """
    prepare(voice, session.state, chosen.language)
    session.news = both(store.news, session.news)
    attentive(session, chosen, voice, heard)
    converse(session, ear)


def attentive(session: Session, chosen: Settings, voice: Voice, ear: Ear | None = None) -> None:
    """Let a session listen as the settings say; `ear` is the one that hears the microphone, if any does."""
    session.attention = Attention(chosen.attention, chosen.address)
    session.sign = sign(chosen.address, voice)
    if isinstance(voice, AloudVoice):
        session.tone = voice.tone
        session.adjust = Mannered(voice, chosen, settings_file())
    if isinstance(ear, LiveEar):
        ear.attentive = lambda: session.attention.open


def sign(address: str, voice: Voice) -> Callable[[str], None]:
    """Return what tells, by a tone and a printed line, how the ear stands from now on."""

    def show(ear: str) -> None:
        print(f"({status(ear, address)})", file=sys.stderr, flush=True)
        if isinstance(voice, AloudVoice):
            voice.tone(TONES[ear])

    return show


def status(ear: str, address: str) -> str:
    """Return the printed line for how the ear stands: open, dozing or closed."""
    if ear == "open":
        return "the ear is open"
    word = f'say "{address}", ' if address and ear == "dozing" else ""
    return f'the ear {"dozes" if ear == "dozing" else "is closed"}: {word}say "ear open" or press Enter'
