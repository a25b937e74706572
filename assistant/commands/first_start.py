"""Asks at the first start whether sound may be kept, and who works; the answers go into the settings."""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from assistant.app import Say
from assistant.commands import house
from assistant.commands.ears import Ahead, Ear, Keyboard, Over
from assistant.dialogue.reply import Heard, Reply
from assistant.errors import WrongInput
from assistant.grammar.meaning import Meaning
from assistant.phrasing import phrase
from assistant.shelf.places import settings_file
from assistant.shelf.settings import Clips, Settings, remember, sets

TRIES = 3
"""Utterances and silences waited for; then the job goes on with the default."""
WAIT_S = 20.0


def ask_once(
    chosen: Settings,
    store: house.Store,
    ear: Ear,
    say: Say,
    place: Path | None = None,
    somebody: Callable[[Ear], bool] | None = None,
) -> tuple[Settings, Ear]:
    """Return the settings with the answer in them, and the ear to go on with.

    What is set already, or nobody can answer, is not asked: a recording or a pipe cannot. Without an
    answer nothing is written and the default holds; a sentence that is none is for the job, which hears it.
    """
    place = place or settings_file()
    if sets(place, "clips") or not (somebody or somebody_at)(ear):
        return chosen, ear
    say(phrase(Reply("first-start", {"days": chosen.clip_days}), chosen.language))
    level, other = _answer(ear)
    if level is not None:
        store.level = level
        _kept(place, "clips", level, '; "all" is possible, too')
    say(phrase(Reply("first-start-over", {"clips": level or ""}), chosen.language))
    return replace(chosen, clips=store.level), ear if other is None else Ahead(ear, other)


def ask_who(
    chosen: Settings,
    ear: Ear,
    say: Say,
    place: Path | None = None,
    somebody: Callable[[Ear], bool] | None = None,
) -> tuple[Settings, Ear]:
    """Return the settings with the mechanic's name or initials in them, and the ear to go on with.

    As with `ask_once`: asked of a person only, and never again once there was an answer; a no, or a step
    left out, is one. A name is typed, initials are said by the spelling alphabet or typed.
    """
    place = place or settings_file()
    if chosen.who or sets(place, "who") or not (somebody or somebody_at)(ear):
        return chosen, ear
    say(phrase(Reply("ask-who"), chosen.language))
    who, other = _name(ear)
    if who is not None:
        _kept(place, "who", who)
    if who:
        say(phrase(Reply("named", {"who": who}), chosen.language))
    return replace(chosen, who=who or ""), ear if other is None else Ahead(ear, other)


def _kept(place: Path, key: str, value: str, more: str = "") -> None:
    """Put an answer into the settings, and say so, or that it could not be."""
    try:
        remember(place, key, value)
        print(f'(written into {place}: {key} = "{value}"{more})', file=sys.stderr)
    except (OSError, WrongInput) as trouble:
        print(f"({place} cannot be written, so this is asked again: {trouble})", file=sys.stderr)


def _name(ear: Ear) -> tuple[str | None, Heard | None]:
    """Return who works, "" for nobody's business, None without an answer; and what was said instead."""
    for _ in range(TRIES):
        item = ear.next(WAIT_S, None)
        if isinstance(item, Over):
            return None, None
        if item is None or item.key:
            continue
        if isinstance(item.meaning, Meaning):
            if item.meaning.kind in ("initials", "hand-over"):
                return item.meaning.slot("who"), None
            return ("", None) if item.meaning.kind in ("no", "skip") else (None, item)
        if item.line and item.line.isprintable():
            return item.line, None
    return None, None


def _answer(ear: Ear) -> tuple[Clips | None, Heard | None]:
    """Return what a yes or a no means, None when neither comes; and the sentence that came instead."""
    for _ in range(TRIES):
        item = ear.next(WAIT_S, None)
        if isinstance(item, Over):
            return None, None
        if item is not None and isinstance(item.meaning, Meaning):
            if item.meaning.kind not in ("yes", "no"):
                return None, item
            return ("readings" if item.meaning.kind == "yes" else "off"), None
    return None, None


def somebody_at(ear: Ear) -> bool:
    """Return whether a person is at this ear: a microphone, or a keyboard that is no pipe."""
    return not isinstance(ear, Keyboard) or sys.stdin.isatty()
