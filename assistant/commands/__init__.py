"""The commands of the program, one module each: `add` registers its arguments, `run` does it."""

from types import ModuleType

from assistant.commands import fetch, hear, jobs, start, where

COMMANDS: tuple[ModuleType, ...] = (start, jobs, hear, fetch, where)
