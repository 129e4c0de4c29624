"""What parts bear, against methods written anew: sums over thin strips, series, integrals, published rows."""

from __future__ import annotations

import doctest
import importlib
import math
from dataclasses import replace

import numpy as np
import pytest
from benchleaf.geometry.engineering.figures import Figure, Input, Limit, by_hand, hand_tolerance
from benchleaf.geometry.engineering.materials import material
from benchleaf.geometry.engineering.preload import PROPERTY_CLASSES, strength
from benchleaf.geometry.engineering.springs.disc_springs import DiscSpring, stress_figure
from benchleaf.geometry.engineering.strength.cantilevers import Overhang, deflection_figure, rotor_load_figure
from benchleaf.geometry.engineering.strength.faces import face_figure
from benchleaf.geometry.engineering.strength.helical_springs import (
    HelicalSpring,
    helical_figures,
    opening_force_figure,
    wire_strength_mpa,
)
from benchleaf.geometry.engineering.strength.keys import KeyJoint, drive_torque_figure, key_figures
from benchleaf.geometry.engineering.strength.plates import Plate, coefficients, plate_figures
from benchleaf.geometry.engineering.strength.studs import pressed_area_figure, ring_force_figure, stud_figures
from benchleaf.geometry.engineering.strength.thread_shear import minor_diameter_mm, strip_figures
from benchleaf.geometry.engineering.strength.yields import Yield, weakest, yield_limit, yield_of
from benchleaf.geometry.engineering.topics import SIZE, Topic
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import LineString

LIMIT = Limit(None, 1.0, "mm", SIZE)
DUPLEX, PLAIN = yield_of("duplex"), yield_of("316L")
MODULUS = material("duplex").youngs_input()


def pressure(bar: float) -> Input:
    return Input("p", Topic("input.pressure_limit"), bar, "bar", SIZE)


def preload(newtons: float, low: float | None = None, high: float | None = None) -> Figure:
    span = Topic("span.preload") if low is not None else None
    return Figure(
        "nut.preload", Topic("figure.preload"), "F", newtons, "N", "", (), SIZE, low=low, high=high, span=span
    )


def worked(*figures: Figure) -> None:
    for figure in figures:
        assert abs(by_hand(figure) - figure.value) <= hand_tolerance(figure), figure.working()


@pytest.mark.parametrize(
    "name",
    ["cantilevers", "faces", "helical_springs", "keys", "plates", "studs", "thread_shear", "yields"],
)
def test_examples_in_the_docstrings_hold(name: str) -> None:
    module = importlib.import_module(f"benchleaf.geometry.engineering.strength.{name}")
    assert doctest.testmod(module).failed == 0


# ------------------------------------------------------------------ yields
def test_yields_are_rows_of_the_standard() -> None:
    # EN 10088-3, bars, solution annealed
    rows = {"316L": ("1.4404", 200), "duplex": ("1.4462", 450), "stainless": ("1.4307", 175)}
    for key, (grade, mpa) in rows.items():
        assert yield_of(key) == Yield(mpa, Topic("source.yield_bars", standard="EN 10088-3", grade=grade))
    assert yield_of("nickel-alloy").mpa is None, "no open standard states one"
    # ISO 3506-1, stress at 0.2 % strain of studs
    assert {k: PROPERTY_CLASSES[k].mpa for k in ("A4-50", "A4-70", "A4-80")} == {
        "A4-50": 210, "A4-70": 450, "A4-80": 600
    }  # fmt: skip


def test_the_weakest_partner_decides_and_an_unknown_one_leaves_it_open() -> None:
    assert weakest([DUPLEX, PLAIN]) == PLAIN
    unknown = Yield(None, SIZE)
    assert weakest([DUPLEX, unknown]) is None
    assert yield_limit([DUPLEX, unknown], 0.9, "flank") is None
    limit = yield_limit([DUPLEX, PLAIN], 0.9, "flank")
    assert limit is not None
    assert (limit.low, limit.high, limit.source) == (None, 180.0, PLAIN.source)


# ------------------------------------------------------------------ keys
@given(st.floats(1, 25), st.floats(0.05, 20))
def test_the_torque_does_the_work_of_the_pressure(bar: float, litres: float) -> None:
    moved = Input("V", Topic("figure.displacement"), litres, "L", SIZE, 4)
    found = drive_torque_figure(pressure(bar), moved)
    work_j = sum(bar * 1e5 * litres * 1e-3 / 360 for _ in range(360))
    assert found.value * math.radians(360) == pytest.approx(work_j)


def test_a_key_is_sheared_and_pressed_between_its_round_ends() -> None:
    """A key 8 x 7 x 25 in a shaft of 30: DIN 6885-1, depth in the shaft 4, in the hub 3.3 less play."""
    torque = Figure("t", Topic("figure.drive_torque"), "T", 120.0, "N·m", "", (), SIZE)
    force, shear, shaft, hub = key_figures(torque, KeyJoint(30, 8, 25, 4, 3), DUPLEX, DUPLEX, PLAIN)
    turning = 120.0 / 0.015
    assert force.value == pytest.approx(turning)
    straight = 25 - 2 * (8 / 2)
    strips = [straight / 100] * 100
    assert shear.value * sum(8 * s for s in strips) == pytest.approx(turning)
    assert shaft.value * sum(4 * s for s in strips) == pytest.approx(turning)
    assert hub.value * sum(3 * s for s in strips) == pytest.approx(turning)
    assert shear.limit is not None
    assert shear.limit.high == pytest.approx(450 / math.sqrt(3), rel=1e-3)
    assert shaft.limit is not None
    assert hub.limit is not None
    assert (shaft.limit.high, hub.limit.high) == (405, 180)
    assert [f.judgement for f in (shear, shaft, hub)] == ["inside", "inside", "inside"]
    worked(force, shear, shaft, hub)
    assert key_figures(torque, KeyJoint(30, 4, 8, 4, 3), DUPLEX, DUPLEX, PLAIN)[3].judgement == "outside"
    with pytest.raises(ValueError, match="longer than wide"):
        key_figures(torque, KeyJoint(30, 8, 8, 4, 3), DUPLEX, DUPLEX, PLAIN)


# ------------------------------------------------------------------ faces
@given(st.floats(1e3, 1e5), st.lists(st.tuples(st.floats(5, 60), st.floats(0.5, 20)), min_size=1, max_size=2))
def test_a_face_bears_the_preload_ring_by_ring(force: float, rings: list[tuple[float, float]]) -> None:
    faces = [(a, a + 2 * wide) for a, wide in rings]
    found = face_figure("shoulder", preload(force, 0.5 * force, 2 * force), faces, (DUPLEX, PLAIN))
    borne = 0.0
    for a, b in faces:
        thin = (b - a) / 2 / 1000
        borne += sum(found.value * 2 * math.pi * (a / 2 + (n + 0.5) * thin) * thin for n in range(1000))
    assert borne == pytest.approx(force, rel=1e-6)
    assert found.low == pytest.approx(found.value / 2)
    assert found.high == pytest.approx(found.value * 2)
    assert found.limit is not None
    assert found.limit.high == 200


def test_a_face_is_judged_over_the_whole_span() -> None:
    for force, judged in ((10e3, "inside"), (60e3, "edge"), (150e3, "outside")):
        found = face_figure("shoulder", preload(force, force / 2, 2 * force), [(20, 30)], (PLAIN,))
        assert found.judgement == judged
        worked(found)
    with pytest.raises(ValueError, match="have a width"):
        face_figure("shoulder", preload(1e3), [(30, 30)], (PLAIN,))


# ------------------------------------------------------------------ threads
@pytest.mark.parametrize(("d", "p", "engaged"), [(14, 2, 12), (20, 1.5, 16), (10, 1.5, 8), (36, 3, 30)])
def test_threads_are_sheared_on_the_others_crests(d: float, p: float, engaged: float) -> None:
    """Written anew: the width of a tooth of 60 degrees at a cylinder, off the profile itself (ISO 68-1)."""
    height = math.sqrt(3) / 2 * p
    shaft, nut = strip_figures(preload(20e3), d, p, engaged, DUPLEX, PLAIN)

    def tooth(diameter: float) -> float:
        """Width of the external tooth at a diameter: the sharp profile's crest lies H/8 beyond the nominal one."""
        return 2 * math.tan(math.radians(30)) * (d / 2 + height / 8 - diameter / 2)

    turns = (engaged - p) / p
    minor = d - 2 * 5 / 8 * height
    outer_area = math.pi * minor * turns * tooth(minor)
    inner_area = math.pi * d * turns * (p - tooth(d))
    assert minor_diameter_mm(d, p) == pytest.approx(minor, abs=2e-6)
    assert shaft.value == pytest.approx(20e3 / outer_area, rel=1e-5)
    assert nut.value == pytest.approx(20e3 / inner_area, rel=1e-5)
    assert shaft.limit is not None
    assert nut.limit is not None
    assert shaft.limit.high == pytest.approx(259.65)
    assert nut.limit.high == pytest.approx(115.4)
    worked(shaft, nut)


def test_too_little_thread_is_refused() -> None:
    with pytest.raises(ValueError, match="more than a pitch of 2 mm"):
        strip_figures(preload(1e3), 14, 2, 2, DUPLEX, DUPLEX)


# ------------------------------------------------------------------ studs
def test_studs_share_pressure_and_the_rings_force() -> None:
    area = pressed_area_figure(80, 62)
    stadium = LineString([(-40, 0), (40, 0)]).buffer(62, quad_segs=400)
    assert area.value == pytest.approx(stadium.area, rel=1e-5)
    ring = ring_force_figure(3.53, 0.24, 549.0, 9.0)
    for_each_mm = 9.0 * 3.53 * (1.25 * math.pow(0.24, 1.5) + 50 * math.pow(0.24, 6))
    assert ring.value == pytest.approx(for_each_mm * 549.0)
    assert 2 < for_each_mm < 10, "N for each mm of a ring of usual hardness"
    load, stress = stud_figures(pressure(10), area, ring, 6, 10, 1.5, strength("A4-70"))
    assert load.value == pytest.approx((10e5 * stadium.area * 1e-6 + ring.value) / 6, rel=1e-5)
    assert stress.value == pytest.approx(load.value / 58.0, rel=1e-3), "ISO 898-1: M10, 58.0 mm2"
    assert stress.judgement == "inside"
    worked(area, ring, load, stress)
    bare = stud_figures(pressure(10), area, None, 6, 10, 1.5, None)
    assert bare[0].value == pytest.approx((load.value * 6 - ring.value) / 6)
    assert bare[1].judgement == "no limit"
    assert stud_figures(pressure(100), area, ring, 4, 10, 1.5, strength("A4-70"))[1].judgement == "outside"
    with pytest.raises(ValueError, match=r"0 to 0\.5"):
        ring_force_figure(3.53, 0.6, 549.0, 9.0)


# ------------------------------------------------------------------ plates
def navier(ratio: float) -> tuple[float, float]:
    """Coefficients of bulge and stress of a simply supported plate of sides 1 and ``ratio``: Navier's double series."""
    nu, odd = 0.3, np.arange(1, 120, 2)
    m, n = np.meshgrid(odd, odd)
    k = (m / 1.0) ** 2 + (n / ratio) ** 2
    sign = np.where(((m + n) // 2) % 2 == 1, 1.0, -1.0)
    stiffness = 1 / (12 * (1 - nu**2))
    deflection = float((16 / (math.pi**6 * stiffness) * sign / (m * n * k**2)).sum())
    moment = float((16 / math.pi**4 * sign * (m**2 + nu * (n / ratio) ** 2) / (m * n * k**2)).sum())
    return deflection, 6 * moment


@pytest.mark.parametrize("ratio", [1.0, 1.1, 1.3, 1.5, 1.57, 1.7, 1.9, 2.0, 2.5, 3.0])
def test_plate_coefficients_are_those_of_the_double_series(ratio: float) -> None:
    alpha, beta = coefficients(ratio)
    series = navier(ratio)
    # Straight lines between the rows of the table lie a little low.
    loose = 0.004 if ratio in (1.0, 2.0, 3.0) else 0.04 if ratio == 2.5 else 0.012
    assert (alpha, beta) == pytest.approx(series, rel=loose)


def test_a_plate_bulges_and_is_stressed() -> None:
    plate = Plate(141.0, 221.0, 17.6)
    counts, stress, bulge = plate_figures(pressure(12), plate, MODULUS, LIMIT, LIMIT)
    alpha, beta = navier(221 / 141)
    assert counts.value == 17.6
    assert bulge.value == pytest.approx(alpha * 1.2 * 141**4 / (200e3 * 17.6**3), rel=0.01)
    assert stress.value == pytest.approx(beta * 1.2 * (141 / 17.6) ** 2, rel=0.01)
    worked(counts, stress, bulge)
    holed = plate_figures(pressure(12), replace(plate, hole_mm=40.0), MODULUS, LIMIT, LIMIT)
    assert holed[0].value == pytest.approx(17.6 / math.sqrt(141 / (141 - 40)))
    assert holed[2].value > bulge.value
    with pytest.raises(ValueError, match="no plate"):
        Plate(200, 100, 10)
    with pytest.raises(ValueError, match="at least 1"):
        coefficients(0.9)


# ------------------------------------------------------------------ springs
def test_a_helical_spring_twists_its_wire() -> None:
    """Written anew: energy of torsion along the wire; the correction against Wahl's older one."""
    spring = HelicalSpring(5.0, 30.0, 4.5)
    force = opening_force_figure(pressure(9), 30.0)
    assert force.value == pytest.approx(9e5 * math.pi * 0.015**2)
    pressed, solid, stress = helical_figures(force, spring, 40.0)
    twisting, polar = force.value * 15.0, math.pi * 2.5**4 / 2
    angles = np.linspace(0, 2 * math.pi * 4.5, 1001)
    twist = np.trapezoid(np.full_like(angles, twisting / (73e3 * polar) * 15.0), angles)
    assert pressed.value == pytest.approx(twist * 15.0)
    assert solid.value == pytest.approx(32.5)
    index = 30 / 5
    wahl = (4 * index - 1) / (4 * index - 4) + 0.615 / index
    assert stress.value == pytest.approx(wahl * twisting * 2.5 / polar, rel=0.015)
    assert stress.limit is not None
    assert stress.limit.high == 0.5 * 1450, "EN 10270-3, 1.4310, 4.25 to 5 mm"
    worked(force, pressed, solid, stress)
    assert helical_figures(force, spring, 32.0)[1].judgement == "outside"
    assert helical_figures(force, HelicalSpring(2.9, 26.4, 5), 40)[2].judgement == "outside"
    assert helical_figures(force, HelicalSpring(11, 66, 5), 99)[2].limit is None
    with pytest.raises(ValueError, match="no spring"):
        HelicalSpring(5, 5, 4)


def test_wire_is_weaker_the_thicker_it_is() -> None:
    found = [wire_strength_mpa(d) for d in (0.5, 1, 2, 3, 4, 5, 6, 8, 10)]
    assert found == sorted(found, reverse=True)  # type: ignore[type-var]
    assert wire_strength_mpa(10.01) is None


def test_the_disc_spring_pressed_flat_has_its_reference_stress() -> None:
    """Almen and Laszlo written anew for s = h0; the row 40 x 20.4 x 2.25, h0 0.9 of DIN EN 16983, series A."""
    outer, inner, t, h = 40.0, 20.4, 2.25, 0.9
    d = outer / inner
    k1 = ((d - 1) / d) ** 2 / ((d + 1) / (d - 1) - 2 / math.log(d)) / math.pi
    flat = 4 * 206e3 / (1 - 0.09) * (t / outer) ** 2 / k1 * (h / t) * 3 / math.pi
    found = stress_figure(DiscSpring(outer, inner, t, h), h)
    assert found.value == pytest.approx(flat)
    assert found.judgement == "inside"


# ------------------------------------------------------------------ shafts
@pytest.mark.parametrize(
    ("seal", "fit", "shoulder", "load"),
    [(30.4, 24.0, 50, 66), (36, 30, 40, 80), (45, 45, 60, 90), (30, 24, 70, 66)],
)
def test_a_stepped_shaft_bends_as_its_curvature_adds_up(
    seal: float, fit: float, shoulder: float, load: float
) -> None:
    """Written anew: curvature M/EI integrated twice over thin slices from the bearing on."""
    force = rotor_load_figure(pressure(12), 113.6, 56.0)
    assert force.value == pytest.approx(12e5 * 0.1136 * 0.056)
    found = deflection_figure(force, Overhang(seal, fit, shoulder, load), MODULUS, LIMIT)
    thin = load / 40_000
    x = (np.arange(40_000) + 0.5) * thin
    inertia = np.where(x < shoulder, math.pi * seal**4 / 64, math.pi * fit**4 / 64)
    slope = np.cumsum(force.value * (load - x) / (200e3 * inertia)) * thin
    assert found.value == pytest.approx(float(slope.sum() * thin), rel=1e-4)
    worked(force, found)


def test_a_load_behind_its_bearing_is_refused() -> None:
    with pytest.raises(ValueError, match="before its bearing"):
        deflection_figure(preload(100), Overhang(30, 24, 0, 0), MODULUS, LIMIT)
