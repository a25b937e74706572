"""A report as HTML in one file: nothing is loaded from anywhere, no script, ready to be printed."""

from __future__ import annotations

import re
from html import escape
from string import Template

from assistant.display.document.content import Content, Part
from assistant.display.document.paper import Paper
from assistant.display.document.plots import Plot
from assistant.phrasing.en.document import NOTHING

WHOLE = Template("""<!doctype html>
<html lang="$language">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'">
<title>$title</title>
<style>$style</style>
</head>
<body>
<header><h1>$title</h1>
<dl>$facts</dl></header>
<main>
$parts
</main>
<footer><p>$footer</p></footer>
</body>
</html>
""")

STYLE = Template("""
@page { size: $size; margin: 14mm 14mm 20mm; }
:root { color-scheme: light; }
body { font: 10.5pt/1.4 system-ui, "Segoe UI", "Liberation Sans", Arial, sans-serif;
  color: #15201c; background: #fff; max-width: 62rem; margin: 0 auto; padding: 1rem; }
h1 { font-size: 1.8em; margin: 0 0 .4em; border-bottom: .18em solid; padding-bottom: .2em; }
h2 { font-size: 1.15em; margin: 1.5em 0 .3em; break-after: avoid; }
dl { display: grid; grid-template-columns: max-content minmax(0, 1fr); gap: .15em 1.2em; margin: 0; }
dt { font-weight: 600; } dd { margin: 0; overflow-wrap: anywhere; }
@media (max-width: 34rem) { dl { grid-template-columns: 1fr; } dd { margin-bottom: .4em; } }
table { border-collapse: collapse; width: 100%; font-variant-numeric: tabular-nums; }
th, td { text-align: left; vertical-align: top; padding: .22em .8em .22em 0;
  border-bottom: 1px solid #9a9c90; }
th { border-bottom: 2px solid; } tr { break-inside: avoid; }
.wide { overflow-x: auto; }
figure { margin: 1.2em 0; break-inside: avoid; } figure svg { width: 100%; height: auto; max-height: 24rem; }
figcaption { font-size: .9em; color: #465049; }
footer { margin-top: 2em; border-top: .18em solid; padding-top: .4em; }
@media print { body { padding: 0; max-width: none; } .wide { overflow: visible; } }
""")
FIRST = ("fluids", "balance", "torques", "bolts", "levels", "findings", "changes", "gates", "open")
"""Parts that come before the plots: what the owner asks for first."""


def as_html(content: Content, paper: Paper) -> str:
    """Return a report as one HTML file for this paper; every text is escaped."""
    before = [_part(one) for one in content.parts if one.name in FIRST]
    after = [_part(one) for one in content.parts if one.name not in FIRST]
    return WHOLE.substitute(
        language=escape(content.language),
        title=escape(content.title),
        style=STYLE.substitute(size=paper.css),
        facts="".join(f"<dt>{escape(label)}</dt><dd>{escape(text)}</dd>" for label, text in content.facts),
        parts="\n".join([*before, *map(_plot, content.plots), *after]),
        footer=escape(content.footer),
    )


def _part(one: Part) -> str:
    heading = f'<section id="{escape(one.name)}"><h2>{escape(one.heading)}</h2>'
    if not one.rows:
        return f"{heading}<p>{escape(NOTHING)}</p></section>"
    head = ""
    if any(one.columns):
        cells = (f'<th scope="col">{escape(text)}</th>' if text else "<td></td>" for text in one.columns)
        head = f"<thead><tr>{''.join(cells)}</tr></thead>"
    rows = "".join(f"<tr>{''.join(f'<td>{escape(cell)}</td>' for cell in row)}</tr>" for row in one.rows)
    table = f"<table>{head}<tbody>{rows}</tbody></table>"
    wide = f'<div class="wide" tabindex="0" role="region" aria-label="{escape(one.heading)}">'
    return f"{heading}{wide}{table}</div></section>"


def _plot(one: Plot) -> str:
    """Return a plot with its words; the names within it are made its own."""
    svg = re.sub(r'(\bid=")', rf"\g<1>{one.name}-", one.svg)
    svg = re.sub(r"(url\(#|href=\"#)", rf"\g<1>{one.name}-", svg)
    svg = svg.replace("<svg", f'<svg role="img" aria-label="{escape(one.title)}"', 1)
    caption = f"<figcaption><b>{escape(one.title)}.</b> {escape(one.alternative)}</figcaption>"
    return f"<figure>{svg}{caption}</figure>"
