"""A key held while one speaks: single keys of a real pseudo-terminal, and typed lines after Tab."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator

import pytest

from assistant.commands.ears import KEY, Keyboard, Over
from assistant.commands.pedal import Pedal, Terminal
from assistant.grammar.meaning import Meaning
from tests.bench import grammar

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="terminals of this kind are not on Windows")
WAIT_S = 5.0


@pytest.fixture
def terminal() -> Iterator[tuple[int, Terminal]]:
    """The user's end of a terminal, and its keys."""
    user, program = os.openpty()
    keys = Terminal(program)
    yield user, keys
    keys.close()
    os.close(user)
    os.close(program)


@pytest.mark.parametrize("pressed", [b" ", b"b", b"\x1b[6~", b"\r", b"xxxxxx"])
def test_any_key_is_the_pedal(terminal: tuple[int, Terminal], pressed: bytes) -> None:
    """A letter, Page Down as pedals send it, Enter, a key held down: one press each time it is looked at."""
    user, keys = terminal
    pedal = Pedal(keys, grammar())

    os.write(user, pressed)

    assert pedal.next(WAIT_S, None) == KEY
    assert pedal.next(0.0, None) is None


def test_a_line_is_typed_after_tab(terminal: tuple[int, Terminal]) -> None:
    """With what was rubbed out left out; afterwards keys are the pedal again."""
    user, keys = terminal
    pedal = Pedal(keys, grammar())
    os.write(user, b"\tnexx")
    assert pedal.next(0.2, None) is None

    os.write(user, b"\x7ft step\n")

    item = pedal.next(WAIT_S, None)
    assert getattr(item, "meaning", None) == Meaning("next")
    assert getattr(item, "typed", False)
    os.write(user, b" ")
    assert pedal.next(WAIT_S, None) == KEY


def test_the_end_of_the_terminal_is_the_end_of_the_keys(terminal: tuple[int, Terminal]) -> None:
    """Ctrl-D."""
    user, keys = terminal

    os.write(user, b"\x04")

    assert isinstance(Pedal(keys, grammar()).next(WAIT_S, None), Over)


def test_the_terminal_is_left_as_it_was_found() -> None:
    """Lines and echo again."""
    import termios

    user, program = os.openpty()
    before = termios.tcgetattr(program)

    keys = Terminal(program)
    raw = termios.tcgetattr(program)
    keys.close()

    assert raw[3] & (termios.ECHO | termios.ICANON) == 0
    assert raw[3] & termios.ISIG
    assert termios.tcgetattr(program) == before
    os.close(user)
    os.close(program)


def test_where_there_is_no_terminal_it_says_so() -> None:
    """A pipe has no single keys."""
    read, write = os.pipe()
    with pytest.raises(OSError, match="no terminal"):
        Terminal(read)
    os.close(read)
    os.close(write)


def test_a_blank_typed_line_is_a_key() -> None:
    """So that Enter alone wakes the ear where lines are typed."""
    user, program = os.openpty()
    with os.fdopen(program, "r") as stream:
        keyboard = Keyboard(stream, grammar())
        os.write(user, b"\n")
        assert keyboard.next(WAIT_S, None) == KEY
        os.write(user, b"\x04")
        assert isinstance(keyboard.next(WAIT_S, None), Over)
    os.close(user)
