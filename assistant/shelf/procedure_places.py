"""Where each part of an assembled procedure was written: the file and line a finding names."""

from __future__ import annotations

from dataclasses import dataclass, field

from assistant.shelf.toml import line_in, line_of


@dataclass(frozen=True, slots=True)
class Source:
    """A text a step came from: its file, its text with places filled, and the step's id in it."""

    file: str
    text: str
    id: str = ""


@dataclass(slots=True)
class Places:
    """The sources of a procedure: of each step, newest first, and of everything else."""

    main: Source
    others: list[Source] = field(default_factory=list)
    """Shared pieces and files that change others, for what is no step."""
    steps: dict[str, list[Source]] = field(default_factory=dict)

    def find(self, *needles: str) -> tuple[str, int | None]:
        """Return (file, line) of the last of `needles`, the first being a step's id, a name or a key."""
        if needles and needles[0] in self.steps:
            sources = self.steps[needles[0]]
            rest = needles[1:]
            whole = [one for one in sources if all(needle in one.text for needle in rest)]
            source = (whole or sources)[0]
            return source.file, line_in(source.text, source.id or needles[0], *rest)
        everywhere = (self.main, *self.others)
        for source in everywhere:  # where it is defined, before any place that only names it
            if needles and line_of(source.text, needles[0]) is not None:
                return source.file, line_in(source.text, *needles)
        for source in everywhere:
            line = line_in(source.text, *needles)
            if line is not None:
                return source.file, line
        return self.main.file, None


def places_of(text: str | Places) -> Places:
    """Return the places of a procedure that is written in one text."""
    return text if isinstance(text, Places) else Places(Source("", text))
