"""The pages of the history: for those who are paired, without script, with nothing taken for HTML."""

from __future__ import annotations

import http.client
from collections.abc import Callable, Iterator, Sequence
from html.parser import HTMLParser
from typing import Any

import pytest

from assistant.display.history.entry import Entry, entry
from assistant.display.page.book import Records
from assistant.display.page.server import Door, Page
from assistant.errors import BadFile, WrongInput
from assistant.job.events import Event, NoteTaken, WasteHandedOver
from assistant.phrasing.en.document import FOOTER, HEADINGS, RARE
from tests.bench import START
from tests.display.history.jobs import entries_of, years

EVIL = "<script>alert(1)</script>\" onload='x'"
VIEWS = ("/history", "/history?vehicle=quarry", "/history?search=flakes", "/history?month=2026-11", "/waste")


def known() -> Sequence[Entry]:
    """The jobs of the bench, and a hand-over to somebody with a bad name."""
    event = WasteHandedOver(at=START, kind="oil", value="1", unit="litre", to=EVIL)
    return [*entries_of(years()[0]), entry("waste-1", [event])]


def history(job: str) -> Sequence[Event]:
    """The events of a job of the bench, with a note that is markup."""
    if job not in {one.job for one in known() if one.services}:
        raise WrongInput(f"there is no job {job}")
    events = years()[0].read(job)
    return [*events, NoteTaken(at=events[-1].at, words=EVIL)]


def broken() -> Sequence[Entry]:
    """A journal that cannot be read."""
    raise BadFile("journal", "it is no sound journal")


@pytest.fixture
def served() -> Iterator[Callable[..., Page]]:
    """Return what serves pages; all are closed in the end."""
    made: list[Page] = []

    def serve(door: Door | None = None, book: Any = known) -> Page:
        records = None if book is None else Records(book, history)
        made.append(Page(door or Door(), lambda: 0, book=records))
        made[-1].start()
        return made[-1]

    yield serve
    for one in made:
        one.close()


def get(page: Page, path: str) -> tuple[int, str, http.client.HTTPMessage]:
    """Ask for an address, without a cookie."""
    connection = http.client.HTTPConnection("127.0.0.1", page.port, timeout=5)
    connection.request("GET", path)
    answer = connection.getresponse()
    return answer.status, answer.read().decode(), answer.msg


class Tags(HTMLParser):
    """The elements and attributes of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Keep an element."""
        self.found.append((tag, dict(attrs)))


def test_every_view_is_whole_without_script(served: Callable[..., Page]) -> None:
    """Its rows are in the answer itself; there is no script at all; no place is left open."""
    page = served()

    for path in VIEWS:
        status, html, _ = get(page, path)
        assert status == 200
        assert "Quarry Road pickup" in html or "month" in path
        assert "<script" not in html
        assert "{{" not in html


def test_nothing_from_a_record_or_an_address_is_taken_for_html(served: Callable[..., Page]) -> None:
    """A name of a collector, a search, a vehicle: shown as they are, never as elements or attributes."""
    page = served()
    asked = "%3Cscript%3Ealert(1)%3C/script%3E%22%20onload='x'"

    for path in (
        "/waste",
        f"/history?search={asked}",
        f"/history?vehicle={asked}",
        f"/history?month={asked}",
    ):
        _, html, _ = get(page, path)
        tags = Tags()
        tags.feed(html)
        assert "&lt;script&gt;alert(1)" in html
        assert [tag for tag, _ in tags.found].count("script") == 0
        assert not [name for _, names in tags.found for name in names if name.startswith("on")]


def test_what_cannot_be_shown_says_why(served: Callable[..., Page]) -> None:
    """A bad month, an unknown vehicle, a journal that cannot be read."""
    page = served()

    for path, why in (("/history?month=xx", "no month"), ("/history?vehicle=nobody", "Quarry Road pickup")):
        status, html, _ = get(page, path)
        assert (status, why in html) == (404, True)
    for path in ("/history", "/waste"):
        status, html, _ = get(served(book=broken), path)
        assert (status, "no sound journal" in html) == (404, True)
    assert get(served(book=None), "/history")[0] == 404


def test_the_history_is_for_the_paired_only(served: Callable[..., Page]) -> None:
    """Where a code is asked for, it leads to where it is asked for; headers are those of the page."""
    page = served(Door(code="123456"))

    for path in (*VIEWS, "/record?job=x"):
        status, html, headers = get(page, path)
        assert (status, html, headers["location"]) == (303, "", "/")
        assert headers["content-security-policy"].startswith("default-src 'none'")
    assert "Quarry" not in get(page, "/")[1]


def test_the_record_of_a_job_is_one_touch_away(served: Callable[..., Page]) -> None:
    """Each job in a list leads to its record: facts, every part, the footer; what is in it is only text."""
    page = served()
    _, html, _ = get(page, "/history")
    tags = Tags()
    tags.feed(html)
    links = {
        names["href"] for tag, names in tags.found if tag == "a" and "record" in (names.get("href") or "")
    }
    assert links == {f"/record?job={one.job}" for one in known() if one.services}

    status, html, headers = get(page, sorted(links)[0])
    tags = Tags()
    tags.feed(html)
    assert status == 200
    assert all(heading in html for name, heading in HEADINGS.items() if name not in RARE)
    assert all(text in html for text in ("Quarry Road pickup", "84210 km", "36 N m", FOOTER.split(".")[0]))
    assert [tag for tag, _ in tags.found].count("script") == 0
    assert "&lt;script&gt;alert(1)" in html
    assert headers["cache-control"] == "no-store"
    for asked in ("nothing", "%3Cscript%3E", ""):
        assert get(page, f"/record?job={asked}")[0] == 404


@pytest.mark.full
@pytest.mark.parametrize("shade", ["light", "dark"])
def test_axe_finds_nothing_and_a_telephone_is_wide_enough(
    served: Callable[..., Page],
    look: Callable[..., Any],
    shade: str,
) -> None:
    """In Chromium with its script off: WCAG by axe, and no view is wider than the screen."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe is not installed")
    page = served()
    two = "/history?first={}&second={}".format(*(one.job for one in known()[:2]))
    tab = look(page.address, viewport={"width": 390, "height": 844}, color_scheme=shade, bypass_csp=True)

    for path in (*VIEWS, two, f"/record?job={known()[0].job}"):
        tab.goto(page.address.rstrip("/") + path)
        found = axe.Axe().run(tab).response["violations"]
        assert [(one["id"], [node["html"][:90] for node in one["nodes"]]) for one in found] == []
        assert tab.evaluate("() => document.documentElement.scrollWidth") <= 390
