"""Torque, preload and thread against published tables and by hand; a torque is judged and never proposed."""

from __future__ import annotations

import doctest
import math

import pytest
from benchleaf.geometry.engineering import preload
from benchleaf.geometry.engineering.figures import by_hand, hand_tolerance
from benchleaf.geometry.engineering.preload import (
    LUBRICATIONS,
    STRENGTHS,
    ThreadAndFace,
    check_torque,
    lubrication,
    mean_face_mm,
    preload_figures,
    strength,
    stress_area_figure,
    stress_area_mm2,
    thread_stress_figure,
)
from benchleaf.geometry.engineering.topics import Topic
from hypothesis import given
from hypothesis import strategies as st

PLANT = Topic("source.plant")
STATES = st.sampled_from(list(LUBRICATIONS.values()))
NUT = ThreadAndFace(14, 2, 30)
BIG = ThreadAndFace(20, 2.5, 40)


def test_examples_in_the_docstrings_hold() -> None:
    assert doctest.testmod(preload).failed == 0


@pytest.mark.parametrize(
    ("d", "p", "area"),
    # ISO 898-1, tables of proof loads: coarse, then fine
    [(5, 0.8, 14.2), (6, 1, 20.1), (8, 1.25, 36.6), (10, 1.5, 58.0), (12, 1.75, 84.3), (14, 2, 115), (16, 2, 157),
     (20, 2.5, 245), (24, 3, 353), (30, 3.5, 561), (36, 4, 817),
     (8, 1, 39.2), (10, 1.25, 61.2), (12, 1.5, 88.1), (16, 1.5, 167), (20, 1.5, 272), (24, 2, 384), (30, 2, 621)],
)  # fmt: skip
def test_stress_areas_are_those_of_the_standard(d: float, p: float, area: float) -> None:
    assert float(f"{stress_area_mm2(d, p):.3g}") == area
    assert stress_area_figure(d, p).value == pytest.approx(stress_area_mm2(d, p))


def test_stress_area_is_that_of_the_mean_of_pitch_and_root_diameter() -> None:
    """ISO 898-1: As = pi/4 ((d2 + d3)/2)^2 with d2 = d - 0.6495 p and d3 = d - 1.2269 p of ISO 724."""
    d, p = 20.0, 2.5
    mean = ((d - 0.649519 * p) + (d - 1.226869 * p)) / 2
    assert stress_area_mm2(d, p) == pytest.approx(3.14159265 / 4 * mean**2, rel=1e-5)


def test_lubrications_are_sourced_and_in_the_order_of_friction() -> None:
    dry, oiled, paste = (LUBRICATIONS[k] for k in ("dry", "lubricated", "anti-seize"))
    assert dry.friction > oiled.friction > paste.friction
    for state, grade in ((dry, "D"), (oiled, "C"), (paste, "B")):
        assert 0.04 <= state.friction_low < state.friction_high <= 0.5
        assert state.source == Topic("source.friction", standard="VDI 2230", grade=grade)
        assert state.not_verified == Topic(f"caveat.threads.{state.key}")


def test_strengths_are_sourced() -> None:
    assert all(s.mpa > 100 and s.source["standard"] for s in STRENGTHS.values())
    assert STRENGTHS["duplex"].source == Topic("source.yield_bars", standard="EN 10088-3", grade="1.4462")


def turned_by_hand(joint: ThreadAndFace, preload_n: float, friction: float) -> float:
    """The torque of a preload, N·m, from the slope of the thread's flank: an inclined plane wound up, and a face.

    Written anew: a block of ``preload_n`` is pushed up the helix of the pitch diameter, on flanks of 60 degrees that
    press harder than the axial force by 1/cos 30.
    """
    d2 = joint.nominal_mm - 3 * math.sqrt(3) / 8 * joint.pitch_mm
    lead = math.atan(joint.pitch_mm / (math.pi * d2))
    rubbing = math.atan(friction / math.cos(math.radians(30)))
    thread = preload_n * d2 / 2 * math.tan(lead + rubbing)
    return (thread + friction * preload_n * joint.face_mm / 2) / 1000


@given(st.floats(1, 500), st.sampled_from([(10, 1.5), (14, 2), (24, 3), (20, 1.5)]), STATES)
def test_preload_is_that_of_a_block_pushed_up_the_thread(
    torque: float, thread: tuple[float, float], state: preload.Lubrication
) -> None:
    joint = ThreadAndFace(*thread, 2 * thread[0])
    middle, least, most = preload_figures(torque, PLANT, joint, state)
    assert least.value < middle.value < most.value
    assert (middle.low, middle.high) == (least.value, most.value)
    # The standard's sum leaves out a product of slope and friction: below 1 %.
    assert turned_by_hand(joint, middle.value, state.friction) == pytest.approx(torque, rel=0.012)
    off = 0.06 if torque <= 10 else 0.04
    assert turned_by_hand(joint, least.value, state.friction_high) == pytest.approx(
        torque * (1 - off), rel=0.02
    )
    assert turned_by_hand(joint, most.value, state.friction_low) == pytest.approx(
        torque * (1 + off), rel=0.012
    )
    assert joint.preload_n(torque, state.friction) == pytest.approx(middle.value)


@given(st.lists(st.tuples(st.floats(5, 40), st.floats(0.5, 10)), min_size=1, max_size=3))
def test_the_face_turns_on_its_mean_diameter(rings: list[tuple[float, float]]) -> None:
    """Moment of even pressure, summed over thin rings: M = µ·p·Σ 2π·r²·dr."""
    faces = [(inner, inner + 2 * wide) for inner, wide in rings]
    moment = area = 0.0
    for inner, outer in faces:
        thin = (outer - inner) / 2 / 2000
        for n in range(2000):
            r = inner / 2 + (n + 0.5) * thin
            moment += 2 * math.pi * r * r * thin
            area += 2 * math.pi * r * thin
    assert mean_face_mm(faces) == pytest.approx(2 * moment / area, rel=1e-5)


def test_a_nut_without_a_face_is_refused() -> None:
    with pytest.raises(ValueError, match="a ring to bear on"):
        mean_face_mm([(20.0, 20.0)])


def test_a_wider_face_takes_more_of_the_torque() -> None:
    narrow, wide = (
        preload_figures(60, PLANT, ThreadAndFace(14, 2, d), lubrication("anti-seize"))[0].value
        for d in (20, 34)
    )
    assert narrow / wide > 1.3, "one factor for all nuts would give both the same"


def test_the_span_is_wide_and_names_its_source() -> None:
    middle = preload_figures(60, PLANT, NUT, lubrication("lubricated"))[0]
    assert middle.span == Topic("span.preload")
    assert middle.low is not None
    assert middle.high is not None
    assert middle.high / middle.low > 1.5
    assert middle.inputs[0].source == PLANT
    factors = {i.symbol: i.topic for i in middle.inputs if i.symbol.startswith("µ")}
    assert factors == {
        "µ₁": Topic("input.thread_friction", threads="lubricated"),
        "µ₂": Topic("input.face_friction", threads="lubricated"),
    }
    assert middle.inputs[0].shown == "60"


@given(st.floats(5, 400), st.sampled_from([(10, 1.5), (14, 2), (24, 3), (20, 1.5)]), STATES)
def test_a_reader_can_work_every_figure_again(
    torque: float, thread: tuple[float, float], state: preload.Lubrication
) -> None:
    torque = round(torque, 1)
    joint = ThreadAndFace(*thread, 31.7)
    middle, least, most = preload_figures(torque, PLANT, joint, state)
    stress = thread_stress_figure(middle, joint, state, strength("duplex"))
    for figure in (middle, least, most, stress, stress_area_figure(*thread)):
        assert abs(by_hand(figure) - figure.value) <= hand_tolerance(figure), figure.working()


@given(st.floats(20, 400), STATES)
def test_torsion_adds_to_tension_as_in_a_round_bar(torque: float, state: preload.Lubrication) -> None:
    """Written anew: principal stresses of a round bar of the stress diameter, pulled and twisted until the shear is the
    same throughout its section; distortion energy."""
    middle = preload_figures(torque, PLANT, NUT, state)[0]
    found = thread_stress_figure(middle, NUT, state, strength("duplex"))
    r = (14 - 0.9382 * 2) / 2
    pull = middle.value / (math.pi * r**2)
    twisting = middle.value * (
        2 / (2 * math.pi) + state.friction * (14 - 0.649519 * 2) / 2 / math.cos(math.pi / 6)
    )
    shear = twisting / sum(
        2 * math.pi * x * x * r / 1000 for x in ((n + 0.5) * r / 1000 for n in range(1000))
    )
    radius = math.hypot(pull / 2, shear)
    a, b = pull / 2 + radius, pull / 2 - radius
    assert found.value == pytest.approx(math.sqrt(a * a - a * b + b * b), rel=1e-4)
    assert found.low is not None
    assert found.high is not None
    assert found.low < found.value < found.high
    assert found.value > 1.1 * pull


@pytest.mark.parametrize(
    ("d", "p", "friction", "kilonewtons"),
    # VDI 2230, table A1: assembly preload of shank bolts 8.8 at 0.9 of a yield of 640 MPa
    [(10, 1.5, 0.12, 29.6), (12, 1.75, 0.12, 43.0), (16, 2, 0.12, 80.9)],
)
def test_what_a_thread_bears_is_that_of_the_published_table(
    d: float, p: float, friction: float, kilonewtons: float
) -> None:
    found = ThreadAndFace(d, p, 1.4 * d).bears_n(friction, 0.9 * 640) / 1000
    assert found == pytest.approx(kilonewtons, rel=0.003)


def test_thread_stress_is_judged_over_its_whole_span() -> None:
    for torque, judged in ((20, "inside"), (160, "edge"), (220, "outside")):
        state = lubrication("lubricated")
        middle = preload_figures(torque, PLANT, NUT, state)[0]
        assert thread_stress_figure(middle, NUT, state, strength("duplex")).judgement == judged


@pytest.mark.parametrize("torque", [0.0, -5.0, float("nan"), float("inf")])
def test_a_torque_that_cannot_be_is_refused(torque: float) -> None:
    with pytest.raises(ValueError, match="a torque is above zero"):
        preload_figures(torque, PLANT, NUT, lubrication("dry"))


def _doubts(torque: float, spring: float = 5200.0) -> list[tuple[str, bool]]:
    found = check_torque(torque, NUT, lubrication("lubricated"), strength("duplex"), spring)
    return [(d.kind, d.sure) for d in found]


def test_doubts_come_in_their_order_as_torque_grows() -> None:
    assert _doubts(2) == [("too low", True)]
    assert _doubts(20) == [("too low", False)]
    assert _doubts(50) == []
    assert _doubts(150) == [("too high", False)]
    assert _doubts(400) == [("too high", True)]
    assert _doubts(160, spring=60e3) == [("too low", True), ("too high", False)]


@given(st.floats(0.5, 1000), st.floats(100, 40e3), STATES, st.sampled_from(sorted(STRENGTHS)))
def test_doubts_are_exactly_the_limits_that_are_broken(
    torque: float, spring: float, state: preload.Lubrication, grade: str
) -> None:
    found = check_torque(torque, BIG, state, strength(grade), spring)
    middle, least, most = preload_figures(torque, PLANT, BIG, state)
    stress = thread_stress_figure(middle, BIG, state, strength(grade))
    assert stress.high is not None
    assert stress.low is not None
    low = [d for d in found if d.kind == "too low"]
    high = [d for d in found if d.kind == "too high"]
    assert bool(low) == (least.value < spring)
    assert all(d.sure == (most.value < spring) for d in low)
    # The figure on the page and the doubt never disagree.
    assert bool(high) == (stress.high > strength(grade).mpa * (1 + 1e-12))
    if high:
        assert high[0].sure == (stress.low > strength(grade).mpa)


@given(st.integers(1, 1000), STATES)
def test_a_doubt_tells_the_preload_that_speaks_against_the_torque(
    torque: int, state: preload.Lubrication
) -> None:
    proof = strength("316L")
    _, least, most = preload_figures(torque, PLANT, NUT, state)
    for doubt in check_torque(torque, NUT, state, proof, 5200.0):
        assert (doubt.torque_nm, doubt.threads) == (torque, state.key)
        low = doubt.kind == "too low"
        assert doubt.gives_n == (most.value if low == doubt.sure else least.value)
        friction = state.friction_high if doubt.sure else state.friction_low
        assert doubt.against_n == (5200.0 if low else NUT.bears_n(friction, 200))
        assert (doubt.gives_n < doubt.against_n) == low
        assert doubt.strength == (None if low else proof.source)


def test_unknown_names_are_answered_with_the_nearest() -> None:
    with pytest.raises(KeyError, match="no state of lubrication 'antiseize'; did you mean anti-seize"):
        lubrication("antiseize")
    with pytest.raises(KeyError, match=r"no strength 'A4-90'; did you mean A4-80\? Known are 316L"):
        strength("A4-90")
