"""Torque, preload and thread against published tables and by hand; a torque is judged and never proposed."""

from __future__ import annotations

import doctest

import pytest
from benchleaf.geometry.engineering import preload
from benchleaf.geometry.engineering.figures import by_hand, hand_tolerance
from benchleaf.geometry.engineering.preload import (
    LUBRICATIONS,
    STRENGTHS,
    check_torque,
    lubrication,
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
    assert dry.k_middle > oiled.k_middle > paste.k_middle
    for state in LUBRICATIONS.values():
        assert 0.086 <= state.k_low < state.k_high <= 0.52
        assert state.source.key == f"source.torque_factor.{state.key}"
        assert "Shigley" in str(state.source["work"])
        assert state.not_verified == Topic(f"caveat.threads.{state.key}")


def test_strengths_are_sourced() -> None:
    assert all(s.mpa > 100 and s.source["standard"] for s in STRENGTHS.values())
    assert STRENGTHS["duplex"].source == Topic("source.yield_bars", standard="EN 10088-3", grade="1.4462")


@given(st.floats(1, 500), st.floats(5, 60), STATES)
def test_preload_is_a_span_about_torque_over_factor_and_diameter(
    torque: float, d: float, state: preload.Lubrication
) -> None:
    middle, least, most = preload_figures(torque, PLANT, d, state)
    assert least.value < middle.value < most.value
    assert (middle.low, middle.high) == (least.value, most.value)
    assert middle.value == pytest.approx(1000 * torque / (state.k_middle * d))
    u = state.scatter_percent / 100
    ratio = state.k_high / state.k_low * (1 + u) / (1 - u)
    assert most.value / least.value == pytest.approx(ratio)


def test_the_span_is_wide_and_names_its_source() -> None:
    middle = preload_figures(60, PLANT, 14, lubrication("lubricated"))[0]
    assert middle.low == pytest.approx(60e3 * 0.75 / (0.20 * 14))
    assert middle.high == pytest.approx(60e3 * 1.25 / (0.15 * 14))
    assert middle.span == Topic("span.preload")
    assert middle.inputs[0].source == PLANT
    assert middle.inputs[1].topic == Topic("input.torque_factor", threads="lubricated")
    assert middle.inputs[0].shown == "60"


@given(st.floats(5, 400), st.sampled_from([(10, 1.5), (14, 2), (24, 3), (20, 1.5)]), STATES)
def test_a_reader_can_work_every_figure_again(
    torque: float, thread: tuple[float, float], state: preload.Lubrication
) -> None:
    torque = round(torque, 1)
    middle, least, most = preload_figures(torque, PLANT, thread[0], state)
    stress = thread_stress_figure(middle, *thread, strength("duplex"))
    for figure in (middle, least, most, stress, stress_area_figure(*thread)):
        assert abs(by_hand(figure) - figure.value) <= hand_tolerance(figure), figure.working()


def test_thread_stress_is_judged_over_its_whole_span() -> None:
    for torque, judged in ((20, "inside"), (110, "edge"), (400, "outside")):
        middle = preload_figures(torque, PLANT, 14, lubrication("lubricated"))[0]
        assert thread_stress_figure(middle, 14, 2, strength("duplex")).judgement == judged


@pytest.mark.parametrize("torque", [0.0, -5.0, float("nan"), float("inf")])
def test_a_torque_that_cannot_be_is_refused(torque: float) -> None:
    with pytest.raises(ValueError, match="a torque is above zero"):
        preload_figures(torque, PLANT, 14, lubrication("dry"))


def _doubts(torque: float, spring: float = 5200.0) -> list[tuple[str, bool]]:
    found = check_torque(torque, 14, 2, lubrication("lubricated"), strength("duplex"), spring)
    return [(d.kind, d.sure) for d in found]


def test_doubts_come_in_their_order_as_torque_grows() -> None:
    assert _doubts(2) == [("too low", True)]
    assert _doubts(15) == [("too low", False)]
    assert _doubts(50) == []
    assert _doubts(150) == [("too high", False)]
    assert _doubts(400) == [("too high", True)]
    assert _doubts(100, spring=60e3) == [("too low", True), ("too high", False)]


@given(st.floats(0.5, 1000), st.floats(100, 40e3), STATES, st.sampled_from(sorted(STRENGTHS)))
def test_doubts_are_exactly_the_limits_that_are_broken(
    torque: float, spring: float, state: preload.Lubrication, grade: str
) -> None:
    found = check_torque(torque, 20, 2.5, state, strength(grade), spring)
    _, least, most = preload_figures(torque, PLANT, 20, state)
    bears = strength(grade).mpa * stress_area_mm2(20, 2.5)
    low = [d for d in found if d.kind == "too low"]
    high = [d for d in found if d.kind == "too high"]
    assert bool(low) == (least.value < spring)
    assert bool(high) == (most.value > bears)
    assert all(d.sure == (most.value < spring) for d in low)
    assert all(d.sure == (least.value > bears) for d in high)


@given(st.integers(1, 1000), STATES)
def test_a_doubt_tells_the_preload_that_speaks_against_the_torque(
    torque: int, state: preload.Lubrication
) -> None:
    proof = strength("316L")
    _, least, most = preload_figures(torque, PLANT, 14, state)
    for doubt in check_torque(torque, 14, 2, state, proof, 5200.0):
        assert (doubt.torque_nm, doubt.threads) == (torque, state.key)
        low = doubt.kind == "too low"
        assert doubt.gives_n == (most.value if low == doubt.sure else least.value)
        assert doubt.against_n == (5200.0 if low else pytest.approx(200 * stress_area_mm2(14, 2)))
        assert (doubt.gives_n < doubt.against_n) == low
        assert doubt.strength == (None if low else proof.source)


def test_unknown_names_are_answered_with_the_nearest() -> None:
    with pytest.raises(KeyError, match="no state of lubrication 'antiseize'; did you mean anti-seize"):
        lubrication("antiseize")
    with pytest.raises(KeyError, match=r"no strength 'A4-90'; did you mean A4-80\? Known are 316L"):
        strength("A4-90")
