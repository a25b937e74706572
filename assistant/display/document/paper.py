"""The two papers of a report."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.errors import WrongInput


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet of paper upright: its name in CSS and its size in millimetres."""

    css: str
    width: float
    height: float


A4 = Paper("A4", 210.0, 297.0)
"""ISO 216."""
LETTER = Paper("letter", 215.9, 279.4)
"""ANSI/ASME Y14.1 A, 8.5 by 11 inches."""
PAPERS = {"a4": A4, "letter": LETTER}


def paper_of(name: str) -> Paper:
    """Return the paper of that name; raises `WrongInput` for another."""
    if name.lower() not in PAPERS:
        raise WrongInput(f"no paper is called '{name}': {' or '.join(PAPERS)}")
    return PAPERS[name.lower()]
