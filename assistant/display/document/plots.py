"""The plots of a report as SVG texts, drawn by matplotlib without a display.

Told apart by shape and dash, not by colour alone; the same events give the same bytes.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from assistant.display.document.series import Amounts, Shares, Span, Warmth
from assistant.errors import MissingPart
from assistant.phrasing.en.document import AXES, plot_words
from assistant.units import symbol_of

OUT, INTO, INK, SOFT = "#7d3411", "#0a554e", "#15201c", "#8a8c80"
WIDE, HIGH = 7.0, 2.7
"""Inches."""
HEADROOM = 1.3
MARGIN_K = 8.0
"""Degrees above and below what was read and the windows; a curve that leaves them tells nothing more."""
DOTS = 220
"""Dots to the inch of a plot in a PDF."""


@dataclass(frozen=True, slots=True)
class Plot:
    """A drawn plot: its title, the same in words, its SVG, and the same as a picture."""

    name: str
    title: str
    alternative: str
    svg: str
    png: bytes
    ratio: float
    """Height by width."""


def _figure(high: float = HIGH) -> tuple[Any, Any]:
    try:
        import matplotlib
    except ImportError as missing:
        raise MissingPart("plots need matplotlib: pip install 'assistant[report]'") from missing
    matplotlib.use("svg")
    matplotlib.rcParams.update({"svg.hashsalt": "record", "font.size": 9, "font.family": "DejaVu Sans"})
    from matplotlib.figure import Figure

    figure = Figure(figsize=(WIDE, high), layout="constrained")
    axes = figure.add_subplot()
    axes.spines[["top", "right"]].set_visible(False)
    axes.set_xlabel("min")
    return figure, axes


def _svg(figure: Any) -> str:
    """Return the SVG element alone, without date and document type."""
    text = io.StringIO()
    figure.savefig(text, format="svg", metadata={"Date": None, "Creator": None})
    whole = text.getvalue()
    return whole[whole.index("<svg") :].strip()


def _png(figure: Any) -> bytes:
    """Return the figure as a picture: the library that writes the PDF does not know hatches."""
    picture = io.BytesIO()
    figure.savefig(picture, format="png", dpi=DOTS, metadata={"Software": None})
    return picture.getvalue()


def _drawn(name: str, figure: Any, told: Sequence[str], unit: str = "", of: str = "") -> Plot:
    title, alternative = plot_words(name, told, unit, of)
    wide, high = figure.get_size_inches()
    return Plot(name, title, alternative, _svg(figure), _png(figure), high / wide)


def _legend(axes: Any) -> None:
    """Put the legend above, where nothing is drawn."""
    axes.legend(loc="lower left", bbox_to_anchor=(0, 1), frameon=False, ncols=4, borderaxespad=0.2)


def _stairs(axes: Any, points: Sequence[tuple[float, float]], **look: Any) -> None:
    axes.step([at for at, _ in points], [value for _, value in points], where="post", **look)


def _lasting(series: Amounts) -> list[float]:
    """Return the amounts that must be seen: the last ones, the band, the advice; not what was corrected."""
    last = [points[-1][1] for points in (series.out, series.into) if points]
    return [*last, *(series.band or ()), series.advised or 0.0, 0.1]


def amounts_plot(series: Amounts) -> Plot:
    """Return out and in by the clock, with the usual band and the advised amount."""
    figure, axes = _figure()
    told = []
    if series.band is not None:
        low, high = series.band
        axes.axhspan(
            low,
            high,
            facecolor="none",
            edgecolor=SOFT,
            hatch="///",
            linewidth=0,
            alpha=0.5,
            label=AXES["usual"],
        )
        told.append(f"{AXES['usual']} {low:g} to {high:g}")
    if series.advised is not None:
        axes.axhline(series.advised, color=INK, linestyle=(0, (1, 2)), label=AXES["advised"])
        told.append(f"{AXES['advised']} {series.advised:.2f}")
    for name, points, look in (
        ("out", series.out, {"color": OUT, "linewidth": 2.2}),
        ("in", series.into, {"color": INTO, "linewidth": 2.2, "linestyle": "--"}),
    ):
        if points:
            _stairs(axes, points, label=AXES[name], **look)
            told.append(f"{AXES[name]} {points[-1][1]:g} at the end")
    axes.set_ylabel(symbol_of(series.unit))
    top = HEADROOM * max(_lasting(series))
    if max((value for _, value in (*series.out, *series.into)), default=0.0) > top:
        told.append(AXES["beyond"])
    axes.set_ylim(0, top)
    axes.set_xlim(left=0)
    _legend(axes)
    return _drawn("amounts", figure, told, series.unit, series.of)


def warmth_plot(series: Warmth) -> Plot:
    """Return the temperatures with the curve through them and the windows of the sheet."""
    figure, axes = _figure()
    told = []
    for (name, low, high), hatch in zip(series.windows, ("///", "\\\\\\"), strict=False):
        axes.axhspan(
            low, high, facecolor="none", edgecolor=SOFT, hatch=hatch, linewidth=0, alpha=0.6, label=AXES[name]
        )
        told.append(f"{AXES[name]} {low:g} to {high:g}")
    if series.curve:
        axes.plot(*zip(*series.curve, strict=True), color=INTO, linestyle="--", label=AXES["curve"])
    axes.plot(*zip(*series.readings, strict=True), "o", color=OUT, label=AXES["reading"])
    told += [f"{warm:g} after {at:.0f} min" for at, warm in series.readings]
    axes.set_ylabel("°C")
    axes.set_xlim(left=0)
    seen = [warm for _, warm in series.readings] + [end for _, *ends in series.windows for end in ends]
    axes.set_ylim(min(seen) - MARGIN_K, max(seen) + MARGIN_K)
    _legend(axes)
    return _drawn("warmth", figure, told, of=series.of)


def course_plot(spans: Sequence[Span]) -> Plot:
    """Return steps, timers and breaks by the clock; steps alternate in height so that each is seen."""
    figure, axes = _figure(3.0)
    lanes = {"step": 2.0, "timer": 1.0, "break": 0.0}
    looks = {"step": ("#d9d4c4", ""), "timer": ("#ffffff", "///"), "break": ("#ffffff", "xxx")}
    longest = max((span.end for span in spans), default=1.0) or 1.0
    for span in spans:
        face, hatch = looks[span.lane]
        long = span.end - span.start
        axes.barh(
            lanes[span.lane], max(long, longest / 400), left=span.start, height=0.7,
            color=face, edgecolor=INK, linewidth=0.6, hatch=hatch,
        )  # fmt: skip
        if long > longest * len(span.name) / 80:
            middle = span.start + long / 2
            axes.text(
                middle, lanes[span.lane], span.name, ha="center", va="center", fontsize=7,
                bbox={"facecolor": "#ffffff", "edgecolor": "none", "pad": 1.5}, zorder=10,
            )  # fmt: skip
    axes.set_yticks(list(lanes.values()), [AXES[name] for name in lanes])
    axes.set_ylim(-0.5, 2.5)
    told = [
        f"{span.name}, {span.start:.0f} to {span.end:.0f} min" for span in spans if span.end - span.start >= 1
    ]
    return _drawn("course", figure, told)


def shares_plot(of: str, found: Shares) -> Plot:
    """Return the share of new fluid after each service; `of` names the unit where there are several."""
    figure, axes = _figure()
    bars = axes.bar(
        range(len(found)),
        [share for _, share in found],
        color="#ffffff",
        edgecolor=INTO,
        hatch="...",
        width=0.5,
    )
    axes.bar_label(bars, [f"{share:.0f} %" for _, share in found])
    axes.set_xticks(range(len(found)), [day for day, _ in found])
    axes.set_xlabel("")
    axes.set_xlim(-0.6, max(len(found), 4) - 0.4)
    axes.set_ylim(0, 110)
    axes.set_ylabel(AXES["share"])
    return _drawn("shares", figure, [f"{day}: {share:.0f} %" for day, share in found], of=of)


def drawn(
    amounts: Sequence[Amounts],
    warmth: Sequence[Warmth],
    spans: Sequence[Span],
    shares: Sequence[tuple[str, Shares]],
) -> tuple[Plot, ...]:
    """Return the plots there is something to show in, those of each unit together."""
    made = [*map(amounts_plot, amounts), *map(warmth_plot, warmth)]
    made += [course_plot(spans)] if spans else []
    made += [shares_plot(name, found) for name, found in shares]
    named = [one.name for one in made]
    return tuple(
        replace(one, name=f"{one.name}-{named[:at].count(one.name) + 1}") if one.name in named[:at] else one
        for at, one in enumerate(made)
    )
