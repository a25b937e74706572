"""The ear as it is set for the person who works: pauses, strictness and gain of the profile."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from assistant.grammar.grammar import Grammar
from assistant.shelf.places import profiles_folder
from assistant.shelf.profile_file import PersonProfile, profile_path, read_profile
from assistant.shelf.settings import Settings

if TYPE_CHECKING:
    from assistant.hearing.enrolment import Profile
    from assistant.hearing.recogniser import Recogniser


def of_person(who: str) -> Profile:
    """Return the profile of a person; that of anybody where there is none."""
    from assistant.hearing.enrolment import Profile

    named = any(letter.isalnum() for letter in who)
    kept = read_profile(profile_path(profiles_folder(), who)) if named else PersonProfile()
    return Profile(float(kept.gain_db), float(kept.pause_factor), float(kept.sure))


def personal_ear(folder: Path, grammar: Grammar, who: str, chosen: Settings) -> Recogniser:
    """Return a recogniser for a person; of two pause factors, settings and profile, the greater counts."""
    from assistant.hearing.endpointer import Pauses
    from assistant.hearing.recogniser import Recogniser

    profile = of_person(who or chosen.who)
    return Recogniser(
        folder,
        grammar,
        pauses=Pauses(factor=max(float(chosen.pause_factor), profile.pause_factor)),
        thresholds=profile.thresholds(),
        gain_db=profile.gain_db,
    )
