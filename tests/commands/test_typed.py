"""The keyboard takes what people type; what nobody types is refused at once and costs nothing."""

from __future__ import annotations

import os
import threading
import time
from pathlib import Path

from assistant.commands.ears import Keyboard, Over
from assistant.commands.understanding import LONGEST_LINE
from assistant.dialogue.reply import Heard
from assistant.grammar.meaning import NoMatch
from tests.bench import grammar

TEN_MB = 10_000_000
WAIT_S = 5.0


def heard(keyboard: Keyboard) -> Heard:
    """Return the next thing the keyboard brings."""
    item = keyboard.next(WAIT_S, None)
    assert isinstance(item, Heard)
    return item


def test_a_sentence_without_an_end_is_refused_at_once() -> None:
    """Ten megabytes and no line end: not understood within a second, before the rest or the end is there."""
    grammar()
    reading, writing = os.pipe()

    def flood() -> None:
        with os.fdopen(writing, "wb") as pipe:
            pipe.write(b"drained four litres " * (TEN_MB // 20))
            pipe.flush()
            refused.wait(WAIT_S)
            pipe.write(b"and so on\nhow long\n")

    refused = threading.Event()
    with os.fdopen(reading, "r", encoding="utf-8") as stream:
        thread = threading.Thread(target=flood)
        begun = time.perf_counter()
        thread.start()
        keyboard = Keyboard(stream, grammar())
        first = heard(keyboard)
        took = time.perf_counter() - begun
        refused.set()

        assert isinstance(first.meaning, NoMatch)
        assert len(first.words) < 100
        assert took < 1.0
        assert heard(keyboard).words == "how long"
        assert isinstance(keyboard.next(WAIT_S, None), Over)
        thread.join(WAIT_S)


def test_the_longest_line_is_taken_whole(tmp_path: Path) -> None:
    """One letter more is too much; the next line is a line of its own."""
    words = "note " + "x" * (LONGEST_LINE - 6) + "\n"
    file = tmp_path / "lines"
    file.write_text(words + "x" + words + "yes\n", "utf-8")
    with file.open(encoding="utf-8") as stream:
        keyboard = Keyboard(stream, grammar())
        assert heard(keyboard).note == "x" * (LONGEST_LINE - 6)
        assert isinstance(heard(keyboard).meaning, NoMatch)
        assert heard(keyboard).words == "yes"


def test_bytes_that_are_no_text_do_not_end_the_keyboard(tmp_path: Path) -> None:
    """A key in another coding is not understood, and the next line is."""
    file = tmp_path / "lines"
    file.write_bytes(b"fifty\xff five\xfe\n\xc3\nyes\n")
    with file.open(encoding="utf-8") as stream:
        keyboard = Keyboard(stream, grammar())
        assert isinstance(heard(keyboard).meaning, NoMatch)
        assert isinstance(heard(keyboard).meaning, NoMatch)
        assert heard(keyboard).words == "yes"
