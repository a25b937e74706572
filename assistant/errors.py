"""The errors of the assistant, each named by what the user can do about it.

Not understanding a sentence is no error: it is the value `NoMatch` (see `assistant.grammar`).
"""

from __future__ import annotations


class AssistantError(Exception):
    """Base of every error this package raises on purpose; `str()` is one plain sentence."""


class WrongInput(AssistantError, ValueError):
    """An argument, key or value the caller gave is not usable; the text says what is allowed."""


LONGEST_WHY = 400
"""How many letters a reason may have: one that quotes a file could be as long as the file."""


class BadFile(WrongInput):
    """A file the user gave cannot be used; carries its path, the line where known, and the cure.

    The reason is on one line, and cut where it is longer than anybody reads.
    """

    def __init__(self, path: str, why: str, *, line: int | None = None, cure: str = "") -> None:
        why = " ".join(why[: LONGEST_WHY + 1].split())
        why = why if len(why) <= LONGEST_WHY else f"{why[:LONGEST_WHY]} ..."
        self.path, self.why, self.line, self.cure = path, why, line, cure
        place = path if line is None else f"{path}, line {line}"
        super().__init__(f"{place}: {why}" + (f" ({cure})" if cure else ""))


class MissingPart(AssistantError, RuntimeError):
    """A part of the computer is absent (model, library, device); the text says what to put where."""


class NotSaved(AssistantError, OSError):
    """An event could not be made durable; the text names the store and the reason."""
