"""The web application of the page: a fixed handful of addresses, nothing looked up by a path."""

from __future__ import annotations

import base64
import hashlib
import html
import json
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response, StreamingResponse
from starlette.routing import Route

from assistant.display.page.book import Records, history_view, record_view, waste_view
from assistant.display.page.hub import Hub
from assistant.display.page.pairing import Pairing
from assistant.display.page.touches import MOVED_ON, TAKEN, TOO_SOON, Touches, touch_from
from assistant.phrasing.en.page import LABELS, PAIRING

MOST_BODY = 2048
OUTCOMES: Mapping[str, int] = {TAKEN: 204, MOVED_ON: 409, TOO_SOON: 429}
STATIC: Mapping[str, str] = {
    "page.css": "text/css; charset=utf-8",
    "stream.js": "text/javascript; charset=utf-8",
    "book.css": "text/css; charset=utf-8",
}
KEEP = "private, max-age=31536000, immutable"
"""For a file asked for by its version: another version has another address."""
SHADES = ("day", "dark")
WITHIN = ("page.css", "page.js")
"""Files that stand within the page itself: each that is asked for by itself makes it slower to come up."""
_PLACE = re.compile(r"\{\{([a-z.-]+)\}\}")


@cache
def _file(name: str) -> bytes:
    """Return a file that is shipped with the page."""
    return files("assistant.display.page").joinpath("static", name).read_bytes()


@cache
def version() -> str:
    """Return a name of these very files: a page made by others loads itself anew."""
    whole = b"".join(_file(name) for name in (*STATIC, *WITHIN, "page.html", "book.html"))
    return hashlib.sha256(whole).hexdigest()[:16]


def filled(name: str, texts: Mapping[str, str], made: Mapping[str, str] = MappingProxyType({})) -> str:
    """Return a shipped HTML file with its `{{places}}` filled: every text escaped, and `made` as it is.

    What is in `made` is HTML, style or script, escaped when it was made.
    """

    def of(found: re.Match[str]) -> str:
        return made[found[1]] if found[1] in made else html.escape(texts[found[1]])

    return _PLACE.sub(of, _file(name).decode())


@cache
def digest(name: str) -> str:
    """Return the digest by which a policy lets a file stand within a page (base64 of SHA-256)."""
    return base64.b64encode(hashlib.sha256(_file(name)).digest()).decode()


def page_html(texts: Mapping[str, str]) -> str:
    """Return the page itself with its places filled, its style and script within it."""
    return filled("page.html", texts, {name: _file(name).decode() for name in WITHIN})


@dataclass(slots=True)
class Site:
    """What answers requests; `touches` None means the page only shows."""

    hub: Hub
    pairing: Pairing
    touches: Touches | None
    place: Callable[[], str]
    """Where the job stands in the newest picture."""
    cookie_name: str
    book: Records | None = None
    """Gives the jobs of the history; None: there is none to be shown."""
    secure: bool = False
    """Served by HTTPS: the cookie never travels in the clear."""

    def application(self) -> Starlette:
        """Return the application."""
        routes = [
            Route("/", self.page),
            Route("/pair", self.pair, methods=["POST"]),
            Route("/stream", self.stream),
            Route("/word", self.word, methods=["POST"]),
            Route("/history", self.history),
            Route("/waste", self.waste),
            Route("/record", self.record),
            *(Route(f"/{name}", _static(name, kind)) for name, kind in STATIC.items()),
        ]
        return Starlette(routes=routes)

    def _cookie(self, request: Request) -> str:
        cookie = request.cookies.get(self.cookie_name, "")
        return cookie if self.pairing.knows(cookie) else ""

    def _give(self, response: Response, cookie: str) -> Response:
        response.set_cookie(
            self.cookie_name, cookie, httponly=True, samesite="strict", secure=self.secure, max_age=30 * 86400
        )
        return response

    async def page(self, request: Request) -> Response:
        """Return the page, or the form that asks for the pairing code."""
        cookie = self._cookie(request)
        if not cookie and self.pairing.code is not None:
            return _html(filled("pair.html", {**PAIRING, "wrong": ""}), 401)
        mine = cookie or self.pairing.cookie()
        brought = {
            "version": version(),
            "hello": self._greeting(mine),
            "first": self.hub.newest,
            "chosen-shade": _shade(request),
        }
        answer = _html(page_html({**LABELS, **brought}))
        return answer if cookie else self._give(answer, mine)

    def _greeting(self, cookie: str) -> str:
        """Return what a browser with this cookie is told first, as JSON."""
        return json.dumps(
            {"token": self.pairing.token(cookie), "version": version(), "epoch": self.hub.epoch}
        )

    async def pair(self, request: Request) -> Response:
        """Take a pairing code."""
        body = await _body(request)
        found = re.fullmatch(rb"code=(\d{1,12})", body.strip())
        cookie = self.pairing.pair(found[1].decode()) if found else None
        if cookie is None:
            wrong = PAIRING["later" if self.pairing.shut else "wrong"]
            return _html(filled("pair.html", {**PAIRING, "wrong": wrong}), 429 if self.pairing.shut else 403)
        return self._give(RedirectResponse("/", 303), cookie)

    def history(self, request: Request) -> Response:
        """Return a page of the history; starlette calls it on a thread of its own."""
        return self._booked(request, lambda book: history_view(book.entries, request.query_params))

    def waste(self, request: Request) -> Response:
        """Return the page of waste fluids."""
        return self._booked(request, lambda book: waste_view(book.entries))

    def record(self, request: Request) -> Response:
        """Return the page of one job's record."""
        return self._booked(request, lambda book: record_view(book, request.query_params))

    def _booked(self, request: Request, view: Callable[[Records], tuple[dict[str, str], int]]) -> Response:
        """Return a page of the history to whoever is paired; others are sent to where they can."""
        if not self._cookie(request) and self.pairing.code is not None:
            return RedirectResponse("/", 303)
        if self.book is None:
            return Response("no history here", 404, media_type="text/plain")
        places, status = view(self.book)
        brought = {"version": version(), "chosen-shade": _shade(request)}
        return _html(filled("book.html", brought, places), status)

    async def stream(self, request: Request) -> Response:
        """Return the stream of pictures."""
        cookie = self._cookie(request)
        if not cookie and self.pairing.code is not None:
            return Response("pair first", 401, media_type="text/plain")
        if self.hub.full:
            return Response("too many watch", 503, media_type="text/plain")
        fresh = cookie or self.pairing.cookie()
        frames = self.hub.frames(self._greeting(fresh))
        answer = StreamingResponse(frames, media_type="text/event-stream")
        answer.headers["X-Accel-Buffering"] = "no"
        return answer if cookie else self._give(answer, fresh)

    async def word(self, request: Request) -> Response:
        """Take a touched word."""
        if not self.pairing.allows(self._cookie(request), request.headers.get("x-sheet-token", "")):
            return Response("not from a page of mine", 403, media_type="text/plain")
        if self.touches is None:
            return Response("this page only shows", 405, media_type="text/plain")
        if request.headers.get("content-type") != "application/json":
            return Response("JSON only", 415, media_type="text/plain")
        try:
            touch = touch_from(json.loads(await _body(request)))
        except (ValueError, RecursionError):
            touch = None
        if touch is None:
            return Response("no such word", 400, media_type="text/plain")
        return Response(status_code=OUTCOMES[self.touches.take(touch, self.place())])


def _shade(request: Request) -> str:
    """Return the shade that was chosen on the page, empty where none was: then the browser's own holds."""
    chosen = request.cookies.get("shade", "")
    return chosen if chosen in SHADES else ""


def _static(name: str, kind: str) -> Callable[[Request], Response]:
    def answer(request: Request) -> Response:
        kept = {"Cache-Control": KEEP} if request.query_params.get("v") == version() else {}
        return Response(_file(name), headers={"Content-Type": kind, **kept})

    return answer


def _html(text: str, status: int = 200) -> Response:
    return Response(text, status, media_type="text/html")


async def _body(request: Request) -> bytes:
    """Return the body of a request, nothing where it is longer than any right one."""
    body = b""
    async for chunk in request.stream():
        body += chunk
        if len(body) > MOST_BODY:
            return b""
    return body
