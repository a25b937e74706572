"""The microphone: a few real seconds of somebody speaking, measured.

Level, noise, band and lost sound are what decides how well anything is understood later.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from assistant.commands.computer.finding import Figure, Finding
from assistant.commands.enrol import COMPLAINTS
from assistant.hearing.blocks import Block
from assistant.hearing.capture import OPENING_S, MicrophoneProcess, Source
from assistant.hearing.levels import NOISY_DB, complaint, levels
from assistant.hearing.segment import is_narrow
from assistant.hearing.sound import RATE, SILENCE_DB, Samples, peak_of

LISTEN_S = 4.0
"""How long "check one two three" may take."""
SHORT = 0.97
"""Share of the samples that must arrive in the time they take."""
ECHO_DB = 10.0
"""What the microphone hears of the assistant's own voice, peak over the room."""


@dataclass(frozen=True, slots=True)
class Caught:
    """A stretch of sound off the microphone, and how it arrived."""

    samples: Samples
    lost: int = 0
    seconds: float = 0.0
    trouble: str = ""


def catch(source: Source, seconds: float, now: Callable[[], float] = time.monotonic) -> Caught:
    """Return what the microphone brings in `seconds`, or its trouble."""
    pieces: list[bytes] = []
    lost, begun = 0, now()
    while (left := begun + seconds - now()) > 0:
        message = source.next(min(left, 0.5))
        if isinstance(message, Block):
            pieces.append(message.pcm)
            lost += message.lost
        elif message is not None:
            return Caught(joined(pieces), lost, now() - begun, message.why)
    return Caught(joined(pieces), lost, now() - begun)


def joined(pieces: list[bytes]) -> Samples:
    """Return stretches of sound as one."""
    return np.frombuffer(b"".join(pieces), dtype="<i2")


def opened(name: str) -> tuple[Source | None, str]:
    """Return the microphone once it gives sound, or None and why there is none."""
    source = MicrophoneProcess(name)
    until = time.monotonic() + OPENING_S
    while time.monotonic() < until:
        message = source.next(0.2)
        if isinstance(message, Block):
            return source, ""
        if message is not None:
            source.close()
            return None, message.why
    source.close()
    return None, "the microphone gives no sound; choose another one"


def check_microphone(
    source: Source, speak: Callable[[], None], prompt: Callable[[], None], route: str
) -> Finding:
    """Measure a microphone that gives sound.

    `speak` plays the assistant's own voice and returns when it is over, `prompt` asks the user to speak;
    `route` is the setting.
    """
    played = _during(source, speak)
    prompt()
    return judged(catch(source, LISTEN_S), played, route)


def _during(source: Source, act: Callable[[], None]) -> Samples:
    """Return what is heard while `act` runs: sound that nobody takes would soon count as lost."""
    acting = threading.Thread(target=act, daemon=True)
    acting.start()
    pieces = []
    while acting.is_alive():
        if isinstance(message := source.next(0.05), Block):
            pieces.append(message.pcm)
    return joined(pieces)


def judged(caught: Caught, played: Samples, route: str = "headset") -> Finding:
    """Return what a stretch of speech says of the microphone, `played` being what it heard of our voice."""
    found = levels(caught.samples)
    arrived = len(caught.samples) / max(1, round(caught.seconds * RATE))
    narrow = is_narrow(caught.samples)
    returned = levels(played).peak_db - found.noise_db if len(played) else 0.0
    figures: dict[str, Figure] = {
        "peak_db": round(found.peak_db, 1), "speech_db": round(found.speech_db, 1),
        "noise_db": round(found.noise_db, 1), "band_hz": 4000 if narrow else 8000,
        "lost_samples": caught.lost, "arrived": round(arrived, 3), "own_voice_db": round(returned, 1),
    }  # fmt: skip
    if caught.trouble:
        return Finding("microphone", caught.trouble, "plug it in again, then check again", figures)
    if len(caught.samples) == 0 or peak_of(caught.samples) == 0:
        told = "the microphone gives nothing but zeros"
        cure = "switch it on: it is muted, or the system lets no program listen"
        return Finding("microphone", told, cure, figures)
    if found.speech_db == SILENCE_DB and found.peak_db - found.noise_db < NOISY_DB:
        told = f"nobody was heard over the room ({found.noise_db:.0f} dB)"
        cure = "check again and speak up; if you did, choose another microphone in the settings"
        return Finding("microphone", told, cure, figures)
    faults = list(_faults(COMPLAINTS.get(complaint(found), ""), caught.lost, arrived, narrow))
    if route == "headset" and returned > ECHO_DB + (found.peak_db - found.noise_db) / 2:
        faults.append(("it hears the loudspeaker", 'set route = "loudspeaker", or wear a headset'))
    told = f"speech {found.speech_db:.0f} dB, room {found.noise_db:.0f} dB, band {4 if narrow else 8} kHz"
    told += f", {caught.lost} samples lost" if caught.lost else ", nothing lost"
    if faults:
        told += "; " + "; ".join(what for what, _ in faults)
    return Finding("microphone", told, "; ".join(cure for _, cure in faults), figures)


def _faults(said: str, lost: int, arrived: float, narrow: bool) -> list[tuple[str, str]]:
    """Return (fault, cure) of each thing that is wrong."""
    faults = []
    if said:
        what, _, cure = said.partition(": ")
        faults.append((what, cure))
    if lost or arrived < SHORT:
        what = "sound is lost on the way" if lost else f"only {arrived:.0%} of the sound arrives"
        faults.append((what, "close what keeps this computer busy, or try another socket"))
    if narrow:
        cure = "a wireless headset in its call mode: numbers are safer with a cable or a wide-band headset"
        faults.append(("a narrow band, as of a telephone", cure))
    return faults
