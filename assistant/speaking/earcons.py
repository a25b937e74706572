"""The short tones: what happened, told without a word and told apart by the course of the pitch."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from assistant.errors import WrongInput
from assistant.speaking.sound import Samples, Sound, from_samples

RATE = 22_050


@dataclass(frozen=True, slots=True)
class Note:
    """A steady tone of `hertz` (0: a rest) for `ms` milliseconds."""

    hertz: float
    ms: int


EARCONS: dict[str, tuple[Note, ...]] = {
    "heard": (Note(660, 60), Note(990, 90)),  # up: taken
    "refused": (Note(520, 110), Note(350, 170)),  # down: not understood
    "timer": (Note(880, 140), Note(0, 70), Note(880, 140), Note(0, 70), Note(1320, 260)),  # knock, knock, up
    "trouble": (Note(233, 220), Note(0, 60), Note(233, 220), Note(0, 60), Note(233, 220)),  # low, three times
    "dozing": (Note(784, 140), Note(587, 140), Note(440, 260)),  # three steps down: gone quiet
}
"""Name -> notes. All lie between 200 Hz and 1.4 kHz: audible on any headset, below the hiss of air tools."""

LEVEL = 0.25
RAMP_S = 0.008
OVERTONES = (1.0, 0.35, 0.12)
"""Strength of the tone and its next two harmonics: a little body, so that noise does not cover it wholly."""


def earcon(name: str, rate: int = RATE) -> Sound:
    """Return the tone called `name` at `rate` Hz; `WrongInput` for a name that is not in `EARCONS`."""
    if name not in EARCONS:
        raise WrongInput(f"no tone is called {name!r}; there are {', '.join(EARCONS)}")
    return from_samples(np.concatenate([_note(note, rate) for note in EARCONS[name]]), rate)


def _note(note: Note, rate: int) -> Samples:
    at = np.arange(round(note.ms * rate / 1000)) / rate
    if not note.hertz:
        return np.zeros(len(at), dtype=np.float32)
    wave = sum(
        share * np.sin(2 * np.pi * note.hertz * order * at) for order, share in enumerate(OVERTONES, start=1)
    )
    ramp = np.clip(np.minimum(at, at[-1] - at) / RAMP_S, 0, 1)
    return np.asarray(LEVEL / sum(OVERTONES) * wave * ramp, dtype=np.float32)
