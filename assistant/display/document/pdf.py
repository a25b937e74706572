"""A report as PDF, A4 or US letter: the same content, every page numbered, with its footer."""

from __future__ import annotations

import io
import logging
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from assistant.display.document.content import Content, Part
from assistant.display.document.html import FIRST
from assistant.display.document.paper import Paper
from assistant.display.document.plots import Plot
from assistant.errors import MissingPart
from assistant.phrasing.en.document import NOTHING, PAGE

MARGIN, LINE, SIZE = 14.0, 4.3, 8.5
FONT = "record"
WEIGHTS = {
    "readings": (5, 19, 17, 18, 25, 16), "advice": (19, 15, 11, 31, 24), "steps": (6, 44, 22, 28),
    "changes": (19, 34, 24, 23), "fluids": (34, 50, 16),
    "fluids of units": (20, 26, 42, 12), "torques": (36, 16, 16, 18, 14),
    "cautions": (19, 81), "notes": (19, 81),
    "open": (6, 94), "gates": (19, 47, 18, 16), "levels": (20, 24, 32, 24), "findings": (20, 27, 27, 26),
}  # fmt: skip
"""Widths of columns against one another; the same for all where nothing is said."""


def as_pdf(content: Content, paper: Paper) -> bytes:
    """Return a report as PDF; raises `MissingPart` without fpdf2 and matplotlib, whose font it uses."""
    page = _page(content, paper)
    page.add_page()
    page.set_font(FONT, "B", 18)
    page.cell(0, 10, content.title, border="B", new_x="LMARGIN", new_y="NEXT")
    page.ln(2)
    _facts(page, content.facts)
    for one in content.parts:
        if one.name in FIRST:
            _part(page, one)
    for plot in content.plots:
        _plot(page, plot, paper)
    for one in content.parts:
        if one.name not in FIRST:
            _part(page, one)
    return bytes(page.output())


def _page(content: Content, paper: Paper) -> Any:
    try:
        import matplotlib
        from fpdf import FPDF
    except ImportError as missing:
        raise MissingPart("a PDF needs fpdf2 and matplotlib: pip install 'assistant[report]'") from missing
    logging.getLogger("fpdf.svg").setLevel(logging.ERROR)  # it warns of metadata, which nobody sees

    class Sheet(FPDF):
        def footer(self) -> None:
            self.set_y(-15)
            self.set_font(FONT, "", 7)
            self.multi_cell(0, 3.2, content.footer, align="L", new_x="LMARGIN", new_y="NEXT", border="T")
            self.cell(0, 3.2, PAGE.format(page=self.page_no(), pages="{nb}"), align="R")

    sheet = Sheet(format=(paper.width, paper.height))
    fonts = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
    sheet.add_font(FONT, "", fonts / "DejaVuSans.ttf")
    sheet.add_font(FONT, "B", fonts / "DejaVuSans-Bold.ttf")
    sheet.set_margins(MARGIN, MARGIN)
    sheet.set_auto_page_break(True, margin=20)
    sheet.set_title(content.title)
    sheet.set_lang(content.language)
    return sheet


def _facts(page: Any, facts: Sequence[Sequence[str]]) -> None:
    for label, text in facts:
        page.set_font(FONT, "B", SIZE)
        page.cell(38, LINE + 0.4, label)
        page.set_font(FONT, "", SIZE)
        page.multi_cell(0, LINE + 0.4, text, align="L", new_x="LMARGIN", new_y="NEXT")


def _part(page: Any, one: Part) -> None:
    if page.will_page_break(24):
        page.add_page()
    page.ln(3)
    page.set_font(FONT, "B", 11)
    page.cell(0, 6, one.heading, new_x="LMARGIN", new_y="NEXT")
    page.set_font(FONT, "", SIZE)
    if not one.rows:
        page.cell(0, LINE, NOTHING, new_x="LMARGIN", new_y="NEXT")
        return
    from fpdf.enums import TableBordersLayout

    with page.table(
        borders_layout=TableBordersLayout.HORIZONTAL_LINES,
        line_height=LINE,
        col_widths=_weights(one),
        text_align="LEFT",
        padding=(0.4, 1.5, 0.4, 0),
        first_row_as_headings=any(one.columns),
    ) as table:
        for cells in ([one.columns] if any(one.columns) else []) + list(one.rows):
            row = table.row()
            for text in cells:
                row.cell(text)


def _weights(one: Part) -> tuple[int, ...] | None:
    """Return the widths of its columns, where they are told for as many as it has."""
    for name in (one.name, f"{one.name} of units"):
        if len(WEIGHTS.get(name, ())) == len(one.columns):
            return WEIGHTS[name]
    return None


def _plot(page: Any, plot: Plot, paper: Paper) -> None:
    width = paper.width - 2 * MARGIN
    high = width * plot.ratio
    if page.will_page_break(high + 22):
        page.add_page()
    page.ln(3)
    page.set_font(FONT, "B", 11)
    page.cell(0, 6, plot.title, new_x="LMARGIN", new_y="NEXT")
    page.image(io.BytesIO(plot.png), w=width, h=high, alt_text=plot.alternative)
    page.set_font(FONT, "", 7)
    page.multi_cell(0, 3.4, plot.alternative, new_x="LMARGIN", new_y="NEXT")
