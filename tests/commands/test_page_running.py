"""The page of real programs: a touched word moves the job, and the page beside its journal."""

from __future__ import annotations

import http.client
import json
import os
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.full
def test_a_real_job_is_touched_and_watched_by_its_commands(tmp_path: Path) -> None:
    """`start --page` beside a job, `page` beside its journal: a touched word moves both."""
    place = tmp_path / "journal.sqlite"
    environment = {
        **os.environ,
        "ASSISTANT_RECORDS": str(tmp_path),
        "ASSISTANT_SETTINGS": str(tmp_path / "none.toml"),
        "PYTHONUNBUFFERED": "1",
    }
    sheet = ROOT / "assistant" / "procedures" / "vehicles" / "example.toml"
    start = [
        "start",
        "automatic-drain-refill",
        "--vehicle",
        str(sheet),
        "--ear",
        "keyboard",
        "--voice",
        "print",
    ]
    piped = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE, "stderr": subprocess.STDOUT, "text": True}
    run = [sys.executable, "-m", "assistant"]
    with subprocess.Popen([*run, *start, "--page", "0"], env=environment, cwd=ROOT, **piped) as job:
        port = _port_of(job)
        with subprocess.Popen(
            [*run, "page", "--journal", str(place), "--port", "0"], env=environment, cwd=ROOT, **piped
        ) as watching:
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
            watching.terminate()
        job.communicate(timeout=20)
    assert job.returncode == 0


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
    """The first picture that fits, of at most some hundred looks."""
    for _ in range(300):
        seen = _stream(port)[2]
        if seen and fits(seen):
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
