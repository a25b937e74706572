"""The check of this computer: settings, folders, journal, model, voice, loudspeaker, microphone, in turn."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterator
from pathlib import Path

from assistant.commands import house
from assistant.commands.computer.ear import check_model
from assistant.commands.computer.echo import check_echo
from assistant.commands.computer.finding import Finding
from assistant.commands.computer.microphone import check_microphone, opened
from assistant.commands.computer.mouth import TEXT, check_loudspeaker, check_voice
from assistant.commands.computer.places import check_folders, check_records, check_settings
from assistant.shelf.settings import Settings


def options(parser: argparse.ArgumentParser) -> None:
    """Register what only the check of the computer takes."""
    parser.add_argument("--json", action="store_true", help="print what was found as one JSON document")
    parser.add_argument("--no-sound", action="store_true", help="leave out loudspeaker and microphone")
    parser.add_argument("--journal", metavar="FILE", help="where the record is")


def run(arguments: argparse.Namespace) -> int:
    """Check every part and print what was found; 0 where nothing is to be mended, 1 where something is."""
    found: list[Finding] = []
    for one in findings(arguments.model, arguments.journal, sound=not arguments.no_sound):
        found.append(one)
        if not arguments.json:
            print(line_of(one), flush=True)
    parts = list(dict.fromkeys(one.part for one in found if not one.sound))
    if arguments.json:
        print(json.dumps({"sound": not parts, "findings": [one.as_table() for one in found]}, indent=2))
    else:
        print("Nothing is to be mended." if not parts else f"To be mended: {', '.join(parts)}.")
    return 1 if parts else 0


def findings(model: Path | None, journal: str | None, *, sound: bool) -> Iterator[Finding]:
    """Yield what is found, part by part, as soon as it is; loudspeaker and microphone only with `sound`."""
    chosen, told = check_settings()
    yield told
    yield from check_folders()
    yield check_records(house.journal_place(journal, chosen))
    yield check_model(chosen, model)
    if sound:
        yield from _aloud(chosen)
    else:
        yield check_voice(chosen)[1]


def line_of(one: Finding) -> str:
    """Return a finding as one or two lines."""
    cure = f"\n{'':<13}to mend: {one.cure}" if one.cure else ""
    return f"{one.part:<12} {one.found}{cure}"


def _aloud(chosen: Settings) -> Iterator[Finding]:
    """Check voice, loudspeaker and microphone together: the voice asks for what the microphone hears."""
    voice, told = check_voice(chosen)
    yield told
    source, why = opened(chosen.microphone)
    loudspeaker: list[Finding] = []

    def speak() -> None:
        print(f"({TEXT})", file=sys.stderr, flush=True)
        loudspeaker.append(check_loudspeaker(voice))

    def prompt() -> None:
        print("(Now.)", file=sys.stderr, flush=True)

    if source is None:
        speak()
        yield from loudspeaker
        found, _, cure = why.rpartition("; ")
        yield Finding("microphone", found or why, cure or "plug one in")
        return
    try:
        microphone = check_microphone(source, speak, prompt, chosen.route)
    finally:
        source.close()
    yield from loudspeaker
    yield microphone
    yield from check_echo(chosen)
