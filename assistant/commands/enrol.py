"""`assistant enrol --who NAME`: ten phrases read out once, so that the ear knows a person's voice."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING

from assistant.commands import house
from assistant.commands.takes import LiveTakes, Reader
from assistant.errors import WrongInput
from assistant.hearing.sound import RATE, Samples, read_sound
from assistant.phrasing.en.enrolling import PHRASES
from assistant.phrasing.en.practising import phrase_asked
from assistant.shelf.places import profiles_folder
from assistant.shelf.profile_file import PersonProfile, profile_path, write_profile
from assistant.shelf.settings import Settings

if TYPE_CHECKING:
    from assistant.hearing.enrolment import Fit, Profile

QUIET_S, APART_S = 0.25, 1.5
"""Silence kept around a phrase of a recording of all; silence that parts two."""
COMPLAINTS = {
    "quiet": "it is too quiet: speak up, or bring the microphone closer",
    "loud": "it is too loud: move the microphone away from your mouth",
    "noisy": "it is too noisy: bring the microphone closer, or wait for quiet",
}


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Register the command."""
    parser = subparsers.add_parser("enrol", help="read ten phrases once, so that the ear knows your voice")
    parser.add_argument("--who", required=True, help="name or initials, as given to start --who")
    parser.add_argument(
        "--ear", nargs="+", default=["microphone"], metavar="FILE",
        help="microphone, a recording of all ten with pauses between, or ten recordings in order",
    )  # fmt: skip
    parser.add_argument("--voice", default="speaker", help="speaker or print")
    parser.add_argument("--model", metavar="DIR", type=Path, help="folder of the speech model")
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Have the phrases read, fit the ear to them, and keep the profile; 1 where too few were understood."""
    from assistant.hearing.enrolment import read_out

    chosen = house.settings()
    path = profile_path(profiles_folder(), arguments.who)
    recorded = None if arguments.ear == ["microphone"] else phrases_of([Path(one) for one in arguments.ear])
    reader = Reader(arguments.model, chosen)
    sounds = recorded if recorded is not None else _by_microphone(arguments.voice, chosen, reader)
    found = read_out(sounds, PHRASES, reader.grammar, reader.hear)
    if not found.usable:
        print(f"Only {found.right} of {len(PHRASES)} phrases were understood{_why(found)}. Nothing is kept.")
        return 1
    write_profile(path, as_file(found.profile))
    print(told(found, path))
    return 0


def told(found: Fit, path: Path) -> str:
    """Return what was found, in words."""
    profile = found.profile
    strict = f"takes nothing under {profile.sure:.2f}" if profile.sure else "is as strict as for anybody"
    return (
        f"{found.right} of {len(PHRASES)} phrases understood{_why(found)}. For this voice the ear {strict}, "
        f"waits {profile.pause_factor:g} times as long as usual, gain {profile.gain_db:g} dB. Kept in {path}."
    )


def _why(found: Fit) -> str:
    return f"; {COMPLAINTS[found.complaint]}" if found.complaint else ""


def as_file(profile: Profile) -> PersonProfile:
    """Return a profile as the figures of its file."""
    return PersonProfile(
        Decimal(str(profile.gain_db)), Decimal(str(profile.pause_factor)), Decimal(str(profile.sure))
    )


def phrases_of(files: Sequence[Path]) -> list[Samples]:
    """Return the recordings of the ten phrases: a file each, or one of all, parted where it is silent.

    Raises `WrongInput` where there are not ten, `BadFile` for a file that cannot be read.
    """
    sounds = [read_sound(one) for one in files]
    if len(sounds) == 1:
        sounds = parted(sounds[0])
    if len(sounds) != len(PHRASES):
        raise WrongInput(
            f"{len(PHRASES)} phrases are read, one recording each or one of all with pauses of two seconds; "
            f"here are {len(sounds)}"
        )
    return sounds


def parted(samples: Samples) -> list[Samples]:
    """Return the stretches of sound between silences of a second and a half and more."""
    from assistant.hearing.levels import FRAME, STANDS_OUT_DB, levels
    from assistant.hearing.sound import rms_db

    floor = levels(samples).noise_db + STANDS_OUT_DB
    loud = [n for n in range(len(samples) // FRAME) if rms_db(samples[n * FRAME : (n + 1) * FRAME]) > floor]
    parts: list[list[int]] = []
    for frame in loud:
        if parts and (frame - parts[-1][1]) * FRAME < APART_S * RATE:
            parts[-1][1] = frame
        else:
            parts.append([frame, frame])
    around = round(QUIET_S * RATE)
    long_enough = [(first, last) for first, last in parts if (last - first) * FRAME > RATE // 2]
    return [
        samples[max(0, first * FRAME - around) : (last + 1) * FRAME + around] for first, last in long_enough
    ]


def _by_microphone(voice: str, chosen: Settings, reader: Reader) -> list[Samples]:
    """Have each phrase read aloud, once; raises `MissingPart` where there is no microphone."""
    from assistant.hearing.capture import MicrophoneProcess, SteadyMicrophone

    microphone = SteadyMicrophone(lambda: MicrophoneProcess(chosen.microphone))
    mouth = house.open_voice(voice, chosen)
    takes = LiveTakes(microphone, house.speaker(mouth, echo=voice != "print"), reader.recogniser)
    sounds: list[Samples] = []
    try:
        for number, phrase in enumerate(PHRASES, start=1):
            sounds.append(takes.take(phrase_asked(number, phrase)).sound)
            print(f"({number} of {len(PHRASES)})", file=sys.stderr, flush=True)
    finally:
        microphone.close()
        mouth.close()
    return sounds
