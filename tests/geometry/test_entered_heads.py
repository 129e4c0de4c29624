"""Heads as one measures them on pumps, with stock parts of standards: each can be entered, from C = 45 to 300 mm.

All are invented. What the usual proportions would give differs from each in several dimensions.
"""

from __future__ import annotations

from typing import Any

import pytest
from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.dimensions.size import example_measures, make_size
from benchleaf.geometry.dimensions.size_checks import check_options
from benchleaf.geometry.dimensions.stack_up import StackUp

HEADS: list[tuple[float, dict[str, Any], dict[str, float]]] = [
    (45, {"rotor": "three-lobe"}, {"studs": 4, "stud_thread_mm": 6, "large_dowel_mm": 6, "small_dowel_mm": 4}),
    (50, {"rotor": "three-lobe", "cover_nuts": "wing"}, {"cover_thickness_mm": 10, "seal_pins": 1, "face_width_mm": 2}),
    (56, {}, {"studs": 6, "stud_thread_mm": 5, "wall_mm": 10.5, "seal_pin_diameter_mm": 1.5}),
    (65, {"seal": "double"}, {"wave_spring_height_mm": 6, "wave_spring_waves": 3, "ferrule_mm": 64}),
    (72, {"cover": "relief"}, {"relief_bore_mm": 32, "relief_wire_mm": 5, "relief_spring_mm": 24}),
    (80, {"cover": "jacketed"}, {"studs": 4, "stud_thread_mm": 12, "cover_thickness_mm": 25, "wall_mm": 20}),
    # Dowels of half and of three eighths of an inch, pins of 3/32.
    (80, {"seal": "double"}, {"large_dowel_mm": 12.7, "small_dowel_mm": 9.525, "seal_pin_diameter_mm": 2.381}),
    (95, {"rotor": "two-lobe"}, {"body_screw_thread_mm": 10, "large_dowel_mm": 12, "small_dowel_mm": 12}),
    (110, {"rotor": "two-lobe", "seal": "double"}, {"studs": 8, "stud_thread_mm": 10, "gear_case_depth_mm": 210}),
    (130, {"body": "free-draining"}, {"stationary_ring_length_mm": 32, "seal_pins": 3, "seal_wall_mm": 3.5}),
    (160, {"cover": "relief", "seal": "double"}, {"studs": 6, "stud_thread_mm": 16, "cover_thickness_mm": 30}),
    (210, {"rotor": "three-lobe", "cover_nuts": "wing"}, {"studs": 6, "wall_mm": 36, "front_wall_mm": 20}),
    (300, {"seal": "double", "cover": "jacketed"}, {"studs": 8, "stud_thread_mm": 30, "gear_case_depth_mm": 600}),
]  # fmt: skip


@pytest.mark.parametrize(
    ("centre", "options", "given"), HEADS, ids=[f"{h[0]:g}-{n}" for n, h in enumerate(HEADS)]
)
def test_a_measured_head_can_be_entered(
    centre: float, options: dict[str, Any], given: dict[str, float]
) -> None:
    chosen = Options(**options)
    size = make_size("measured", example_measures(float(centre), chosen.rotor), given)
    check_options(size, chosen)
    for name, value in given.items():
        assert getattr(size, name) == value
    usual = make_size("usual", example_measures(float(centre), chosen.rotor))
    assert any(getattr(usual, name) != value for name, value in given.items())
    assert len(StackUp(size, chosen).stud_points) == size.studs
