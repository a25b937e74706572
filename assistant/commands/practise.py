"""`assistant practise`: the first ten minutes, by voice and without a vehicle.

The level is set, the voice enrolled (with `--who`), and five sentences are practised with the real ear: what
was heard is told after each, and how to say it better.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from assistant.app import Say
from assistant.commands import house
from assistant.commands.ears import Keyboard
from assistant.commands.enrol import as_file
from assistant.commands.takes import LiveTakes, Reader, RecordedTakes, Take, Takes
from assistant.grammar.judgement import Expectation
from assistant.grammar.meaning import Meaning
from assistant.hearing.levels import complaint, levels
from assistant.hearing.sound import read_sound
from assistant.phrasing.en import practising as words
from assistant.phrasing.en.enrolling import PHRASES
from assistant.shelf.places import profiles_folder
from assistant.shelf.profile_file import profile_path, write_profile
from assistant.shelf.settings import Settings

if TYPE_CHECKING:
    from assistant.hearing.enrolment import Profile
    from assistant.hearing.utterance import Utterance

TRIES = 2
"""How often a sentence, or the level, is tried before the next one."""
Outcome = Literal["right", "unsure", "other", "cut", "unknown", "nothing"]


class Silenced(Exception):
    """Nothing more will be read."""


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Register the command."""
    parser = subparsers.add_parser("practise", help="the first ten minutes by voice, without a vehicle")
    parser.add_argument("--who", default="", help="name or initials: the voice is enrolled and kept")
    parser.add_argument(
        "--ear", nargs="+", default=["microphone"], metavar="FILE",
        help="microphone (with the keyboard beside it), or a recording for each line, in order",
    )  # fmt: skip
    parser.add_argument("--voice", default="speaker", help="speaker, print or a sound FILE to write")
    parser.add_argument("--model", metavar="DIR", type=Path, help="folder of the speech model")
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Walk through it; 0 where at most one sentence was never understood, else 1."""
    chosen = house.settings()
    path = profile_path(profiles_folder(), arguments.who) if arguments.who else None
    reader = Reader(arguments.model, chosen)
    with _taking(arguments, chosen, reader) as (takes, say):
        say(words.welcome(3 if path else 2))
        try:
            set_level(takes, say)
            profile = enrol(takes, say, reader, path) if path else None
            first, right = practise(takes, say, reader, profile)
        except Silenced:
            print("(nothing more was read)", file=sys.stderr)
            return 1
        say(words.farewell(first, right, len(words.SENTENCES)))
    return 0 if right >= len(words.SENTENCES) - 1 else 1


@contextmanager
def _taking(arguments: argparse.Namespace, chosen: Settings, reader: Reader) -> Iterator[tuple[Takes, Say]]:
    """Give whoever reads and what speaks to them; both are closed."""
    from assistant.hearing.capture import MicrophoneProcess, SteadyMicrophone

    recorded = None if arguments.ear == ["microphone"] else [read_sound(Path(one)) for one in arguments.ear]
    mouth = house.open_voice(arguments.voice, chosen)
    say = house.speaker(mouth, echo=arguments.voice != "print")
    microphone = SteadyMicrophone(lambda: MicrophoneProcess(chosen.microphone))
    try:
        if recorded is not None:
            yield RecordedTakes(recorded, say), say
        else:
            keyboard = Keyboard(sys.stdin, reader.grammar)
            yield LiveTakes(microphone, say, reader.recogniser, keyboard), say
    finally:
        microphone.close()
        mouth.close()


def _taken(takes: Takes, sentences: Sequence[str]) -> Take:
    take = takes.take(sentences)
    if take is None:
        raise Silenced
    return take


def set_level(takes: Takes, say: Say) -> bool:
    """Have the line of the level read until the sound is right, twice at most; return whether it is."""
    for _ in range(TRIES):
        take = _taken(takes, words.level_asked())
        if take.typed is not None:
            break
        wrong = complaint(levels(take.sound)) if len(take.sound) else "quiet"
        if not wrong:
            say(words.level_is(True))
            return True
        say(words.SOUND[wrong])
    say(words.level_is(False))
    return False


def enrol(takes: Takes, say: Say, reader: Reader, path: Path) -> Profile | None:
    """Have the ten phrases read; keep and return the profile, None where too few were understood."""
    from assistant.hearing.enrolment import read_out

    read = [
        _taken(takes, words.phrase_asked(number, phrase)) for number, phrase in enumerate(PHRASES, start=1)
    ]
    spoken = [
        (take.sound, phrase) for take, phrase in zip(read, PHRASES, strict=True) if len(take.sound)
    ]  # fmt: skip
    if not spoken:
        say(words.enrolled(0, len(PHRASES), False))
        return None
    sounds, phrases = zip(*spoken, strict=True)
    found = read_out(sounds, phrases, reader.grammar, reader.hear)
    if found.usable:
        write_profile(path, as_file(found.profile))
    say(words.enrolled(found.right, len(PHRASES), found.usable))
    return found.profile if found.usable else None


def practise(takes: Takes, say: Say, reader: Reader, profile: Profile | None) -> tuple[int, int]:
    """Have the sentences read, each twice at most; return how many were right at once, and in all."""
    tries: list[int] = []
    for number, text in enumerate(words.SENTENCES, start=1):
        wanted = reader.grammar.parse(text)
        assert isinstance(wanted, Meaning), "every sentence of the practice is one of the grammar"
        for attempt in range(1, TRIES + 1):
            take = _taken(takes, words.sentence_asked(number, text))
            outcome, heard = _judged(take, wanted, reader, profile)
            told = outcome not in ("right", "nothing") and len(take.sound)
            wrong = complaint(levels(take.sound)) if told else ""
            praise = words.right() if outcome == "right" else words.BETTER[outcome]
            say([*words.heard(reader.grammar.normalise(heard)), *praise, *words.SOUND.get(wrong, ())])
            if outcome == "right":
                tries.append(attempt)
                break
    return tries.count(1), len(tries)


def _judged(take: Take, wanted: Meaning, reader: Reader, profile: Profile | None) -> tuple[Outcome, str]:
    """Return how a sentence went, and the words that were heard."""
    if take.typed is not None:
        meant = take.typed.meaning
        known = isinstance(meant, Meaning)
        return ("right" if meant == wanted else "other" if known else "unknown"), take.typed.words
    awaited = Expectation(awaiting=(wanted.kind,))
    return judged(tuple(reader.hear(take.sound, 1.0, awaited, profile)), wanted)


def judged(utterances: Sequence[Utterance], wanted: Meaning) -> tuple[Outcome, str]:
    """Return how a sentence went by what the ear brought, and the words it heard."""
    if not utterances:
        return "nothing", ""
    last = utterances[-1]
    if last.meaning == wanted:
        return ("unsure" if last.doubtful else "right"), last.known_words
    apart = [one for one in utterances if not one.amends]
    heard = " ".join(words for one in apart if (words := one.known_words))
    if len(apart) > 1:
        return "cut", heard
    if last.meaning is not None:
        return "other", heard
    return ("unsure" if last.candidate == wanted else "unknown"), heard
