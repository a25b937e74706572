"""A key or foot pedal that is held while one speaks: the terminal in raw mode, any key.

A terminal tells of keys going down, and again and again while one is held, never of their going up. So
each press opens the ear for a moment, and a held key keeps it open. A foot pedal that is wired as a
keyboard is a key like any other. After the key Tab a line can be typed as ever.
"""

from __future__ import annotations

import contextlib
import os
import sys
import time
from collections.abc import Callable
from typing import Protocol

from assistant.commands.ears import KEY, Over
from assistant.commands.understanding import LONGEST_LINE, from_line
from assistant.dialogue.reply import Heard
from assistant.grammar.grammar import Grammar
from assistant.job.state import State

TYPE, ENTER, RUBOUT, END = "\t", "\r\n", "\x7f\b", "\x04"
SLICE_S = 0.1


class Keys(Protocol):
    """Where single keys come from."""

    def read(self, timeout_s: float) -> str | None:
        """Return what was pressed, None when nothing was in `timeout_s`, "" when there is no more."""

    def show(self, text: str) -> None:
        """Show what is typed."""

    def close(self) -> None:
        """Leave the terminal as it was found."""


class Pedal:
    """An ear that brings a key press for any key, and typed lines after Tab."""

    def __init__(self, keys: Keys, grammar: Grammar, now: Callable[[], float] = time.monotonic) -> None:
        """`now` is a clock in seconds that never jumps."""
        self._keys, self._grammar, self._now = keys, grammar, now
        self._line: str | None = None
        """What has been typed so far; None while nobody types."""

    def next(self, timeout_s: float | None, state: State | None) -> Heard | Over | None:
        """Return the next key press or typed line."""
        until = None if timeout_s is None else self._now() + timeout_s
        while until is None or self._now() < until:
            left = SLICE_S if until is None else min(SLICE_S, max(0.0, until - self._now()))
            pressed = self._keys.read(left)
            if pressed is None:
                continue
            if pressed == "" or (pressed == END and self._line is None):
                return Over()
            item = self._taken(pressed)
            if item is not None:
                return item
        return None

    def watch(self, state: Callable[[], State]) -> None:
        """Keys are taken whatever is awaited."""

    def _taken(self, pressed: str) -> Heard | None:
        if self._line is None:
            if pressed[0] != TYPE:
                return KEY
            self._keys.show("> ")
            self._line, pressed = "", pressed[1:]
        for letter in pressed:
            if letter in ENTER:
                line, self._line = self._line, None
                self._keys.show("\r\n")
                return from_line(line, self._grammar) if line.strip() else None
            if letter in RUBOUT:
                if self._line:
                    self._keys.show("\b \b")
                self._line = self._line[:-1]
            elif letter.isprintable() and len(self._line) <= LONGEST_LINE:
                self._line += letter
                self._keys.show(letter)
        return None


class Terminal:
    """The keys of a terminal, one by one and without echo; Ctrl-C still ends the program."""

    def __init__(self, descriptor: int) -> None:
        """Put the terminal into raw mode; `OSError` where `descriptor` is none."""
        import termios  # only where there are such terminals
        import tty

        self._descriptor, self._termios = descriptor, termios
        try:
            self._before = termios.tcgetattr(descriptor)
        except termios.error as trouble:
            raise OSError(f"no terminal: {trouble}") from trouble
        tty.setcbreak(descriptor)

    def read(self, timeout_s: float) -> str | None:
        """Return what was pressed since the last call; a held key and a key of several signs come at once."""
        import select

        ready, _, _ = select.select([self._descriptor], [], [], timeout_s)
        if not ready:
            return None
        try:
            return os.read(self._descriptor, 64).decode("utf-8", "ignore") or ""
        except OSError:  # the terminal was closed
            return ""

    def show(self, text: str) -> None:
        """Write to the terminal."""
        with contextlib.suppress(OSError):
            os.write(self._descriptor, text.encode("utf-8"))

    def close(self) -> None:
        """Put the terminal back to how it was."""
        with contextlib.suppress(OSError, self._termios.error):
            self._termios.tcsetattr(self._descriptor, self._termios.TCSADRAIN, self._before)


class Console:
    """The keys of a Windows console."""

    def read(self, timeout_s: float) -> str | None:
        """Return the next key."""
        import msvcrt

        until = time.monotonic() + timeout_s
        while not msvcrt.kbhit():  # type: ignore[attr-defined,unused-ignore]
            if time.monotonic() >= until:
                return None
            time.sleep(0.02)
        return str(msvcrt.getwch())  # type: ignore[attr-defined,unused-ignore]

    def show(self, text: str) -> None:
        """Write to the console."""
        sys.stdout.write(text)
        sys.stdout.flush()

    def close(self) -> None:
        """Nothing was changed."""


def keys() -> Keys | None:
    """Return the keys of the terminal the program runs in; None where it runs in none."""
    if not sys.stdin.isatty():
        return None
    if sys.platform == "win32":
        return Console()
    try:
        return Terminal(sys.stdin.fileno())
    except OSError:
        return None
