"""The relief valve: its spring as a solid, and what shear stress its proportions give by EN 13906-1."""

from __future__ import annotations

import itertools
import math

import pytest
from benchleaf.geometry.dimensions.stack_up import StackUp
from benchleaf.geometry.parts.relief import (
    CLOSED_TURN_GAP_MM,
    make_relief_piston,
    make_relief_spring,
    relief_radius,
    relief_spring_z,
    relief_step_z,
)
from benchleaf.geometry.parts.rings import LOOSE_MM
from probing import Probe, crossings
from stacks import stack_of

CENTRES = (45.0, 80.0, 118.0, 220.0, 300.0)
BAR = 0.1
"""One bar in N/mm²."""
SHEAR_MODULUS = 73_000.0
"""N/mm², 1.4310 (EN 10270-3), typed from general knowledge."""


def stress(stack: StackUp, pressure_bar: float, lift_mm: float = 0.0) -> float:
    """Return the corrected shear stress of the spring that opens at ``pressure_bar``, lifted by ``lift_mm``, N/mm²."""
    s = stack.size
    mean, wire = s.relief_spring_mm, s.relief_wire_mm
    rate = SHEAR_MODULUS * wire**4 / (8 * mean**3 * s.relief_spring_turns)
    force = pressure_bar * BAR * math.pi / 4 * s.relief_bore_mm**2 + rate * lift_mm
    index = mean / wire
    return 8 * force * mean / (math.pi * wire**3) * (index + 0.5) / (index - 0.75)


@pytest.mark.parametrize("centre", CENTRES)
def test_spring_bears_usual_set_pressures_at_every_size(centre: float) -> None:
    stack = stack_of(centre, cover="relief")
    s = stack.size
    assert 4 <= s.relief_spring_mm / s.relief_wire_mm <= 20, "the standard's range of the spring index"
    # Alike at all sizes, since piston and spring grow together.
    assert stress(stack, 10.0) == pytest.approx(374.9, rel=1e-3)
    # Drawn stainless wire: 0.56 of a strength that falls to about 1300 N/mm² at 10 mm.
    assert stress(stack, 12.0, lift_mm=0.05 * s.c) < 0.56 * 1300
    # Room for the solid spring, the least gaps between its turns, and a lift of 0.05 C.
    fitted = relief_spring_z(stack)[1] - relief_spring_z(stack)[0]
    solid = (s.relief_spring_turns + 2) * s.relief_wire_mm
    gaps = s.relief_spring_turns * (
        0.0015 * s.relief_spring_mm**2 / s.relief_wire_mm + 0.1 * s.relief_wire_mm
    )
    assert fitted - solid - gaps > 0.05 * s.c
    # It is pressed by its set force already when the piston is shut.
    rate = SHEAR_MODULUS * s.relief_wire_mm**4 / (8 * s.relief_spring_mm**3 * s.relief_spring_turns)
    free = fitted + 10 * BAR * math.pi / 4 * s.relief_bore_mm**2 / rate
    assert free < 4 * s.relief_spring_mm, "it does not buckle: short for its diameter"


@pytest.mark.parametrize("centre", [45.0, 80.0, 220.0])
def test_spring_is_a_round_wire_with_closed_turns(centre: float) -> None:
    stack = stack_of(centre, cover="relief")
    s, (spring, elastic) = stack.size, make_relief_spring(stack)
    z0, z1 = relief_spring_z(stack)
    box = spring.copy().BoundingBox()
    assert box.zmax - box.zmin == pytest.approx(z1 - z0 - 2 * LOOSE_MM, abs=0.01 * s.c)
    assert LOOSE_MM - 1e-6 <= box.zmin < box.zmax <= z1 - z0 - LOOSE_MM + 1e-6
    assert box.xmax == pytest.approx((s.relief_spring_mm + s.relief_wire_mm) / 2, rel=1e-3)
    # Wire's section times the length of its middle line (Pappus): turns of two pitches.
    closed = s.relief_wire_mm + CLOSED_TURN_GAP_MM
    rise = (z1 - z0 - 2 * LOOSE_MM - s.relief_wire_mm - 2 * closed) / s.relief_spring_turns
    round_mm = math.pi * s.relief_spring_mm
    length = 2 * math.hypot(round_mm, closed) + s.relief_spring_turns * math.hypot(round_mm, rise)
    assert spring.Volume() == pytest.approx(math.pi / 4 * s.relief_wire_mm**2 * length, rel=2e-3)
    assert elastic.squeeze_mm == 0
    # Across from the wire's end it passes once each turn, nowhere touching itself.
    met = crossings(spring, (-s.relief_spring_mm / 2, 0.0, -1.0), (0, 0, 1))
    starts = met[::2]
    assert len(starts) == s.relief_spring_turns + 2
    steps = [b - a for a, b in itertools.pairwise(starts)]
    assert steps[1:-1] == pytest.approx([rise] * len(steps[1:-1]), rel=0.03)
    assert steps[0] == pytest.approx(steps[-1], abs=0.02 * rise)
    assert s.relief_wire_mm < steps[0] < rise


def test_piston_slides_in_its_bore_and_stops_on_its_step() -> None:
    stack = stack_of(80.0, cover="relief")
    s, piston = stack.size, make_relief_piston(stack)
    box = piston.copy().BoundingBox()
    assert box.xmax == pytest.approx(relief_radius(stack) + s.piston_collar_step_mm, abs=1e-5)
    assert box.zmax == pytest.approx(relief_step_z(stack) + s.piston_guide_length_mm, abs=1e-5)
    below = Probe(piston).radius(relief_step_z(stack) - 0.5, 40.0)
    assert s.fit_gap_mm < relief_radius(stack) - below < 0.1
