"""The page's server: a thread of its own beside a job, or alone beside a journal somebody else writes.

Nothing it does can stop a job: it is given pictures to make and makes them on its own thread.
"""

from __future__ import annotations

import logging
import secrets
import socket
import threading
import time
from collections.abc import Callable, Sequence
from contextlib import asynccontextmanager
from dataclasses import dataclass
from typing import Any

import uvicorn
from starlette.types import Receive, Scope, Send

from assistant.display.page.book import Records
from assistant.display.page.guard import Guard, policy
from assistant.display.page.hub import BEAT_S, Hub
from assistant.display.page.pairing import COOKIE, Pairing
from assistant.display.page.site import WITHIN, Site, digest
from assistant.display.page.touches import Touches
from assistant.errors import MissingPart

LOOPBACK = "127.0.0.1"
START_S = 10.0
log = logging.getLogger("assistant.page")


@dataclass(frozen=True, slots=True)
class Door:
    """Where the page is served, and to whom."""

    host: str = LOOPBACK
    port: int = 0
    """0: any that is free."""
    code: str | None = None
    """The pairing code; needed wherever `host` is not loopback."""
    names: Sequence[str] = ()
    """Host names by which browsers may call it, beside addresses."""
    certificate: str = ""
    key: str = ""
    """Files for HTTPS."""
    secret: bytes = b""
    """Signs cookies; made anew where empty, and then browsers must pair again after a restart."""

    @property
    def lan(self) -> bool:
        """Say whether others than this computer can reach it."""
        return self.host not in (LOOPBACK, "::1", "localhost")


class Page:
    """Serves the page from `start` to `close`.

    `submit` takes the sentence of a touched word; None: the page only shows. `book` gives the jobs of the
    history, on a thread of the server's own.
    """

    def __init__(
        self,
        door: Door,
        up_ms: Callable[[], int],
        submit: Callable[[str], None] | None = None,
        beat_s: float = BEAT_S,
        book: Records | None = None,
    ) -> None:
        if door.lan and door.code is None:
            raise ValueError("outside loopback a pairing code is needed")
        self.door, self._book = door, book
        self.touchable = submit is not None
        self._place = ""
        self._hub = Hub(secrets.token_hex(4), up_ms, beat_s)
        self._pairing = Pairing(door.secret or secrets.token_bytes(32), door.code, time.monotonic)
        self._touches = Touches(submit, time.monotonic) if submit is not None else None
        self._server: uvicorn.Server | None = None
        self._thread: threading.Thread | None = None
        self._ready = threading.Event()
        self.port = door.port

    @property
    def address(self) -> str:
        """Return the address to open in a browser."""
        host = self.door.host if self.door.host not in ("0.0.0.0", "::") else _own_address()
        shown = f"[{host}]" if ":" in host else host
        return f"http{'s' if self.door.certificate else ''}://{shown}:{self.port}/"

    @property
    def watchers(self) -> int:
        """Return how many browsers watch now."""
        return self._hub.watchers

    def start(self) -> None:
        """Begin to serve; raises `MissingPart` where the port cannot be had."""
        family = socket.AF_INET6 if ":" in self.door.host else socket.AF_INET
        listening = socket.socket(family, socket.SOCK_STREAM)
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listening.bind((self.door.host, self.door.port))
            listening.listen(128)  # from here on callers wait rather than be refused
        except OSError as error:
            listening.close()
            raise MissingPart(
                f"the page cannot be served on port {self.door.port}: {error.strerror}"
            ) from error
        self.port = listening.getsockname()[1]
        config = uvicorn.Config(
            self._guarded(),
            log_level="critical",
            access_log=False,
            server_header=False,
            date_header=False,
            timeout_graceful_shutdown=1,
            timeout_keep_alive=5,
            ssl_certfile=self.door.certificate or None,
            ssl_keyfile=self.door.key or None,
            ws="none",
        )
        try:
            config.load()
        except OSError as error:
            listening.close()
            raise MissingPart(f"the certificate or its key cannot be used: {error}") from error
        self._server = uvicorn.Server(config)
        self._thread = threading.Thread(target=self._run, args=(listening,), daemon=True, name="page")
        self._thread.start()
        if not self._ready.wait(START_S):
            raise MissingPart("the page did not begin to be served")

    def _run(self, listening: socket.socket) -> None:
        assert self._server is not None
        try:
            self._server.run(sockets=[listening])
        except Exception:  # whatever happens here, the job goes on without its page
            log.exception("the page ended")

    def _guarded(self) -> Any:
        site = Site(
            self._hub,
            self._pairing,
            self._touches,
            lambda: self._place,
            f"{COOKIE}-{self.port}",
            self._book,
            secure=bool(self.door.certificate),
        )
        application = site.application()

        @asynccontextmanager
        async def lifespan(_: object) -> Any:
            self._hub.begin()
            self._ready.set()
            yield

        application.router.lifespan_context = lifespan
        guard = Guard(
            application,
            port=self.port,
            names=self.door.names,
            lan=self.door.lan,
            policy=policy(*map(digest, WITHIN)),
        )

        async def served(scope: Scope, receive: Receive, send: Send) -> None:
            await guard(scope, receive, send)

        return served

    def give(self, make: Callable[[], dict[str, Any] | None]) -> None:
        """Show what `make` returns; it is called on the page's own thread. From any thread, never waits."""

        def made() -> dict[str, Any] | None:
            shown = make()
            self._place = shown["place"] if shown is not None else ""
            return shown

        self._hub.give(made)

    def give_sound(self, level_db: float, noise_db: float) -> None:
        """Show the loudness of the microphone and of its noise, in dB below full scale."""
        self._hub.give_sound(level_db, noise_db)

    def close(self) -> None:
        """Stop serving; streams end at once."""
        if self._server is None or self._thread is None:
            return
        self._hub.end()
        self._server.should_exit = True
        self._thread.join(5.0)


def _own_address() -> str:
    """Return the address by which others reach this computer; nothing is sent for that."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # an address for documentation (RFC 5737)
            return str(probe.getsockname()[0])
        except OSError:
            return LOOPBACK
