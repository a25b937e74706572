"""`assistant demo`: the recorded job, heard, decided, spoken and kept, with a power cut in the middle.

The job runs in a process of its own. When the reading before the power cut is written but not yet read
back, that process is killed; a new one takes the job up with nothing but the journal.
"""

from __future__ import annotations

import argparse
import json
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from assistant.commands.recorded_job import Script, check_clips, differences, read_script
from assistant.errors import AssistantError
from assistant.job.state import fold
from assistant.journal.open import read_journal
from assistant.shelf.places import cache_folder, data_folder, records_folder


class DemoFailed(AssistantError):
    """The recorded job did not run as it must; the text says where."""


@dataclass(frozen=True, slots=True)
class Line:
    """One thing said in the conversation, on the recording's clock."""

    at_s: float
    who: str
    text: str
    clip: str = ""


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Register the command."""
    parser = subparsers.add_parser("demo", help="run the recorded job, start to finish, on real sound")
    parser.add_argument("--to", metavar="FILE", type=Path, help="also write the conversation as a sound file")
    parser.add_argument("--recordings", metavar="FOLDER", type=Path, help="another recorded job")
    parser.add_argument("--journal", metavar="FILE", type=Path, help="where the record is written")
    parser.add_argument("--model", metavar="DIR", type=Path, help="folder of the speech model")
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Run the recorded job, print the conversation, check the record; 0 when it is what was said."""
    from assistant.commands.fetch import model_or_fetch

    script = read_script(arguments.recordings or data_folder("recordings"))
    check_clips(script)
    model = model_or_fetch(arguments.model, cache_folder())
    journal = arguments.journal or records_folder() / "demo" / "journal.sqlite"
    if arguments.journal is None:
        _clear(journal)
    begun = time.monotonic()
    minutes = script.end_s / 60
    print(f"The recorded job: {len(script.clips)} clips, {minutes:.0f} minutes on the recording's clock.")
    lines: list[Line] = []
    _first_run(script, journal, model, lines)
    _after_cut(script, journal, model, lines)
    history = _history(journal)
    wrong = differences(script, history)
    if wrong:
        raise DemoFailed("the record is not what the recording says. " + "; ".join(wrong[:5]))
    state = fold(history)
    print(f"\nThe record holds {len(history)} events, and every reading is as it was said (job {state.job}).")
    print(f"It is in {journal}; read it with: assistant report --journal {journal}")
    print(f"{time.monotonic() - begun:.0f} seconds for a job of {minutes:.0f} minutes.")
    if arguments.to is not None:
        from assistant.commands.demo_sound import write_conversation

        write_conversation(script, lines, arguments.to)
        print(f"The conversation is in {arguments.to}")
    return 0


def _clear(journal: Path) -> None:
    """The demo's own record is made anew each time."""
    for path in (journal, *journal.parent.glob(journal.name + "-*"), *journal.parent.glob("clips/*/*")):
        path.unlink(missing_ok=True)


def _history(journal: Path) -> list[Any]:
    with read_journal(journal) as store:
        rows = store.work()
        return list(store.read(rows[-1].id)) if rows else []


def _first_run(script: Script, journal: Path, model: Path, lines: list[Line]) -> None:
    """Run until the power fails: killed between the commit of a reading and its read-back."""
    with _player(script, journal, model, "--cut-after", script.cut_after) as player:
        for message in _messages(player):
            if message.get("what") == "committed":
                player.send_signal(signal.SIGKILL)
                break
            _show(message, lines)
        else:
            raise DemoFailed(f"the job ended before the clip {script.cut_after} was heard")
        player.wait()
    print(f"{'':6}  ---- power cut: killed after the reading was written, before it was read back ----")


def _after_cut(script: Script, journal: Path, model: Path, lines: list[Line]) -> None:
    with _player(script, journal, model, "--resume-after", script.cut_after) as player:
        for message in _messages(player):
            _show(message, lines)
        if player.wait() != 0:
            raise DemoFailed("the job could not be taken up again")


def _player(script: Script, journal: Path, model: Path, *more: str) -> subprocess.Popen[str]:
    command = [
        sys.executable,
        "-m",
        "assistant.commands.demo_player",
        str(script.folder),
        str(journal),
        str(model),
    ]
    return subprocess.Popen(
        [*command, *more], stdin=subprocess.PIPE, stdout=subprocess.PIPE, encoding="utf-8"
    )


def _messages(player: subprocess.Popen[str]) -> Iterator[dict[str, Any]]:
    assert player.stdout is not None
    for line in player.stdout:
        yield json.loads(line)


def _show(message: dict[str, Any], lines: list[Line]) -> None:
    """Print one line of the conversation and keep it."""
    line = Line(message["at"], message["who"], message["text"], message.get("clip", ""))
    lines.append(line)
    minutes, seconds = divmod(int(line.at_s), 60)
    print(f"{minutes:3d}:{seconds:02d}  {line.who:<9}  {line.text}", flush=True)
