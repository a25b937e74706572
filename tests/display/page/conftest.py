"""A page that is served by itself, and requests to it as any program could make them."""

from __future__ import annotations

import http.client
import itertools
import json
import queue
from collections.abc import Callable, Iterator
from typing import Any

import pytest

from assistant.display.page.server import Door, Page

Answer = tuple[int, dict[str, str], bytes]


class Site:
    """A page that is served, and requests to it as any program could make them."""

    def __init__(self, **door: Any) -> None:
        self.touched: queue.Queue[str] = queue.Queue()
        self.page = Page(Door(**door), lambda: 1000, self.touched.put)
        self.page.start()
        self.host = f"127.0.0.1:{self.page.port}"
        self.places = itertools.count()
        self.begin()

    def begin(self) -> None:
        """Forget the browser and let the job stand at a place nothing was touched for yet."""
        self.cookie = ""
        self.place = f"job/step {next(self.places)}///"
        place = self.place
        self.page.give(lambda: {"place": place})
        while not self.touched.empty():
            self.touched.get_nowait()

    def ask(self, method: str, path: str, body: bytes | None = None, **headers: str) -> Answer:
        """Send one request with exactly these headers."""
        connection = http.client.HTTPConnection("127.0.0.1", self.page.port, timeout=5)
        connection.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
        given = {"host": self.host, **({"cookie": self.cookie} if self.cookie else {}), **headers}
        for name, value in given.items():
            connection.putheader(name.replace("_", "-"), value)
        if body is not None:
            connection.putheader("content-length", str(len(body)))
        connection.endheaders(body)
        answer = connection.getresponse()
        kept = {name.lower(): value for name, value in answer.getheaders()}
        streams = kept.get("content-type", "").startswith("text/event-stream")
        found = answer.read1(4096) if streams else answer.read()
        connection.close()
        return answer.status, kept, found

    def enter(self) -> str:
        """Take the cookie and the token a browser would have."""
        self.cookie = self.ask("GET", "/")[1]["set-cookie"].split(";")[0]
        hello = self.ask("GET", "/stream")[2]
        line = next(one for one in hello.decode().splitlines() if one.startswith("data: "))
        return str(json.loads(line.removeprefix("data: "))["token"])

    def touch(self, token: str, body: bytes | None = None, **headers: str) -> int:
        """Touch "next"."""
        given = {"origin": f"http://{self.host}", "content_type": "application/json", "x_sheet_token": token}
        one = json.dumps({"word": "next", "place": self.place, "press": self.place}).encode()
        return self.ask("POST", "/word", one if body is None else body, **{**given, **headers})[0]


@pytest.fixture(scope="module")
def site() -> Iterator[Callable[..., Site]]:
    """Return what serves a page behind a door, one for each sort of door; all are closed in the end."""
    made: dict[str, Site] = {}

    def make(**door: Any) -> Site:
        if repr(door) not in made:
            made[repr(door)] = Site(**door)
        made[repr(door)].begin()
        return made[repr(door)]

    yield make
    for one in made.values():
        one.page.close()
