"""Fitting the ear to one person from ten phrases: it may only become stricter, louder and more patient.

Fitting is a function of how the phrases were heard. The profile it gives never takes anything the ear
would not have taken without it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from statistics import median

from assistant.grammar.grammar import Grammar
from assistant.grammar.judgement import Expectation, Thresholds
from assistant.grammar.meaning import Meaning
from assistant.hearing.levels import Complaint, Levels, complaint, gain_db, levels
from assistant.hearing.sound import Samples
from assistant.hearing.utterance import Utterance

FACTORS = (1.0, 1.25, 1.5, 2.0, 2.5, 3.0)
"""Pause factors that are tried, the quickest first."""
SURE = (0.0, 0.95, 0.97, 0.99)
"""Least sureness of a reading or command that may be asked of a person; 0: nothing more than of anybody."""
MARGIN = 0.01
LEAST_RIGHT = 5
"""So many of ten must have been understood; with fewer the sound is at fault, and no profile is made."""


@dataclass(frozen=True, slots=True)
class Profile:
    """What is set for one person."""

    gain_db: float = 0.0
    """Gain before the voice detector, 0 to 24 dB."""
    pause_factor: float = 1.0
    """How much longer than usual a pause may be, 1 to 3."""
    sure: float = 0.0
    """Least sureness at which something of this person is taken, 0 to 0.99; 0: as of anybody."""

    def thresholds(self, usual: Thresholds | None = None) -> Thresholds:
        """Return the usual thresholds, none of them lower than before."""
        base = usual or Thresholds()
        names = ("sure", "sure_in_noise", "sure_drowned", "command", "command_drowned")
        return replace(base, **{name: max(getattr(base, name), self.sure) for name in names})


@dataclass(frozen=True, slots=True)
class Read:
    """How one phrase was heard."""

    wanted: Meaning
    utterances: tuple[Utterance, ...]
    levels: Levels

    @property
    def right(self) -> bool:
        """Whether it was heard as one sentence that means what it should, surely or not."""
        return len(self.utterances) == 1 and self.utterances[0].candidate == self.wanted

    @property
    def cut(self) -> bool:
        """Whether it fell into pieces."""
        return len([one for one in self.utterances if not one.amends]) > 1

    @property
    def wrong_at(self) -> float:
        """The greatest sureness with which it was taken for something else; 0 where it was not."""
        others = [one.share for one in self.utterances if one.meaning not in (None, self.wanted)]
        return max(others, default=0.0)


@dataclass(frozen=True, slots=True)
class Fit:
    """The profile of a person, and what it was made of."""

    profile: Profile
    right: int
    """How many phrases were understood."""
    complaint: Complaint
    """What was wrong with the sound of most of them."""

    @property
    def usable(self) -> bool:
        """Whether enough was understood to fit anything to."""
        return self.right >= LEAST_RIGHT


def fit(heard: Mapping[float, Sequence[Read]]) -> Fit:
    """Return the fit to phrases heard with some pause factors (factor -> each phrase, in order).

    The pause factor is the least at which the fewest phrases are cut; the sureness is raised until
    nothing that was taken wrong would be.
    """
    if not heard or not all(heard.values()):
        raise ValueError("nothing was read")
    fewest = min(_cuts(reads) for reads in heard.values())
    factor = min(one for one, reads in heard.items() if _cuts(reads) == fewest)
    reads = heard[factor]
    worst = max(one.wrong_at for one in reads)
    sure = next((one for one in SURE if worst == 0.0 or one >= worst + MARGIN), SURE[-1])
    typical = Levels(*(median(getattr(one.levels, name) for one in reads) for name in _LEVELS))
    complaints = [complaint(one.levels) for one in reads]
    most = max(complaints, key=complaints.count)
    return Fit(
        Profile(round(gain_db(typical), 1), factor, sure),
        sum(one.right for one in reads),
        most if complaints.count(most) > len(reads) / 2 else "",
    )


_LEVELS = ("peak_db", "speech_db", "noise_db", "clipped")


def _cuts(reads: Sequence[Read]) -> int:
    return sum(one.cut for one in reads)


Hear = Callable[[Samples, float, Expectation], Iterable[Utterance]]
"""Hears a recording with a pause factor, expecting something; a stream of its own each time."""


def read_out(sounds: Sequence[Samples], phrases: Sequence[str], grammar: Grammar, hear: Hear) -> Fit:
    """Return the fit to recordings of the phrases, one each, in order.

    Longer pauses are tried only while phrases are cut without. Raises `ValueError` for a phrase that is
    no sentence of the grammar.
    """
    heard: dict[float, list[Read]] = {}
    for factor in FACTORS:
        reads = []
        for sound, phrase in zip(sounds, phrases, strict=True):
            wanted = grammar.parse(phrase)
            if not isinstance(wanted, Meaning):
                raise ValueError(f"{phrase!r} is no sentence")
            awaited = Expectation(awaiting=(wanted.kind,))
            reads.append(Read(wanted, tuple(hear(sound, factor, awaited)), levels(sound)))
        heard[factor] = reads
        if _cuts(reads) == 0:
            break
    return fit(heard)
