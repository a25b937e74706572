"""Who may reach the page: each wall by itself, over real HTTP on a socket."""

from __future__ import annotations

import base64
import hashlib
import http.client
import json
import re
import socket
import ssl
import subprocess
from collections.abc import Callable
from html.parser import HTMLParser
from pathlib import Path

import pytest

from assistant.display.page.guard import HEADERS, policy
from assistant.display.page.pairing import MOST_TRIES, PAUSE_S, Pairing, new_code
from assistant.display.page.server import Door, Page
from assistant.display.page.site import MOST_BODY, STATIC, WITHIN, digest, filled, page_html, version
from assistant.errors import MissingPart
from assistant.phrasing.en.page import LABELS, PAIRING
from tests.display.page.conftest import Site

BROUGHT = {"version": "v", "hello": "{}", "first": "{}", "chosen-shade": ""}
"""What the page is given beside its labels."""
BODY = set(
    re.findall(r"data-[a-z-]+(?==)", page_html({**LABELS, **BROUGHT}).split("<body")[1].split("<svg")[0])
)
"""The attributes its body has."""


class Parts(HTMLParser):
    """Takes the page apart as a browser would: its body's attributes, the texts of scripts and styles."""

    def __init__(self) -> None:
        super().__init__()
        self.body: dict[str, str] = {}
        self.within: list[tuple[str, str]] = []
        self._open = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Keep what matters."""
        if tag == "body":
            self.body = {name: value or "" for name, value in attrs}
        elif tag in ("script", "style"):
            assert not attrs
            self._open = tag

    def handle_data(self, data: str) -> None:
        """Keep what stands within a script or a style."""
        if self._open:
            self.within.append((self._open, data))
            self._open = ""


def test_it_is_served_on_loopback_unless_asked_otherwise(site: Callable[..., Site]) -> None:
    """The socket is bound to 127.0.0.1: another address of this computer finds nothing there."""
    port = site().page.port
    with socket.socket() as other:
        assert other.connect_ex(("127.0.0.2", port)) != 0


def test_outside_loopback_there_is_no_page_without_a_code() -> None:
    """Not even by mistake of the caller."""
    with pytest.raises(ValueError, match="pairing code"):
        Page(Door(host="0.0.0.0"), lambda: 0)


def test_a_touch_of_the_page_itself_is_taken(site: Callable[..., Site]) -> None:
    """Else the refusals below would say nothing."""
    one = site()

    assert one.touch(one.enter()) == 204
    assert one.touched.get(timeout=1) == "next step"


@pytest.mark.parametrize(
    "host",
    [
        "evil.example",
        "127.0.0.1.evil.example",
        "127.0.0.1@evil.example",
        "192.0.2.7",
        "localhost:1",
        "",
        "a b",
    ],
)
def test_a_strange_host_is_refused(site: Callable[..., Site], host: str) -> None:
    """DNS rebinding: a stranger's name that points here (OWASP). 192.0.2.0/24 is for documentation."""
    status, headers, body = site().ask("GET", "/", host=host)

    assert status == 421
    assert b"<html" not in body
    assert headers["x-content-type-options"] == "nosniff"


@pytest.mark.parametrize("host", ["localhost", "127.0.0.1", "[::1]"])
def test_this_computer_may_be_called_by_its_usual_names(site: Callable[..., Site], host: str) -> None:
    """With and without the port."""
    one = site()

    assert one.ask("GET", "/", host=host)[0] == 200
    assert one.ask("GET", "/", host=f"{host}:{one.page.port}")[0] == 200


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://evil.example"},
        {"origin": "null"},
        {"origin": ""},
        {"origin": "http://localhost"},
        {"sec_fetch_site": "cross-site"},
        {"sec_fetch_site": "same-site"},
    ],
)
def test_a_write_from_elsewhere_is_refused(site: Callable[..., Site], headers: dict[str, str]) -> None:
    """Another page, another port of this computer, a sandboxed frame (Origin: null)."""
    one = site()

    assert one.touch(one.enter(), **headers) == 403
    assert one.touched.empty()


@pytest.mark.parametrize("token", ["", "0" * 64])
def test_a_write_without_the_token_is_refused(site: Callable[..., Site], token: str) -> None:
    """The cookie alone does not do."""
    one = site()
    one.enter()

    assert one.touch(token) == 403
    assert one.touched.empty()


def test_the_token_of_another_browser_is_refused(site: Callable[..., Site]) -> None:
    """Each token belongs to one cookie."""
    one = site()
    first = one.enter()
    one.cookie = ""
    second = one.enter()

    assert first != second
    assert one.touch(first) == 403
    assert one.touch(second) == 204


@pytest.mark.parametrize(
    ("body", "status"),
    [
        (b"", 400),
        (b"[" * 2000, 400),
        (b'{"word":"next"}', 400),
        (b'{"word":"emergency","place":"job/step///","press":"p"}', 400),
        (b'{"word":1,"place":"job/step///","press":"p"}', 400),
        (b'{"word":"next","place":"job/step///","press":"%s"}' % (b"x" * MOST_BODY), 400),
        (b'{"word":"next","place":"job/another///","press":"p"}', 409),
    ],
)
def test_only_the_few_words_are_taken(site: Callable[..., Site], body: bytes, status: int) -> None:
    """No other word, no other shape, nothing long, nothing for another place in the job."""
    one = site()

    assert one.touch(one.enter(), body) == status
    assert one.touched.empty()


def test_a_form_cannot_touch(site: Callable[..., Site]) -> None:
    """What a browser sends without asking (a simple request) is not taken."""
    one = site()
    token = one.enter()

    assert one.touch(token, content_type="text/plain") == 415


@pytest.mark.parametrize("path", ["/", "/page.css", "/page.js", "/stream.js", "/stream", "/nothing", "/word"])
def test_every_answer_carries_the_safe_headers(site: Callable[..., Site], path: str) -> None:
    """Also errors and the stream (names by the OWASP Secure Headers Project, from memory)."""
    headers = site().ask("GET", path)[1]

    assert {name.lower(): value for name, value in HEADERS.items()}.items() <= headers.items()
    assert "server" not in headers
    assert "access-control-allow-origin" not in headers
    assert headers["cache-control"] == "no-store"
    assert headers["content-security-policy"] == policy(*map(digest, WITHIN))


def test_only_a_file_of_this_very_version_is_kept_by_a_browser(site: Callable[..., Site]) -> None:
    """Its address changes with the files; what tells of a job is never kept."""
    one = site()

    assert "immutable" in one.ask("GET", f"/stream.js?v={version()}")[1]["cache-control"]
    assert one.ask("GET", "/stream.js?v=older")[1]["cache-control"] == "no-store"
    assert one.ask("GET", f"/?v={version()}")[1]["cache-control"] == "no-store"


@pytest.mark.parametrize(
    ("cookie", "found"), [("dark", "dark"), ("day", "day"), ('"><script>', ""), ("", "")]
)
def test_the_shade_that_was_chosen_is_one_of_two_words(
    site: Callable[..., Site], cookie: str, found: str
) -> None:
    """A cookie is a text from outside: anything else chooses nothing."""
    answer = site().ask("GET", "/", cookie=f"shade={cookie}")[2].decode()

    assert f'<html lang="en" data-shade="{found}">' in answer


def test_the_page_brings_the_first_picture_as_text_only(site: Callable[..., Site]) -> None:
    """Whatever a sheet or a note holds: markup, a place of the template, an end of an attribute."""
    one = site()
    evil = """</script><script>alert(1)</script>" onload='x' {{version}} {{first}}"""
    told = {"place": one.place, "vehicle": evil}
    one.page.give(lambda: told)
    page = Parts()
    page.feed(one.ask("GET", "/")[2].decode())

    assert json.loads(page.body["data-first"])["picture"] == told
    assert set(page.body) == BODY
    assert [tag for tag, _ in page.within] == ["style", "script"]
    allowed = one.ask("GET", "/")[1]["content-security-policy"]
    for tag, text in page.within:
        proof = base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
        assert f"{tag}-src 'self' 'sha256-{proof}';" in allowed


def test_the_policy_lets_nothing_in_from_outside() -> None:
    """Nothing but this very server; within the page only what the policy names by its digest."""
    allowed = policy("one", "two")

    assert allowed.startswith("default-src 'none'")
    assert "unsafe" not in allowed
    assert "http" not in allowed
    for name in (*STATIC, "page.html", "pair.html"):
        given = {**LABELS, **PAIRING, **BROUGHT, "wrong": ""}
        text = page_html(given) if name == "page.html" else filled(name, given)
        outside = text.replace("http://www.w3.org/2000/svg", "")
        assert "http:" not in outside, name
        assert "https:" not in outside, name
        assert " style=" not in outside, name
        assert " onclick=" not in outside, name


@pytest.mark.parametrize(
    "path",
    [
        "/../site.py",
        "/%2e%2e/site.py",
        "/static/page.css",
        "/page.css/../../site.py",
        "//etc/passwd",
        "/page.html",
    ],
)
def test_no_path_leads_to_a_file(site: Callable[..., Site], path: str) -> None:
    """Nothing is looked up by a path: there is a handful of addresses and no other."""
    assert site().ask("GET", path)[0] == 404


def test_texts_put_into_the_page_are_escaped() -> None:
    """A label is a text, whatever it holds."""
    labels = {**LABELS, **BROUGHT, "waiting": '<script>alert("x")</script>'}

    assert "&lt;script&gt;alert(&quot;x&quot;)&lt;/script&gt;" in page_html(labels)
    assert "<script>alert" not in page_html(labels)


def test_the_cookie_stays_with_the_browser_and_the_site(site: Callable[..., Site]) -> None:
    """Not for scripts, not for other sites."""
    cookie = site().ask("GET", "/")[1]["set-cookie"].lower()

    assert "httponly" in cookie
    assert "samesite=strict" in cookie


def test_on_a_network_nothing_is_shown_before_pairing(site: Callable[..., Site]) -> None:
    """Neither page nor stream nor touch."""
    one = site(host="0.0.0.0", code="123456")
    status, headers, body = one.ask("GET", "/")

    assert status == 401
    assert "set-cookie" not in headers
    assert b'name="code"' in body
    assert one.ask("GET", "/stream")[0] == 401
    assert one.touch("0" * 64) == 403


def test_the_code_opens_the_page(site: Callable[..., Site]) -> None:
    """Once for a browser; a wrong one does not."""
    one = site(host="0.0.0.0", code="123456")
    form = {"origin": f"http://{one.host}", "content_type": "application/x-www-form-urlencoded"}

    assert one.ask("POST", "/pair", b"code=123457", **form)[0] == 403
    status, headers, _ = one.ask("POST", "/pair", b"code=123456", **form)
    assert status == 303
    one.cookie = headers["set-cookie"].split(";")[0]
    assert one.ask("GET", "/")[0] == 200
    assert one.ask("GET", "/stream")[0] == 200


def test_a_code_cannot_be_tried_out() -> None:
    """After five wrong ones nobody may try for a minute, not even with the right one."""
    clock = [0.0]
    pairing = Pairing(b"s" * 32, "123456", lambda: clock[0])

    assert [pairing.pair(f"{wrong:06d}") for wrong in range(MOST_TRIES)] == [None] * MOST_TRIES
    assert pairing.pair("123456") is None
    clock[0] += PAUSE_S
    assert pairing.pair("123456") is not None


def test_a_pairing_outlives_a_restart_where_the_secret_is_kept() -> None:
    """And is worth nothing under another secret, nor when one sign of it is changed."""
    cookie = Pairing(b"s" * 32, "123456", lambda: 0.0).cookie()

    assert Pairing(b"s" * 32, "654321", lambda: 0.0).knows(cookie)
    assert not Pairing(b"t" * 32, "123456", lambda: 0.0).knows(cookie)
    assert not Pairing(b"s" * 32, "123456", lambda: 0.0).knows(
        cookie[:-1] + ("0" if cookie[-1] != "0" else "1")
    )


def test_codes_are_six_digits_and_drawn_anew() -> None:
    """A thousand draws of a million codes are nearly all different (chance of under 990: below 1e-9)."""
    codes = {new_code() for _ in range(1000)}

    assert all(len(one) == 6 and one.isdecimal() for one in codes)
    assert len(codes) > 990


def test_a_port_in_use_is_told(site: Callable[..., Site]) -> None:
    """In one sentence with the number."""
    taken = site().page.port
    with pytest.raises(MissingPart, match=str(taken)):
        Page(Door(port=taken), lambda: 0).start()


@pytest.mark.full
def test_it_is_served_by_https_with_a_certificate(
    tmp_path: Path, site: Callable[..., Site], lacking: Callable[[str], None]
) -> None:
    """A self-signed one made here; the cookie then never travels in the clear."""
    certificate, key = tmp_path / "page.pem", tmp_path / "page.key"
    subject = ["-subj", "/CN=localhost", "-addext", "subjectAltName=DNS:localhost"]
    command = ["openssl", "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2", *subject]
    try:
        subprocess.run([*command, "-out", certificate, "-keyout", key], check=True, capture_output=True)
    except FileNotFoundError:
        lacking("there is no openssl to make a certificate with")
    one = site(certificate=str(certificate), key=str(key))
    trusted = ssl.create_default_context(cafile=str(certificate))
    connection = http.client.HTTPSConnection("localhost", one.page.port, context=trusted, timeout=5)
    connection.request("GET", "/")
    answer = connection.getresponse()

    assert answer.status == 200
    assert "secure" in (answer.getheader("set-cookie") or "").lower()
    assert one.page.address.startswith("https://")
