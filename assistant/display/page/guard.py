"""What every request must pass: the right host, and for writes the right origin; safe headers on answers.

The host is checked so that a page of a stranger cannot reach this server under a name of its own. A name
can be made to point anywhere, a literal address cannot, so only addresses, `localhost` and names given
by the user pass.
"""

from __future__ import annotations

import ipaddress
from collections.abc import Awaitable, Callable, Collection, MutableMapping
from typing import Any
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse

Scope = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[MutableMapping[str, Any]]]
Send = Callable[[MutableMapping[str, Any]], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
}
SAFE = ("GET", "HEAD")


def policy(style: str = "", script: str = "") -> str:
    """Return the content security policy; what stands within a page passes only by its digest."""
    styles, scripts = (f" 'sha256-{digest}'" if digest else "" for digest in (style, script))
    return (
        f"default-src 'none'; script-src 'self'{scripts}; worker-src 'self'; style-src 'self'{styles}; "
        "img-src 'self' data:; connect-src 'self'; form-action 'self'; base-uri 'none'; "
        "frame-ancestors 'none'"
    )


class Guard:
    """Wraps an application; refuses a strange host with 421 and a strange origin with 403."""

    def __init__(
        self, app: App, *, port: int, names: Collection[str] = (), lan: bool = False, policy: str = policy()
    ) -> None:
        """`names` are further host names; without `lan` only loopback addresses pass."""
        self._app, self._port, self._lan = app, port, lan
        self._headers = {**HEADERS, "Content-Security-Policy": policy}
        self._names = {name.lower() for name in names} | {"localhost"}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Handle one request."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        headers = Headers(scope=scope)

        async def safely(message: MutableMapping[str, Any]) -> None:
            if message["type"] == "http.response.start":
                answer = MutableHeaders(scope=message)
                answer.update(self._headers)
                answer.setdefault("Cache-Control", "no-store")
            await send(message)

        hosts = headers.getlist("host")
        if len(hosts) != 1 or not self.knows_host(hosts[0]):
            await PlainTextResponse("unknown host", 421)(scope, receive, safely)
        elif scope["method"] not in SAFE and not _same_origin(headers, hosts[0], scope["scheme"]):
            await PlainTextResponse("from another page", 403)(scope, receive, safely)
        else:
            await self._app(scope, receive, safely)

    def knows_host(self, host: str) -> bool:
        """Say whether a Host header names this server."""
        try:
            parts = urlsplit(f"//{host}")
            name, port = (parts.hostname or ""), parts.port
        except ValueError:
            return False
        if parts.netloc != host or "@" in host or parts.path or (port is not None and port != self._port):
            return False
        if name in self._names:
            return True
        try:
            address = ipaddress.ip_address(name)
        except ValueError:
            return False
        return self._lan or address.is_loopback


def _same_origin(headers: Headers, host: str, scheme: str) -> bool:
    """Say whether a write comes from a page of this very server."""
    return (
        headers.getlist("origin") == [f"{scheme}://{host}"]
        and headers.get("sec-fetch-site", "same-origin") == "same-origin"
    )
