"""Plots of readings over time: whole, the same each time, with limit, line and interval in sight."""

from __future__ import annotations

from datetime import date
from xml.etree import ElementTree

import pytest
from benchleaf.sequences.records.series import ReadingSeen, Series
from benchleaf.site.pages.records.trend_plots import BAND, COLOURS, INK, draw_series


def series(figures: list[float], states: list[str], low: float | None, high: float | None) -> Series:
    seen = tuple(
        ReadingSeen(
            date.fromordinal(date(2030, 1, 1).toordinal() + 90 * n), f, state, "Gap", f"{f}", "mm", "", "f", f"j{n}", ""  # type: ignore[arg-type]
        )
        for n, (f, state) in enumerate(zip(figures, states, strict=True))
    )  # fmt: skip
    return Series("Works", "P-1", "gap", "Gap", "mm", low, high, seen)


def drawn(svg: bytes) -> tuple[int, int, int]:
    """Return how many signs of readings, dashed limits and bands a plot holds."""
    root = ElementTree.fromstring(svg)
    kind = "{http://www.w3.org/2000/svg}"
    styles = [e.get("style", "") for e in root.iter(f"{kind}use")]
    signs = sum(any(f"fill: {c}" in s or f"stroke: {c}" in s for c in COLOURS.values()) for s in styles)
    lines = [e.get("style", "") for e in root.iter(f"{kind}path")]
    dashes = sum("stroke-dasharray" in s and INK in s for s in lines)
    bands = sum(BAND in e.get("style", "") for e in root.iter())
    return signs, dashes, min(bands, 1)


FOUND = ["as found"] * 4
CASES = [
    ([0.14, 0.16, 0.18, 0.20], FOUND, None, 0.30, (4, 1, 1)),
    ([0.14, 0.16, 0.14, 0.20], FOUND, 0.1, 0.30, (4, 2, 1)),
    ([0.14, 0.16, 0.12, 0.15], ["as found", "as found", "as left", "in service"], 0.1, 0.3, (4, 2, 1)),
    ([0.14], FOUND[:1], None, 0.30, (1, 1, 0)),
    ([0.0], FOUND[:1], None, None, (1, 0, 0)),
    ([5e8, -5e8, 3.0], FOUND[:3], 0.0, 1e-9, (3, 2, 1)),
]


@pytest.mark.parametrize(("figures", "states", "low", "high", "wanted"), CASES)
def test_a_plot_shows_every_reading_and_limit(
    figures: list[float],
    states: list[str],
    low: float | None,
    high: float | None,
    wanted: tuple[int, int, int],
) -> None:
    of = series(figures, states, low, high)
    svg = draw_series(of)
    assert drawn(svg) == wanted
    assert draw_series(of) == svg
    assert b"<script" not in svg
    assert len(svg) < 60_000
