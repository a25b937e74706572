"""The page of real programs: a touched word moves the job, and the page beside its journal."""

from __future__ import annotations

import http.client
import json
import os
import re
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[2]


SHEET = ROOT / "assistant" / "procedures" / "vehicles" / "example.toml"
RECORDING = ROOT / "recordings" / "01-plate.flac"
START = ("start", "automatic-drain-refill", "--vehicle", str(SHEET), "--voice", "print", "--page", "0")
INTERRUPTED = 130


def running(folder: Path, *command: str) -> subprocess.Popen[str]:
    """A command of the program, its records in a folder of their own."""
    environment = {
        **os.environ,
        "ASSISTANT_RECORDS": str(folder),
        "ASSISTANT_SETTINGS": str(folder / "none.toml"),
        "PYTHONUNBUFFERED": "1",
    }
    return subprocess.Popen(
        [sys.executable, "-m", "assistant", *command],
        env=environment,
        cwd=ROOT,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )


@pytest.mark.full
def test_a_real_job_is_touched_and_watched_by_its_commands(tmp_path: Path) -> None:
    """`start --page` beside a job, `page` beside its journal: a touched word moves both.

    Then the program of the job is killed, and the page beside the journal says that nothing is live.
    """
    journal = str(tmp_path / "journal.sqlite")
    with running(tmp_path, *START, "--ear", "keyboard") as job:
        port = _port_of(job)
        with running(tmp_path, "page", "--journal", journal, "--port", "0") as watching:
            other = _port_of(watching)
            cookie, token, first = _stream(port)
            assert first["step"]["number"] == 1
            assert job.stdin is not None
            job.stdin.write("plate reads hotel seven kilo two\n")
            job.stdin.flush()
            second = _until(port, lambda seen: seen["step"]["number"] == 2)
            _touch(port, cookie, token, "next", second["place"])
            third = _until(port, lambda seen: seen["step"]["number"] == 3)
            assert _until(other, lambda seen: seen["step"]["number"] == 3)["touch"] == []
            assert third["touch"] != []
            assert _until(other, lambda seen: seen["step"]["number"] == 3)["written"]
            job.kill()
            job.wait(10)
            assert _until(other, lambda seen: not seen["written"])["step"]["number"] == 3
            watching.terminate()


@pytest.mark.full
def test_a_recorded_job_is_shown_and_stays_on_the_page(tmp_path: Path) -> None:
    """What was heard in the recording and taken for is there after its end; nothing can be touched."""
    with running(tmp_path, *START, "--ear", str(RECORDING)) as job:
        port = _port_of(job)
        seen = _until(port, lambda seen: any("mike four" in one["words"] for one in seen["heard"]))
        assert "M4T9" in seen["heard"][0]["text"]
        assert seen["touch"] == []
        assert job.stdout is not None
        assert any("the page stays until" in line for line in job.stdout)
        assert _stream(port)[2]["heard"] == seen["heard"]
        job.send_signal(signal.SIGINT)
        assert job.wait(10) == INTERRUPTED


def _port_of(process: subprocess.Popen[str]) -> int:
    """The port a command says its page is on."""
    assert process.stdout is not None
    for line in process.stdout:
        if found := re.search(r"page: http://127\.0\.0\.1:(\d+)/", line):
            return int(found[1])
    raise AssertionError("no page was served")


def _stream(port: int) -> tuple[str, str, dict[str, Any]]:
    """Cookie, token and newest picture."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
    connection.request("GET", "/stream")
    answer = connection.getresponse()
    data = []
    while len(data) < 2:
        line = answer.readline().decode()
        if line.startswith("data: "):
            data.append(json.loads(line.removeprefix("data: ")))
    cookie = (answer.getheader("set-cookie") or "").split(";")[0]
    connection.close()
    return cookie, data[0]["token"], data[1]["picture"]


def _until(port: int, fits: Callable[[dict[str, Any]], bool]) -> dict[str, Any]:
    """The first picture that fits, of at most some hundred."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    connection.request("GET", "/stream")
    answer = connection.getresponse()
    seen: dict[str, Any] = {}
    for _ in range(2000):
        line = answer.readline().decode()
        if line.startswith("data: ") and "picture" in (got := json.loads(line.removeprefix("data: "))):
            seen = got["picture"]
            if seen and fits(seen):
                connection.close()
                return seen
    raise AssertionError(f"the page stands at {seen['step']}")


def _touch(port: int, cookie: str, token: str, word: str, place: str) -> None:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
    body = json.dumps({"word": word, "place": place, "press": "one"})
    headers = {
        "Cookie": cookie,
        "Content-Type": "application/json",
        "X-Sheet-Token": token,
        "Origin": f"http://127.0.0.1:{port}",
    }
    connection.request("POST", "/word", body, headers)
    assert connection.getresponse().status == 204
    connection.close()
