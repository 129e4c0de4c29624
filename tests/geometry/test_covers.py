"""Covers: the jacket leaves wing nuts the room to turn, at every size, rotor form and row of studs."""

from __future__ import annotations

import math

import pytest
from benchleaf.geometry.cad_shapes import cylinder
from benchleaf.geometry.dimensions.options import CoverNuts, Options, RotorForm
from benchleaf.geometry.dimensions.size import example_measures, make_size
from benchleaf.geometry.dimensions.stack_up import StackUp
from benchleaf.geometry.dimensions.threads import thread_table
from benchleaf.geometry.parts.covers import jacket_radius, make_cover
from benchleaf.geometry.parts.fasteners import make_wing_nut, nut_height, wing_reach

ROTORS: tuple[RotorForm, ...] = ("two-wing", "two-lobe", "three-lobe")


def stack_of(
    centre: float, rotor: RotorForm, nuts: CoverNuts, overrides: dict[str, float] | None = None
) -> StackUp:
    size = make_size("test", example_measures(centre, rotor), overrides)
    return StackUp(size, Options(rotor=rotor, cover="jacketed", cover_nuts=nuts))


def room_mm(stack: StackUp) -> float:
    """Return the least room between the jacket and a turning wing nut: the jacket is a strip about the shafts' axes."""
    half = stack.size.c / 2
    gaps = []
    for x, y in stack.stud_points:
        on_strip = (min(max(x, -half), half), 0.0)
        gaps.append(math.dist((x, y), on_strip) - jacket_radius(stack) - wing_reach(stack))
    return min(gaps)


@pytest.mark.parametrize("rotor", ROTORS)
@pytest.mark.parametrize("studs", [4.0, 6.0, 8.0])
def test_jacket_leaves_every_wing_nut_its_room(rotor: RotorForm, studs: float) -> None:
    for centre in [*range(45, 301, 5)]:
        usual = stack_of(centre, rotor, "wing", {"studs": studs})
        # The thickest studs and the thinnest wall that a size may be given leave the least room.
        thread = usual.size.stud_thread.nominal_mm
        thick = max(t.nominal_mm for t in thread_table() if t.nominal_mm <= 1.2 * thread)
        tight = {"studs": studs, "stud_thread_mm": thick, "wall_mm": 0.95 * usual.size.wall_mm}
        for stack in (usual, stack_of(centre, rotor, "wing", tight)):
            c = stack.size.c
            assert room_mm(stack) >= 0.01 * c - 1e-9, (centre, rotor)
            assert 0.4 * c < jacket_radius(stack) <= 0.60 * c, (centre, rotor)


@pytest.mark.parametrize("centre", [60.0, 125.0, 200.0])
def test_hex_nuts_leave_the_jacket_its_full_size(centre: float) -> None:
    for rotor in ROTORS:
        assert jacket_radius(stack_of(centre, rotor, "hex")) == pytest.approx(0.60 * centre)
    assert jacket_radius(stack_of(centre, "two-wing", "wing")) == pytest.approx(0.60 * centre)
    assert (jacket_radius(stack_of(centre, "three-lobe", "wing")) < 0.60 * centre) == (centre != 60.0)


@pytest.mark.parametrize("centre", [62.0, 80.0, 125.0])
def test_turning_circle_is_free_in_the_solids(centre: float) -> None:
    """A wing nut sweeps its reach in the solid; it cuts into no cover made for it, but into one for hex nuts."""
    stack = stack_of(centre, "three-lobe", "wing")
    tip = max(math.hypot(v.X, v.Y) for v in make_wing_nut(stack).Vertices())
    assert tip == pytest.approx(wing_reach(stack), rel=1e-6)
    thick = stack.size.cover_thickness_mm

    def cut_in(cover_for: CoverNuts, radius: float) -> float:
        cover = make_cover(stack_of(centre, "three-lobe", cover_for))
        x, y = stack.stud_points[0]
        return float(
            cover.intersect(cylinder(radius, thick + 0.01, thick + nut_height(stack), x, y)).Volume()
        )

    assert cut_in("wing", wing_reach(stack) + (0.01 - 1e-4) * centre) == 0.0
    assert cut_in("wing", wing_reach(stack) + (0.01 + 1e-3) * centre) > 0.0
    assert cut_in("hex", wing_reach(stack)) > 0.0
