"""Who may see the page and touch its words: a pairing code once, then a signed cookie and a token.

On the computer itself (loopback) a browser gets its cookie unasked. From elsewhere it must first give
the pairing code that is shown and spoken at the workshop computer. The token proves that a touch comes
from a page this server made for that very browser.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
from collections.abc import Callable

CODE_DIGITS = 6
MOST_TRIES = 5
"""Wrong codes in a row, from whoever, after which nobody can try for a while."""
PAUSE_S = 60.0
COOKIE = "sheet"


def new_code() -> str:
    """Return a pairing code: digits, so that it can be read out."""
    return f"{secrets.randbelow(10**CODE_DIGITS):0{CODE_DIGITS}d}"


class Pairing:
    """Checks codes, cookies and tokens; `code` None means nobody has to give one."""

    def __init__(self, secret: bytes, code: str | None, now: Callable[[], float]) -> None:
        """`secret` signs cookies and outlives a restart where it is kept; `now` counts seconds."""
        self._secret, self.code, self._now = secret, code, now
        self._wrong = 0
        self._shut_until = 0.0

    def cookie(self) -> str:
        """Return a new cookie for a browser."""
        name = secrets.token_urlsafe(16)
        return f"{name}.{self._sign('cookie', name)}"

    def knows(self, cookie: str) -> bool:
        """Say whether a cookie was made here."""
        name, _, proof = cookie.partition(".")
        return hmac.compare_digest(proof.encode(), self._sign("cookie", name).encode())

    def token(self, cookie: str) -> str:
        """Return the token a touch from the browser with this cookie must carry."""
        return self._sign("token", cookie)

    def allows(self, cookie: str, token: str) -> bool:
        """Say whether a touch with this cookie and token is let through."""
        return self.knows(cookie) and hmac.compare_digest(token.encode(), self.token(cookie).encode())

    @property
    def shut(self) -> bool:
        """Say whether nobody may try a code just now."""
        return self._now() < self._shut_until

    def pair(self, code: str) -> str | None:
        """Return a cookie for the right code, None for a wrong one or while nobody may try."""
        if self.code is None or self.shut:
            return None
        if hmac.compare_digest(code.strip().encode(), self.code.encode()):
            self._wrong = 0
            return self.cookie()
        self._wrong += 1
        if self._wrong >= MOST_TRIES:
            self._wrong = 0
            self._shut_until = self._now() + PAUSE_S
        return None

    def _sign(self, what: str, text: str) -> str:
        return hmac.new(self._secret, f"{what}:{text}".encode(), hashlib.sha256).hexdigest()
