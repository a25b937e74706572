"""Which build of a unit is at hand, where a sheet has several: by option, or asked before the job begins."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from assistant.app import Say
from assistant.commands.ears import Ear, Over
from assistant.commands.first_start import TRIES, WAIT_S, somebody_at
from assistant.dialogue.reply import Reply
from assistant.dialogue.starting import place_of
from assistant.grammar.meaning import Meaning
from assistant.phrasing import phrase
from assistant.shelf.vehicle_builds import variants_of
from assistant.shelf.vehicle_file import load_for, units_for


def sheet_for(
    path: Path,
    procedure: Mapping[str, object],
    ear: Ear | None,
    say: Say,
    *,
    unit: str | None = None,
    variants: Sequence[str] = (),
    language: str = "en",
) -> Mapping[str, object]:
    """Return the sheet a procedure starts with; what builds are not named is asked of who is at the ear.

    Without an answer, figures in which the builds differ are asked in the job.
    """
    chosen = list(variants)
    for one in units_for(path, procedure, unit):
        builds = variants_of(one)
        known = any(build.casefold() in {name.casefold() for name in chosen} for build in builds)
        if builds and not known and ear is not None and somebody_at(ear):
            answer = _asked(str(one["unit"]), builds, ear, say, language)
            chosen += [answer] if answer else []
    return load_for(path, procedure, unit, chosen)


def _asked(unit: str, builds: Sequence[str], ear: Ear, say: Say, language: str) -> str:
    """Return the build that is chosen by its number or typed name, "" without an answer."""
    options = tuple(f"{unit}, {build}" for build in builds)
    for _ in range(TRIES):
        say(phrase(Reply("menu", {"what": "variant", "options": options}), language))
        item = ear.next(WAIT_S, None)
        if isinstance(item, Over):
            return ""
        if item is None or item.key:
            continue
        named = next((one for one in builds if one.casefold() == item.line.casefold()), "")
        if named:
            return named
        meaning = item.meaning
        if isinstance(meaning, Meaning):
            if (place := place_of(meaning, len(builds))) is not None:
                return builds[place]
            if meaning.kind in ("skip", "no"):
                return ""
    return ""
