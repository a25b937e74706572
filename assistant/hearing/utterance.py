"""What the ear reports: one utterance, decided."""

from __future__ import annotations

from dataclasses import dataclass, field

from assistant.grammar.graph import UNKNOWN
from assistant.grammar.judgement import Alternative, Conditions
from assistant.grammar.meaning import Meaning


@dataclass(frozen=True, slots=True)
class Utterance:
    """One stretch of speech and the decision about it. Times are seconds of the stream it was heard in."""

    words: str
    """The likeliest words of what was decided; may hold `[unk]`."""
    start: float
    """First speech."""
    end: float
    """Last speech."""
    decided: float
    """When the decision fell: the end of the block of sound it was based on."""
    peak_db: float
    """Loudest sample of the speech in dBFS, before any gain."""
    noise_db: float
    """Level of the room before the speech, dBFS RMS."""
    meaning: Meaning | None = None
    """None when refused."""
    reason: str = ""
    """Why it was refused, one of `meaning.REASONS`; empty when understood."""
    share: float = 0.0
    """Probability of the meaning, 0 to 1 (the confidence)."""
    mass: float = 0.0
    """Probability of everything that means something."""
    doubtful: bool = False
    """Understood, but to be acted on only after a yes."""
    amends: bool = False
    """A late tail: this is the utterance before it, whole, and takes its place."""
    candidate: Meaning | None = None
    """The likeliest meaning, taken or not."""
    rivals: tuple[tuple[Meaning, float], ...] = ()
    """Other meanings with their shares."""
    alternatives: tuple[Alternative, ...] = ()
    """The recogniser's list, likeliest first; in noise that of two views of the sound together."""
    conditions: Conditions = field(default_factory=Conditions)
    """The sound it was judged in."""
    pcm: bytes = field(default=b"", repr=False)
    """The sound as it came in, 16 kHz mono int16 little endian."""
    over: bool = False
    """Spoken while the assistant was speaking, and not its own words."""

    @property
    def known_words(self) -> str:
        """The words without what was outside the grammar."""
        return " ".join(word for word in self.words.split() if word != UNKNOWN)
