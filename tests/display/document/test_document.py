"""The report to be looked at and handed over: what is in it, in every form, and its plots' series."""

from __future__ import annotations

import csv
import io
import re
import shutil
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC
from functools import cache
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest

from assistant.commands.report_files import past
from assistant.display.document import series
from assistant.display.document.content import Content, content
from assistant.display.document.html import as_html
from assistant.display.document.paper import A4, LETTER, paper_of
from assistant.display.document.tables import as_csv, schema
from assistant.display.record import record
from assistant.errors import WrongInput
from assistant.job.events import JobStarted
from assistant.journal.memory import MemoryJournal
from tests.bench import Bench
from tests.display.test_report import bench as troubled
from tests.straight_job import SAID, say

COLUMNS = ("section", "at", "number", "name", "value", "unit", "status", "note", "of")
EXAMPLE = Path(__file__).resolve().parents[3] / "assistant" / "procedures" / "vehicles" / "example.toml"


@cache
def straight() -> Bench:
    """The straight job to its end, with four temperatures on the way to the final level."""
    bench = Bench()
    for step, lines in SAID.items():
        if step == "level-hot":
            for warm in (40, 52, 60):
                bench.hear(f"{warm} c")
                bench.wait(240)
        for item in lines:
            say(bench, item)
    return bench


def rows_of(whole: Content, name: str) -> tuple[tuple[str, ...], ...]:
    """The rows of one part."""
    return next(one.rows for one in whole.parts if one.name == name)


def plain(bench: Bench) -> Content:
    """The report without plots."""
    return content(bench.history, zone=UTC, plots=False)


def test_the_head_says_who_what_when_and_how_it_ended() -> None:
    """The plate as it was read, the fluid the sheet asks for, times with their offset."""
    facts = dict(plain(straight()).facts)  # type: ignore[arg-type]

    assert facts["Vehicle"] == "Quarry Road pickup"
    assert facts["Build plate"] == "Q4T8"
    assert facts["Outcome"] == "complete"
    assert facts["Begun"] == "2026-09-21 14:13:20 (UTC+00:00)"
    assert facts["Distance driven"] == "84210 km"
    assert facts["New parts"] == "crush washer (1)"
    assert "automatic transmission fluid" in facts["Fluid called for"]


def test_fluids_are_told_by_class_and_amount() -> None:
    """Old fluid is waste; new is of the class the sheet asks for."""
    rows = rows_of(plain(straight()), "fluids")

    assert [(fluid, amount) for fluid, _, amount in rows] == [
        ("old fluid that came out", "4.2 L"),
        ("new fluid that went in", "4.2 L"),
    ]


def test_a_torque_stands_beside_its_sheet_and_what_a_wrench_may_give() -> None:
    """36 N m give or take 4 % (ISO 6789-1, from memory) is 34.56 to 37.44, said as 35 to 37."""
    assert rows_of(plain(straight()), "torques") == (
        ("drain plug", "36 N m", "36 N m", "35 to 37 N m", "stands"),
    )


def test_a_torque_outside_its_band_says_so() -> None:
    """31 where the sheet asks 29: above 30.16."""
    bench = Bench(sheet=EXAMPLE)
    bench.hear("torque 31 nm", "yes")

    assert "OUTSIDE" in rows_of(plain(bench), "torques")[0][3]


def test_gates_are_told_with_their_question_and_whoever_answered() -> None:
    """In full, since a customer does not know the names of steps."""
    rows = rows_of(plain(straight()), "gates")

    assert rows[0][1] == "Are you out from under, and everybody well away?"
    assert rows[0][2] == "start and idle"


def test_corrections_and_challenges_stay_visible() -> None:
    """What was first, what took its place; the reading taken back is in the long list, too."""
    whole = plain(troubled())
    told = [" | ".join(row[1:]) for row in rows_of(whole, "changes")]

    assert any(one.startswith("challenged (over capacity)") and "40 L" in one for one in told)
    assert any(one.startswith("corrected: amount that came out | 40 L") and "1.1 L" in one for one in told)
    assert any("taken back (corrected), see 12, doubtful" in row[-1] for row in rows_of(whole, "readings"))


def test_nothing_of_the_record_is_left_out() -> None:
    """As many rows as the record has, in every part that mirrors one of its tables."""
    table, whole = record(troubled().history, UTC), plain(troubled())

    for name in ("steps", "readings", "gates", "advice", "timers", "cautions", "notes", "breaks", "open"):
        assert len(rows_of(whole, name)) == len(table[name]), name
    assert len(rows_of(whole, "findings")) == len(table["findings"]) + len(table["exits"])


class Reader(HTMLParser):
    """Takes an HTML file apart."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.ids: list[str] = []
        self.loads: list[str] = []
        self.words: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note what is opened, named and loaded."""
        if tag not in ("meta", "path", "use", "rect", "img", "link"):
            self.open.append(tag)
        for name, value in attrs:
            if name == "id":
                self.ids.append(value or "")
            if name in ("src", "href", "xlink:href", "action") and not (value or "").startswith("#"):
                self.loads.append(value or "")

    def handle_endtag(self, tag: str) -> None:
        """What is closed must be what was opened last."""
        if self.open and self.open[-1] == tag:
            self.open.pop()

    def handle_data(self, data: str) -> None:
        """Keep the words."""
        self.words.append(data)


def read(html: str) -> Reader:
    """An HTML file taken apart."""
    reader = Reader()
    reader.feed(html)
    return reader


def test_the_html_is_one_file_that_loads_nothing() -> None:
    """No script, no outside resource, every element closed, its own policy against any."""
    html = as_html(plain(troubled()), A4)
    found = read(html)

    assert found.loads == []
    assert found.open == []
    assert "<script" not in html
    assert "default-src 'none'" in html
    assert "size: A4" in html
    assert "size: letter" in as_html(plain(troubled()), LETTER)


def test_texts_in_the_html_are_escaped() -> None:
    """A note with markup in it is a text; a dollar sign fills no place."""
    bench = Bench()
    bench.hear('note <img src=x onerror="alert(1)"> & $title')
    found = read(as_html(plain(bench), A4))

    assert found.loads == []
    assert '<img src=x onerror="alert(1)"> & $title' in "".join(found.words)


def test_there_are_two_papers() -> None:
    """A4 by ISO 216, letter 8.5 by 11 inches."""
    assert (paper_of("A4").width, paper_of("a4").height) == (210.0, 297.0)
    assert (paper_of("letter").width, paper_of("letter").height) == pytest.approx((8.5 * 25.4, 11 * 25.4))
    with pytest.raises(WrongInput, match="a4 or letter"):
        paper_of("a5")


def test_the_csv_can_be_read_back() -> None:
    """By the standard library's reader; each reading with its number, value, unit and standing."""
    table = record(troubled().history, UTC)
    text = as_csv(table)
    found = list(csv.DictReader(io.StringIO(text.removeprefix("\ufeff"))))

    assert text.startswith("\ufeff" + ",".join(COLUMNS) + "\r\n")
    readings = [one for one in found if one["section"] == "readings"]
    assert [one["number"] for one in readings] == [str(one["reading"]) for one in table["readings"]]
    ten = next(one for one in readings if one["number"] == "10")
    assert (ten["value"], ten["unit"], ten["status"]) == ("4", "litre", "standing")
    drained = next(one for one in found if one["section"] == "balance" and one["name"] == "drained")
    assert (drained["value"], drained["unit"]) == ("5.1", "litre")
    for section, things in table.items():
        if isinstance(things, list) and section not in ("who", "units"):
            assert sum(one["section"] == section for one in found) == len(things), section


def test_no_cell_is_taken_for_a_formula() -> None:
    """What begins with = + - @ is a text (OWASP, CSV injection); a negative number stays one."""
    bench = Bench()
    bench.hear('note =HYPERLINK("http://evil.example")')
    text = as_csv(record(bench.history, UTC))

    assert "\"'=HYPERLINK" in text
    table = record(bench.history, UTC)
    table["units"][0]["balance"]["to-go"] = {"value": "-0.1", "unit": "litre"}
    assert ",-0.1,litre," in as_csv(table)


@pytest.mark.parametrize("made", [straight, troubled, Bench])
def test_the_json_is_as_its_schema_says(made: Callable[[], Bench], lacking: Callable[[str], None]) -> None:
    """Checked by jsonschema, an independent reader of JSON Schema 2020-12."""
    try:
        import jsonschema
    except ImportError:
        lacking("jsonschema is not installed")
    jsonschema.Draft202012Validator.check_schema(schema())
    jsonschema.validate(record(made().history, UTC), schema())


def test_the_schema_lets_nothing_undescribed_in() -> None:
    """Every table of a record is in it, and closed."""
    assert set(schema()["properties"]) == set(record(troubled().history, UTC))
    assert not schema()["additionalProperties"]
    assert tuple(schema()["x-csv"]["columns"]) == COLUMNS


def test_the_report_tells_when_the_next_service_is_due() -> None:
    """At 84210 km by an interval of 60000 km: 144210 km."""
    [begun, *later] = straight().history
    assert isinstance(begun, JobStarted)
    figures = {**begun.sheet["figures"], "service-interval": ("60000", "kilometre")}  # type: ignore[dict-item]
    whole = content(
        [replace(begun, sheet={**begun.sheet, "figures": figures}), *later], zone=UTC, plots=False
    )

    assert dict(whole.facts)["Next due"] == "144210 km"  # type: ignore[arg-type]


def test_past_services_are_those_of_the_same_unit_before(tmp_path: Path) -> None:
    """Not of another vehicle, not later ones."""
    journal = MemoryJournal()
    first = Bench(journal=journal)
    other = Bench(
        journal=journal,
        sheet=EXAMPLE,
    )
    other.clock.advance(1000)
    second = Bench(journal=journal)
    second.clock.set(first.clock.now().later(86_400_000))
    third = Bench(journal=journal, clock=second.clock)

    assert [events[0].job for events in past(journal, third.history)] == [  # type: ignore[attr-defined]
        first.session.state.job,
        second.session.state.job,
    ]


@pytest.fixture(scope="module")
def whole() -> Content:
    """The troubled job with its plots; skips without matplotlib."""
    pytest.importorskip("matplotlib", reason="the plots need matplotlib (extra report)")
    return content(straight().history, [troubled().history], UTC)


@pytest.mark.full
def test_every_plot_is_there_and_told_in_words(whole: Content) -> None:
    """Inline, named, each name once in the file; the words hold the figures."""
    html = as_html(whole, A4)
    found = read(html)

    assert [one.name for one in whole.plots] == ["amounts", "warmth", "course", "shares"]
    assert found.loads == []
    assert len(re.findall(r'<svg role="img" aria-label="', html)) == 4
    assert "75 after 27 min" in next(one.alternative for one in whole.plots if one.name == "warmth")


@pytest.mark.full
def test_a_slip_of_forty_litres_does_not_flatten_the_plot() -> None:
    """The scale is that of what lasted; that something left it is told."""
    pytest.importorskip("matplotlib", reason="the plots need matplotlib (extra report)")
    from assistant.display.document.plots import amounts_plot

    [found] = series.amounts(troubled().history)
    assert "left the scale" in amounts_plot(found).alternative
    [plain_one] = series.amounts(straight().history)
    assert "left the scale" not in amounts_plot(plain_one).alternative


@pytest.mark.full
@pytest.mark.parametrize("paper", [A4, LETTER], ids=lambda paper: paper.css)
def test_the_pdf_has_every_page_numbered_and_footed(whole: Content, paper: Any) -> None:
    """Read back by pdfium, an independent reader: size, words of every part, footer and number of each."""
    pytest.importorskip("fpdf", reason="a PDF needs fpdf2 (extra report)")
    pdfium = pytest.importorskip("pypdfium2", reason="pypdfium2, which reads the PDF back, is not installed")
    from assistant.display.document.pdf import as_pdf

    document = pdfium.PdfDocument(as_pdf(whole, paper))
    pages = [document[number].get_textpage().get_text_range() for number in range(len(document))]
    width, height = document[0].get_size()
    document.close()

    assert (width * 25.4 / 72, height * 25.4 / 72) == pytest.approx((paper.width, paper.height), abs=0.1)
    for number, text in enumerate(pages, start=1):
        assert f"Page {number} of {len(pages)}" in text
        assert "The vehicle's own service data decide" in text
    told = " ".join(" ".join(pages).split())
    for one in whole.parts:
        assert one.heading in told
    for row in rows_of(whole, "torques"):
        assert all(cell in told for cell in row)


@pytest.mark.full
def test_axe_finds_nothing_in_the_html(
    whole: Content, tmp_path: Path, lacking: Callable[[str], None]
) -> None:
    """In Chromium, from the file itself."""
    try:
        from axe_playwright_python.sync_playwright import Axe
        from playwright.sync_api import sync_playwright
    except ImportError:
        lacking("playwright or axe-playwright-python is not installed")
    path = shutil.which("chromium") or lacking("there is no Chromium on this computer")
    place = tmp_path / "report.html"
    place.write_text(as_html(whole, A4), "utf-8")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=["--no-sandbox"])
        context = browser.new_context(viewport={"width": 390, "height": 844}, bypass_csp=True)
        tab = context.new_page()
        tab.goto(place.as_uri())
        found = Axe().run(tab).response["violations"]
        wide = tab.evaluate("() => document.documentElement.scrollWidth")
        browser.close()

    assert [(one["id"], [node["html"][:80] for node in one["nodes"]]) for one in found] == []
    assert wide <= 390
