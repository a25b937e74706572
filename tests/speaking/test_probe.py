"""A sound library that cannot be loaded is found out before it is loaded."""

from __future__ import annotations

import sys

import pytest

from assistant.errors import MissingPart
from assistant.speaking import output, probe

ENDS = (sys.executable, "-c", "import os; os.abort()")
HANGS = (sys.executable, "-c", "import time; time.sleep(1000)")
FAILS = (sys.executable, "-c", "raise OSError('PortAudio library not found')")


def test_a_library_that_ends_its_process_is_not_loaded(monkeypatch: pytest.MonkeyPatch) -> None:
    """The reason and the cure, as one error like any other missing part."""
    monkeypatch.delitem(sys.modules, "sounddevice", raising=False)
    monkeypatch.setattr(output, "broken", lambda: probe.broken(ENDS))

    with pytest.raises(MissingPart, match=r"breaks off.*put them back"):
        output.library()


def test_a_library_that_hangs_is_not_waited_for(monkeypatch: pytest.MonkeyPatch) -> None:
    """As one does whose sound server does not answer."""
    monkeypatch.setattr(probe, "LOADING_S", 0.2)

    assert "hangs" in probe.broken(HANGS)


def test_what_the_library_says_itself_is_left_to_it() -> None:
    """Importing it raises the same in this process."""
    assert probe.broken(FAILS) == ""
