"""The ear as it is set for the person who works: pauses, strictness and gain of the profile."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from assistant.grammar.grammar import Grammar
from assistant.grammar.judgement import ANYTHING, Expectation
from assistant.shelf.places import profiles_folder
from assistant.shelf.profile_file import PersonProfile, profile_path, read_profile
from assistant.shelf.settings import Settings

if TYPE_CHECKING:
    import vosk

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
    return ear_of(folder, grammar, of_person(who or chosen.who), float(chosen.pause_factor))


def ear_of(
    folder: Path,
    grammar: Grammar,
    profile: Profile,
    factor: float,
    *,
    model: vosk.Model | None = None,
    expectation: Expectation = ANYTHING,
) -> Recogniser:
    """Return a recogniser set by a profile; of its pause factor and `factor` the greater counts."""
    from assistant.hearing.endpointer import Pauses
    from assistant.hearing.recogniser import Recogniser

    return Recogniser(
        folder,
        grammar,
        model=model,
        expectation=expectation,
        pauses=Pauses(factor=max(factor, profile.pause_factor)),
        thresholds=profile.thresholds(),
        gain_db=profile.gain_db,
    )
