"""The page of readings over time in words: every outlook has its sentence, names of files never meet."""

from __future__ import annotations

from datetime import date
from typing import get_args

import pytest
from benchleaf.sequences.records.drift import DriftLine
from benchleaf.sequences.records.read_records import RecordsRead
from benchleaf.sequences.records.series import Outlook, Prospect, ReadingSeen, Series, SeriesFound
from benchleaf.site.pages.records.trend_page import drift_csv, make_trend, prospect_in_words, readings_csv
from benchleaf.site.words.catalogue import load_words

WORDS = load_words()
NOTHING = RecordsRead((), (), (), 0)


def seen(n: int, figure: float) -> ReadingSeen:
    day = date.fromordinal(date(2030, 1, 1).toordinal() + n)
    return ReadingSeen(
        day, figure, "as found", "Gap", f"{figure}", "mm", "within", "f.json", f"j{n}", f"W{n}"
    )


def series(
    *figures: float, tag: str = "P-1", name: str = "gap", low: float | None = 0.1, high: float | None = 0.3
) -> Series:
    return Series(
        "Works", tag, name, "Gap", "mm", low, high, tuple(seen(100 * n, f) for n, f in enumerate(figures))
    )


CASES = {
    "too few": series(0.2, 0.2, low=None),
    "towards": series(0.2, 0.21, 0.22, low=None),
    "away": series(0.22, 0.21, 0.20, low=None),
    "steady": series(0.2, 0.22, 0.19, 0.21, low=None),
    "beyond": series(0.2, 0.22, 0.31, low=None),
}
SAID = {
    "too few": "Too few readings to tell a drift towards the greatest limit, 0.3\u00a0mm: 2 in 1 runs; it takes 3.",
    "towards": "Drifts towards its greatest limit, 0.3\u00a0mm, by +0.0365\u00a0mm a year. On this line it gets there "
    "about 2032-09-27; one further reading may be there, with 95 %, between 2032-09-27 and 2032-09-27.",
    "away": "Drifts away from its greatest limit, 0.3\u00a0mm, by \u22120.0365\u00a0mm a year.",
    "steady": "No drift towards or from its greatest limit, 0.3\u00a0mm, can be told from the scatter of 4 readings.",
    "beyond": "The last reading, 0.31\u00a0mm, is above its greatest limit, 0.3\u00a0mm. Stop work on it",
}


@pytest.mark.parametrize("outlook", get_args(Outlook))
def test_each_outlook_has_its_sentence(outlook: str) -> None:
    view = make_trend(NOTHING, SeriesFound((CASES[outlook],), ()), WORDS).series[0]
    assert view.said[0].startswith(SAID[outlook]), view.said
    assert SAID[outlook][:40] in view.alt


def test_without_limits_that_is_said() -> None:
    view = make_trend(NOTHING, SeriesFound((series(0.2, 0.3, low=None, high=None),), ()), WORDS).series[0]
    assert view.said == (WORDS("trend.no_limits"),)
    assert view.limits == ""


def test_days_beyond_a_hundred_years_are_not_told() -> None:
    line = DriftLine(1e-9, 0.0, 12.7, 3, 1, 3, 0.0, 0.2, 100.0)
    for prospect, said in (
        (Prospect("high", 0.3, "towards", line), WORDS("trend.far")),
        (
            Prospect("high", 0.3, "towards", line, date(2099, 1, 1), date(2088, 1, 1)),
            "2088-01-01 and a day further",
        ),
    ):
        assert said in prospect_in_words(CASES["towards"], prospect, WORDS)


def test_plots_of_alike_names_do_not_meet() -> None:
    all_of = (
        series(0.2, tag="P 1"),
        series(0.2, tag="P-1"),
        series(0.2, tag="p/1"),
        series(0.2, tag="°"),
        series(0.2, name="gap 2"),
    )
    plots = [v.plot for v in make_trend(NOTHING, SeriesFound(all_of, ()), WORDS).series]
    assert len({p.casefold() for p in plots}) == 5
    assert all("/" not in p.removeprefix("plots/") for p in plots)


def test_tables_disarm_what_looks_like_a_formula() -> None:
    of = series(0.2, tag="=1+2")
    assert "'=1+2" in readings_csv([of], WORDS)
    assert "'=1+2" in drift_csv([of], WORDS)
