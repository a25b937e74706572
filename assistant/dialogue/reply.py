"""What the dialogue takes in and gives out: `Heard`, `Reply`, and the `Turn` that gathers both."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from assistant.grammar.meaning import Meaning, NoMatch
from assistant.job.events import Event
from assistant.job.instant import Instant
from assistant.job.state import State, apply


@dataclass(frozen=True, slots=True)
class Heard:
    """One utterance after hearing and grammar."""

    meaning: Meaning | NoMatch
    words: str = ""
    sure: bool = True
    """False: understood, but not surely enough to be believed without a yes."""
    twin: str | None = None
    """The value it would have with -teen and -ty exchanged, where it holds such a word."""
    amends: bool = False
    """A late tail of the sentence before: it replaces that reading."""
    clip: str | None = None
    """The name of its kept sound."""
    typed: bool = False
    """Given by keyboard: whoever types means it, so it is always answered."""
    note: str = ""
    """The text of a note given by keyboard on the line that asks for one."""
    line: str = ""
    """The line of the keyboard as it was typed, where a name or a label may be meant."""
    seconds: float = 0.0
    """How long it was spoken; 0 where nobody spoke."""
    share: float = 1.0
    """Probability of the meaning; of what was not understood, that of the likeliest one."""
    over: bool = False
    """Spoken while the assistant was speaking."""
    key: bool = False
    """No words: a key or pedal was pressed, or is still down."""

    @property
    def ms(self) -> int:
        """How long it was spoken, in ms."""
        return round(self.seconds * 1000)


@dataclass(frozen=True, slots=True)
class Reply:
    """One thing to say: a key of the phrasing and what fills its places (text, Measure, int)."""

    key: str
    args: Mapping[str, object] = field(default_factory=dict)


@dataclass(slots=True)
class Turn:
    """The events and replies of one turn, gathered while the state moves on."""

    state: State
    at: Instant
    said_before: tuple[Reply, ...] = ()
    """What the assistant said last, for "say again"."""
    events: list[Event] = field(default_factory=list)
    replies: list[Reply] = field(default_factory=list)
    after: list[Event] = field(default_factory=list)
    """Events that become true when the last sample of the replies is out."""

    def do(self, *events: Event) -> None:
        """Add events and let the state follow."""
        for event in events:
            self.state = apply(event, self.state)
            self.events.append(event)

    def say(self, key: str, **args: object) -> None:
        """Add a reply."""
        self.replies.append(Reply(key, args))
