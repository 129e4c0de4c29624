"""Disc springs against the published rows, closed forms and independent quadrature."""

from __future__ import annotations

import doctest
import math
from itertools import pairwise

import pytest
from benchleaf.geometry.engineering.figures import by_hand, hand_tolerance
from benchleaf.geometry.engineering.springs import disc_springs
from benchleaf.geometry.engineering.springs.disc_springs import (
    DiscSpring,
    SpringStack,
    TableRow,
    force_figures,
    spring_table,
    stress_figure,
)
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy import integrate

ROWS = spring_table()
SPRINGS = st.builds(
    lambda di, ratio, slim, steep: DiscSpring(di * ratio, di, di * ratio / slim, di * ratio / slim * steep),
    st.floats(6, 60), st.floats(1.4, 2.6), st.floats(12, 45), st.floats(0.2, 1.35),
)  # fmt: skip


def test_examples_in_the_docstrings_hold() -> None:
    assert doctest.testmod(disc_springs).failed == 0


def test_the_table_has_three_series_of_twenty_two() -> None:
    assert [sum(r.series == s for r in ROWS) for s in "ABC"] == [22, 22, 22]
    for a, b in pairwise(ROWS):
        assert a.series != b.series or a.spring.outer_mm < b.spring.outer_mm


@pytest.mark.parametrize("row", ROWS, ids=lambda r: f"{r.series}{r.spring.outer_mm:g}")
def test_each_published_force_is_met_to_its_last_digit(row: TableRow) -> None:
    force = row.spring.force_n(row.deflection_mm)
    digits = 3 if row.force_n >= 100 else 2
    step = 10 ** (math.floor(math.log10(row.force_n)) - digits + 1)
    assert abs(force - row.force_n) <= step / 2 * (1 + 1e-9)


@pytest.mark.parametrize(
    ("outer", "sigma_om", "sigma_most"),
    # DIN 2093, series A: stress at OM and the greatest tensile stress on the underside, at 0.75 h0
    [(8, -1200, 1220), (10, -1210, 1240), (12.5, -1280, 1420), (14, -1190, 1340), (16, -1160, 1290),
     (18, -1170, 1300), (20, -1180, 1300), (22.5, -1170, 1320), (25, -1210, 1410), (28, -1180, 1280),
     (31.5, -1190, 1320)],
)  # fmt: skip
def test_published_stresses_are_met_to_a_step_of_their_last_digit(
    outer: float, sigma_om: float, sigma_most: float
) -> None:
    row = next(r for r in ROWS if r.series == "A" and r.spring.outer_mm == outer)
    stress = row.spring.stress_mpa(row.deflection_mm)
    assert stress["OM"] == pytest.approx(sigma_om, abs=10.1)
    assert max(stress["II"], stress["III"]) == pytest.approx(sigma_most, abs=10.1)


def test_rows_have_the_proportions_of_their_series() -> None:
    wanted = {"A": (18, 0.4), "B": (28, 0.75), "C": (40, 1.3)}
    for row in ROWS:
        s = row.spring
        slim, steep = wanted[row.series]
        assert s.outer_mm / s.thickness_mm == pytest.approx(slim, rel=0.17)
        assert s.cone_mm / s.thickness_mm == pytest.approx(steep, rel=0.26)
        assert s.outer_mm / s.inner_mm == pytest.approx(2.0, abs=0.1)
        assert row.deflection_mm == pytest.approx(0.75 * s.cone_mm, abs=0.0051)


@given(SPRINGS)
def test_flat_force_has_the_standard_closed_form(s: DiscSpring) -> None:
    """DIN 2092: Fc = 4E/(1-mu^2) h0 t^3 / (K1 De^2)."""
    closed = 4 * s.e_mpa / (1 - 0.3**2) * s.cone_mm * s.thickness_mm**3 / (s.k1 * s.outer_mm**2)
    assert s.flat_force_n == pytest.approx(closed, rel=1e-12)


@settings(max_examples=40)
@given(SPRINGS, st.floats(0.05, 1.0))
def test_work_done_is_the_elastic_energy_of_the_turned_section(s: DiscSpring, share: float) -> None:
    """Independent way: hoop strain energy of a rigid section turning by the cone's angle, about its best centre.

    Timoshenko's ring: the section turns as a whole, the hoop strain of a fibre at (x, y) from the turning point is
    (x (phi0 dphi - dphi^2/2) - y dphi)/r; its energy over the section, least over the turning point, is the work.
    """
    a, b, t = s.outer_mm / 2, s.inner_mm / 2, s.thickness_mm
    phi0 = s.cone_mm / (a - b)
    dphi = share * phi0
    c = (a - b) / math.log(a / b)
    in_plane = phi0 * dphi - dphi**2 / 2
    # fibre at radius r: x = c - r; with y symmetrical about the middle plane the mixed term vanishes
    first = integrate.quad(lambda r: (c - r) ** 2 / r, b, a)[0] * t * in_plane**2
    second = math.log(a / b) * t**3 / 12 * dphi**2
    energy = math.pi * s.e_mpa / (1 - 0.3**2) * (first + second)
    work = integrate.quad(s.force_n, 0, share * s.cone_mm)[0]
    # the standard writes one coefficient for both terms; up to De/Di = 2.6 they differ by less than 1.6 %
    assert work == pytest.approx(energy, rel=0.016)


@given(SPRINGS, st.floats(0.0, 0.98), st.floats(0.005, 0.02))
def test_force_rises_to_the_flat_where_the_cone_is_low(s: DiscSpring, share: float, more: float) -> None:
    assert s.force_n((share + more) * s.cone_mm) > s.force_n(share * s.cone_mm)


@given(SPRINGS, st.floats(0.0, 1.0))
def test_a_force_finds_its_deflection_again(s: DiscSpring, share: float) -> None:
    deflection = share * s.cone_mm
    assert s.deflection_mm(s.force_n(deflection)) == pytest.approx(deflection, abs=1e-6 * s.cone_mm)


def test_forces_that_no_deflection_gives_are_refused() -> None:
    s = ROWS[5].spring
    with pytest.raises(ValueError, match="is not between 0 and the"):
        s.deflection_mm(2 * s.flat_force_n)
    with pytest.raises(ValueError, match="is not between 0"):
        s.deflection_mm(-1.0)
    with pytest.raises(ValueError, match="snaps through"):
        DiscSpring(40, 20, 1.0, 1.5).deflection_mm(100)


@pytest.mark.parametrize("sizes", [(20, 20, 1, 0.5), (20, 10, 0, 0.5), (20, 10, 1, 0), (20, -1, 1, 0.5)])
def test_a_spring_that_cannot_be_is_refused(sizes: tuple[float, float, float, float]) -> None:
    with pytest.raises(ValueError, match="cannot be; outer > inner > 0"):
        DiscSpring(*sizes)


@given(SPRINGS, st.integers(1, 5), st.integers(1, 6), st.floats(0, 1))
def test_a_stack_adds_force_in_parallel_and_travel_in_series(
    s: DiscSpring, parallel: int, series: int, share: float
) -> None:
    stack = SpringStack(s, parallel, series)
    assert stack.travel_mm == pytest.approx(series * s.cone_mm)
    assert stack.force_n(share * stack.travel_mm) == pytest.approx(
        parallel * s.force_n(share * s.cone_mm), rel=1e-9
    )
    # flat, the stack is as high as all its thicknesses
    assert stack.free_height_mm - stack.travel_mm == pytest.approx(parallel * series * s.thickness_mm)


def test_a_stack_of_published_springs_has_the_catalogue_length() -> None:
    # two 50 x 25.4 x 3 (l0 = 4.1) nested, three packets: L0 = 3 (4.1 + 3.0) = 21.3 mm
    spring = next(r.spring for r in ROWS if r.series == "A" and r.spring.outer_mm == 50)
    assert SpringStack(spring, 2, 3).free_height_mm == pytest.approx(21.3)
    with pytest.raises(ValueError, match="at least one spring"):
        SpringStack(spring, 0, 3)


@given(SPRINGS, st.floats(0.05, 1.0))
def test_a_reader_can_work_force_and_stress_again(s: DiscSpring, share: float) -> None:
    assume(s.thickness_mm > 0.3)
    assume(share * s.cone_mm > 0.05)
    deflection = share * s.cone_mm
    k1, force = force_figures(s, deflection)
    stress = stress_figure(s, deflection)
    assert force.value == pytest.approx(s.force_n(deflection), rel=1e-12)
    assert stress.value == pytest.approx(-s.stress_mpa(deflection)["OM"], rel=1e-12)
    for figure in (k1, force, stress):
        assert abs(by_hand(figure) - figure.value) <= hand_tolerance(figure), figure.working()


def test_a_spring_worked_beyond_its_steel_is_judged() -> None:
    mild = ROWS[0].spring
    assert stress_figure(mild, 0.75 * mild.cone_mm).judgement == "inside"
    steep = DiscSpring(20, 10, 1.5, 1.2)
    assert stress_figure(steep, steep.cone_mm).judgement == "outside"
