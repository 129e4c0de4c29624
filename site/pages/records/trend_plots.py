"""A plot of one reading over time as SVG: readings by state, limits, the drift with its interval up to the limit.

The same series gives the same bytes; letters are drawn as outlines, so that it looks alike everywhere.
"""

from __future__ import annotations

import io
from collections.abc import Mapping
from datetime import date
from typing import TYPE_CHECKING, Any

import numpy as np

from ....sequences.records.drift import DriftLine
from ....sequences.records.record_form import State
from ....sequences.records.series import Prospect, Series

if TYPE_CHECKING:
    from matplotlib.axes import Axes

INK, SOFT, BAND = "#1b1d1f", "#55595d", "#d8dadc"
COLOURS: Mapping[State, str] = {"as found": "#0072b2", "as left": "#d55e00", "in service": "#009e73"}
"""Of the Okabe-Ito set; each state has a sign of its own too."""
SIGNS: Mapping[State, str] = {"as found": "o", "as left": "s", "in service": "^"}
SIZE_IN = (6.0, 3.4)
MOST_AHEAD = 1.5
"""How far beyond the last reading a plot goes at most, as a share of the time before it."""
POINTS = 80
_RC: Any = {
    "svg.hashsalt": "benchleaf", "svg.fonttype": "path", "font.family": "DejaVu Sans", "font.size": 13.0,
    "axes.edgecolor": SOFT, "axes.labelcolor": INK, "xtick.color": SOFT, "ytick.color": SOFT, "path.simplify": False,
}  # fmt: skip


def draw_series(series: Series) -> bytes:
    """Return the plot of ``series`` as SVG."""
    import matplotlib as mpl
    from matplotlib.backends.backend_svg import FigureCanvasSVG
    from matplotlib.figure import Figure

    with mpl.rc_context():
        mpl.rcParams.update(mpl.rcParamsDefault)  # whatever the user has set up
        mpl.rcParams.update(_RC)
        figure = Figure(figsize=SIZE_IN, layout="constrained")
        FigureCanvasSVG(figure)
        axes = figure.add_subplot()
        _draw(axes, series)
        out = io.BytesIO()
        figure.savefig(out, format="svg", metadata={"Date": None, "Creator": None})
    return out.getvalue()


def _draw(axes: Axes, series: Series) -> None:
    for state, colour in COLOURS.items():
        of = [r for r in series.readings if r.state == state]
        axes.plot(
            [_at(r.day) for r in of], [r.figure for r in of], SIGNS[state], color=colour, markersize=9,
            markeredgewidth=1.8, markerfacecolor="white" if state == "as left" else colour, zorder=4,
        )  # fmt: skip
    first, last = _at(series.readings[0].day), _at(series.readings[-1].day)
    limits = [x for x in (series.low, series.high) if x is not None]
    shown = [*(r.figure for r in series.readings), *limits]
    chosen, end = _drawn(series), last
    if chosen is not None and chosen.line is not None:
        end = _end(chosen, first, last)
        points = series.points(chosen.end)
        begin = min(p.day for p in points if p.run == points[-1].run)
        shown += _draw_line(axes, chosen.line, begin, end)
    for limit in limits:
        axes.axhline(limit, color=INK, linewidth=2.0, linestyle=(0, (6, 3)), zorder=3)
    pad = 0.06 * ((max(shown) - min(shown)) or abs(shown[0]) or 1.0)
    axes.set_ylim(min(shown) - pad, max(shown) + pad)
    _dates(axes, first, end)
    axes.set_ylabel(series.unit)
    axes.spines[["top", "right"]].set_visible(False)


def _drawn(series: Series) -> Prospect | None:
    """Return the prospect whose line is drawn: towards a limit before all others."""
    rank = ("towards", "beyond", "steady", "away", "too few")
    return min(series.prospects, key=lambda p: rank.index(p.outlook), default=None)


def _end(prospect: Prospect, first: float, last: float) -> float:
    latest = prospect.latest or prospect.day
    wanted = last if latest is None else _at(latest)
    span = max(last - first, 90.0)
    return min(max(wanted, last + 0.1 * span), last + MOST_AHEAD * span)


def _draw_line(axes: Axes, line: DriftLine, begin: float, end: float) -> tuple[float, float]:
    """Draw line and interval, and return which figures of them have to be in sight.

    A wide interval must not press the readings flat: it counts for no more than the scatter and the line themselves.
    """
    days = np.linspace(begin, end, POINTS)
    middle = np.array([line.at(d) for d in days])
    half = np.array([line.half_width(d) for d in days])
    axes.fill_between(days, middle - half, middle + half, color=BAND, linewidth=0, zorder=1)
    axes.plot(days, middle, color=SOFT, linewidth=2.2, zorder=2)
    some = min(float(half.min()), 4 * line.scatter + float(np.ptp(middle)))
    return float(middle.min()) - some, float(middle.max()) + some


def _dates(axes: Axes, first: float, end: float) -> None:
    """Mark years, or quarters where there are few."""
    pad = max(0.03 * (end - first), 5.0)
    axes.set_xlim(first - pad, end + pad)
    begin, over = date.fromordinal(int(first - pad)), date.fromordinal(int(end + pad))
    years = over.year - begin.year + 1
    months = (1,) if years > 4 else (1, 7) if years > 2 else (1, 4, 7, 10)
    step = max(1, -(-years // 8))
    ticks = [
        date(y, m, 1)
        for y in range(begin.year, over.year + 1, step)
        for m in months
        if begin <= date(y, m, 1) <= over
    ]
    if len(ticks) < 2:
        ticks = [begin, over]
    axes.set_xticks([_at(t) for t in ticks], [f"{t:%Y}" if months == (1,) else f"{t:%Y-%m}" for t in ticks])


def _at(day: date) -> float:
    return float(day.toordinal())
