"""The program itself, started as a user starts it, with its own settings and records, and watched."""

from __future__ import annotations

import json
import os
import queue
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Mapping
from pathlib import Path
from typing import IO

from assistant.shelf.places import RECORDS_VARIABLE, SETTINGS_VARIABLE
from tests.bench import SHEET

ROOT = Path(__file__).resolve().parents[3]
MICROPHONE, VOICE = "assistant.hearing.microphone_process", "assistant.speaking.voice_process"


class Program:
    """A running job with microphone and loudspeaker; ended with the block."""

    def __init__(self, folder: Path, settings: Mapping[str, str], *options: str) -> None:
        """Start it in an empty `folder`."""
        folder.mkdir(parents=True, exist_ok=True)
        chosen = {"clips": "readings", "who": "Bay one", **settings}
        lines = [f"{key} = {json.dumps(value)}\n" for key, value in chosen.items()]
        (folder / "settings.toml").write_text("".join(lines), "utf-8")
        self.journal, self.log = folder / "journal.sqlite", folder / "log.jsonl"
        environment = {
            **os.environ,
            RECORDS_VARIABLE: str(folder / "records"),
            SETTINGS_VARIABLE: str(folder / "settings.toml"),
            "PYTHONPATH": str(ROOT),
        }
        self.process = subprocess.Popen(
            [sys.executable, "-m", "assistant", "--log", str(self.log), "start", "automatic-drain-refill",
             "--vehicle", str(SHEET), "--journal", str(self.journal), "--json", *options],
            env=environment, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        )  # fmt: skip
        self.events: list[dict[str, object]] = []
        self.printed: list[str] = []
        self.told: queue.Queue[str] = queue.Queue()
        assert self.process.stdout is not None
        assert self.process.stderr is not None
        for stream, take in ((self.process.stdout, self._event), (self.process.stderr, self.told.put)):
            threading.Thread(target=_read, args=(stream, take), daemon=True).start()

    def __enter__(self) -> Program:
        """The block."""
        return self

    def __exit__(self, *_: object) -> None:
        """End it as a closed terminal does."""
        self.process.send_signal(signal.SIGTERM)
        try:
            self.process.wait(20)
        except subprocess.TimeoutExpired:
            self.process.kill()

    def _event(self, line: str) -> None:
        try:
            self.events.append(json.loads(line))
        except ValueError:
            self.printed.append(line)

    def wait_told(self, what: str, most_s: float) -> float | None:
        """Wait until the program prints a notice that holds `what`; return the seconds it took."""
        begun = time.monotonic()
        while (left := begun + most_s - time.monotonic()) > 0:
            try:
                if what in self.told.get(timeout=left):
                    return time.monotonic() - begun
            except queue.Empty:
                break
        return None

    def part(self, module: str) -> int:
        """Return the process id of one of its parts; waits until there is one."""
        until = time.monotonic() + 5.0
        while time.monotonic() < until:
            for child in _children(self.process.pid):
                if module in _command(child):
                    return child
            time.sleep(0.01)
        raise TimeoutError(f"the program runs no {module}")

    def heard(self) -> list[dict[str, object]]:
        """Return the lines of the log about what was heard."""
        lines = [json.loads(line) for line in self.log.read_text("utf-8").splitlines()]
        return [line for line in lines if line["what"] == "heard"]


def _children(pid: int) -> list[int]:
    found: list[int] = []
    for task in Path(f"/proc/{pid}/task").iterdir():
        found += [int(child) for child in (task / "children").read_text().split()]
    return found


def _command(pid: int) -> str:
    try:
        return Path(f"/proc/{pid}/cmdline").read_bytes().replace(b"\0", b" ").decode()
    except OSError:
        return ""


def _read(stream: IO[str], take: object) -> None:
    assert callable(take)
    for line in stream:
        take(line.rstrip("\n"))
