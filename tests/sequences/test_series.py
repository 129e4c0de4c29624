"""Readings over time: what makes a point, where a run begins, what is said of each limit."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from benchleaf.sequences.records.read_records import read_folder
from benchleaf.sequences.records.series import Series, SeriesFound, series_of, soonest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from record_samples import as_json, reading, record


def found(folder: Path, *records: Mapping[str, Any]) -> SeriesFound:
    for n, of in enumerate(records):
        (folder / f"{n}.json").write_text(as_json(of), "utf-8")
    read = read_folder(folder)
    assert [str(f) for f in read.faults] == []
    return series_of(read.records)


def only(folder: Path, *records: Mapping[str, Any]) -> Series:
    (series,) = found(folder, *records).series
    return series


def days(n: int) -> str:
    return date.fromordinal(date(2030, 1, 1).toordinal() + n).isoformat()


def test_the_reading_nearest_to_the_limit_counts_and_a_setting_begins_a_run(tmp_path: Path) -> None:
    left_as_found = [reading("c", "0.17", "as left"), reading("d", "0.19", "as left")]
    series = only(
        tmp_path,
        record(days(0), [reading("a", "0.15", "as left"), reading("b", "0.16", "as left")]),
        record(days(100), [reading("a", "0.17"), reading("b", "0.19"), *left_as_found]),
        record(days(200), [reading("a", "0.21"), reading("c", "0.15", "as left")]),
        record(days(300), [reading("a", "0.18")]),
        record(days(400), [reading("hour", "0.20", "in service")]),
    )  # fmt: skip
    first = date(2030, 1, 1).toordinal()
    assert [(p.day - first, p.figure, p.run) for p in series.points("high")] == [
        (0, 0.16, 0), (100, 0.19, 0), (200, 0.21, 0), (200, 0.15, 1), (300, 0.18, 1), (400, 0.20, 1),
    ]  # fmt: skip
    assert [(p.figure, p.run) for p in series.points("low")][:2] == [(0.15, 0), (0.17, 0)]
    assert len(series.readings) == 10


def test_a_known_drift_is_reached_on_the_day_of_the_closed_form(tmp_path: Path) -> None:
    """0.14 mm at first and 0.02 mm in 100 days reach 0.30 mm after 800 days, whatever an overhaul sets meanwhile."""
    series = only(
        tmp_path,
        *(record(days(n), [reading("a", f"{0.14 + 0.0002 * n:.4f}")]) for n in (0, 100, 250, 300)),
    )
    (low, high) = series.prospects
    assert (low.outlook, high.outlook) == ("away", "towards")
    assert (high.day, high.earliest, high.latest) == ((date.fromisoformat(days(800)),) * 3)
    assert high.per_year == pytest.approx(0.0002 * 365.25)
    set_anew = [
        record(days(300), [reading("a", "0.20"), reading("c", "0.12", "as left")]),
        record(days(400), [reading("a", "0.14")]),
    ]
    series = only(
        tmp_path,
        *(record(days(n), [reading("a", f"{0.14 + 0.0002 * n:.4f}")]) for n in (0, 100, 250)),
        *set_anew,
    )
    prospect = series.prospect("high")
    assert prospect is not None
    assert prospect.day == date.fromisoformat(days(300 + 900))


def test_inches_and_millimetres_make_one_series(tmp_path: Path) -> None:
    series = only(
        tmp_path,
        record(days(0), [reading("a", "0.127")]),
        record(days(100), [reading("a", "0,005", unit="in")]),
        record(days(200), [reading("a", "127", unit="µm")]),
    )
    assert [r.figure for r in series.readings] == [0.127] * 3
    assert [(r.entered, r.unit) for r in series.readings] == [("0.127", "mm"), ("0,005", "in"), ("127", "µm")]


def test_limits_are_those_of_the_latest_record(tmp_path: Path) -> None:
    series = only(
        tmp_path,
        record(days(100), [reading("a", "0.2", low=0.15)]),
        record(days(0), [reading("a", "0.2", low=0.05)]),
    )
    assert (series.low, series.high) == (0.15, 0.30)


def test_what_is_no_reading_over_time_makes_none(tmp_path: Path) -> None:
    nut: dict[str, Any] = {"value": "rotor_nut_torque", "unit": "N·m", "limits_unit": "N·m"}
    of = found(
        tmp_path,
        record(
            days(0),
            [
                reading("eye", "fail", unit="pass", limits_unit="pass", value=None, verdict="fail"),
                reading("nut", "50", "as left", **nut, verdict="set", clicked=True),
                reading("second", "50", "as left", **nut, verdict="outside", wrench_least="20"),
                reading("word", "about 0.2", verdict="nan"),
                reading("hot", "45", unit="°C"),
                reading("fine", "0.2"),
                {k: v for k, v in reading("none", "").items() if k not in ("entered", "verdict")},
            ],
        ),
    )
    assert [(s.name, len(s.readings)) for s in of.series] == [("radial_clearance", 1)]
    assert [(r.text, r.entered, r.unit, r.why) for r in of.left_out] == [
        ("Gap word", "about 0.2", "mm", "no figure"),
        ("Gap hot", "45", "°C", "unit"),
    ]


OUTLOOKS = [
    (["0.2", "0.2"], {"low": "too few", "high": "too few"}),
    (["0.20", "0.21", "0.22"], {"low": "away", "high": "towards"}),
    (["0.22", "0.21", "0.20"], {"low": "towards", "high": "away"}),
    (["0.20", "0.22", "0.19", "0.21"], {"low": "steady", "high": "steady"}),
    (["0.20", "0.22", "0.31"], {"low": "steady", "high": "beyond"}),
    (["0.09"], {"low": "beyond", "high": "too few"}),
]


@pytest.mark.parametrize(("entered", "outlooks"), OUTLOOKS)
def test_what_is_said_of_each_limit(tmp_path: Path, entered: list[str], outlooks: dict[str, str]) -> None:
    series = only(tmp_path, *(record(days(100 * n), [reading("a", e)]) for n, e in enumerate(entered)))
    assert {p.end: p.outlook for p in series.prospects} == outlooks


def test_the_soonest_come_first_and_what_is_beyond_before_them(tmp_path: Path) -> None:
    def drifting(tag: str, *entered: str) -> list[dict[str, Any]]:
        return [record(days(100 * n), [reading("a", e)], tag) for n, e in enumerate(entered)]

    of = found(
        tmp_path,
        *drifting("P-3", "0.20", "0.21", "0.22"), *drifting("P-1", "0.20", "0.22", "0.24"),
        *drifting("P-2", "0.20", "0.25", "0.31"), *drifting("P-4", "0.2", "0.2"),
    )  # fmt: skip
    assert [(s.tag, p.outlook) for s, p in soonest(of.series)] == [
        ("P-2", "beyond"), ("P-1", "towards"), ("P-3", "towards"),
    ]  # fmt: skip


states = st.sampled_from(["as found", "as left", "in service"])
jobs = st.lists(
    st.tuples(st.integers(0, 40_000), st.lists(st.tuples(st.text(max_size=8), states), max_size=4)),
    max_size=6,
)


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(done=jobs, figures=st.lists(st.floats(-1e9, 1e9), min_size=24, max_size=24))
def test_any_sound_records_give_series_and_prospects(
    tmp_path: Path, done: list[tuple[int, list[tuple[str, str]]]], figures: list[float]
) -> None:
    for old in tmp_path.iterdir():
        old.unlink()
    left = iter(figures)
    for n, (day, readings) in enumerate(done):
        typed = [
            reading(f"r{k}", text if text.strip() and text.isprintable() else f"{next(left):.3f}", state)
            for k, (text, state) in enumerate(readings)
        ]
        of = record(days(day), typed, id=f"job-{n}")
        (tmp_path / f"{n}.json").write_text(as_json(of), "utf-8")
    read = read_folder(tmp_path)
    assert read.faults == ()
    for series in series_of(read.records).series:
        assert len(series.prospects) == 2
        for p in series.prospects:
            assert p.earliest is None or p.earliest >= series.readings[-1].day
            assert p.outlook != "towards" or p.line is not None
