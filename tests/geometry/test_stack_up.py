"""The stack-up: figures that have not changed, and rules that hold at every size and form.

``python tests/geometry/test_stack_up.py`` writes the table anew, after a change that is meant.
"""

from __future__ import annotations

import csv
import itertools
import math
from collections.abc import Iterator
from functools import cached_property
from pathlib import Path
from typing import Any, get_args

import pytest
from benchleaf.geometry.dimensions.options import Options, RotorForm, SealForm
from benchleaf.geometry.dimensions.shaft_stock import HEXAGONS_MM
from benchleaf.geometry.dimensions.size import example_measures, make_size
from benchleaf.geometry.dimensions.stack_up import StackUp

TABLE = Path(__file__).with_name("stack_up.csv")
"""Figures of four heads by the usual proportions, mm and degrees."""
HEADS: dict[str, tuple[float, RotorForm, SealForm]] = {
    "55, two-wing, single": (55.0, "two-wing", "single"),
    "80, three-lobe, double": (80.0, "three-lobe", "double"),
    "118, two-lobe, double": (118.0, "two-lobe", "double"),
    "220, two-wing, double": (220.0, "two-wing", "double"),
}
ROTORS: tuple[RotorForm, ...] = get_args(RotorForm)
SEALS: tuple[SealForm, ...] = get_args(SealForm)
FIGURES = tuple(n for n, v in vars(StackUp).items() if isinstance(v, property | cached_property))


def stack_of(
    centre: float, rotor: RotorForm = "two-wing", seal: SealForm = "single", **overrides: float
) -> StackUp:
    return StackUp(
        make_size("t", example_measures(centre, rotor), overrides), Options(rotor=rotor, seal=seal)
    )


def flat(name: str, value: Any) -> Iterator[tuple[str, float]]:
    """Yield the numbers of a figure, those of points and pairs one by one."""
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from flat(f"{name}.{key}", inner)
    elif isinstance(value, tuple):
        for n, inner in enumerate(value):
            yield from flat(f"{name}.{n}", inner)
    else:
        yield name, float(value)


def rows() -> list[dict[str, str]]:
    """Return the table's rows as the program works them out."""
    columns = {
        head: dict(pair for name in FIGURES for pair in flat(name, getattr(stack_of(c, rotor, seal), name)))
        for head, (c, rotor, seal) in HEADS.items()
    }
    # Heads have four, six or eight studs: where one has fewer, its cells are empty.
    names = max(columns.values(), key=len)
    return [
        {"figure": n, **{head: f"{column[n]:.9g}" if n in column else "" for head, column in columns.items()}}
        for n in names
    ]


def test_usual_figures_have_not_changed() -> None:
    """A proportion that changes unmeant changes every booklet; each figure of the stack-up is in the table."""
    with TABLE.open(encoding="utf-8", newline="") as file:
        table = {row.pop("figure"): row for row in csv.DictReader(file)}
    found = {row.pop("figure"): row for row in rows()}
    assert list(table) == list(found)
    for name, row in table.items():
        there = {head: float(value or "nan") for head, value in found[name].items()}
        wanted = {head: float(v or "nan") for head, v in row.items()}
        assert there == pytest.approx(wanted, rel=1e-8, abs=1e-9, nan_ok=True), name


STACKS = [
    pytest.param(stack_of(c, rotor, seal), id=f"{c:g}-{rotor}-{seal}")
    for c, rotor, seal in itertools.product((55.0, 62.0, 80.0, 118.0, 150.0, 220.0, 300.0), ROTORS, SEALS)
]
SMALLEST = [
    pytest.param(stack_of(45.0, rotor, seal), id=f"45-{rotor}-{seal}")
    for rotor, seal in itertools.product(ROTORS, SEALS)
]


@pytest.mark.parametrize("stack", STACKS)
def test_parts_follow_one_another_along_the_shaft(stack: StackUp) -> None:
    s = stack.size
    order = [
        0.0, stack.rotating_ring_rear_z, s.collar_length_mm, stack.rotating_ring_face_z, stack.seal_end_z,
        stack.floor_z, stack.rotor_rear_z, stack.web_rear_z, stack.recess_floor_z, stack.shaft_end_z,
        stack.rotor_front_z, stack.face_z,
    ]  # fmt: skip
    assert order == sorted(order)
    assert len(set(order)) == len(order)
    assert stack.hub_rear_z >= stack.rotor_rear_z
    # From the hub's rear: its O-ring's groove on the seal journal, the shoulder, the key on the rotor fit, the web.
    along = [
        stack.hub_rear_z, *stack.hub_groove_z, stack.shoulder_z, *stack.key_span_z, stack.journal_end_z,
        stack.web_rear_z,
    ]  # fmt: skip
    assert along == sorted(along)
    assert len(set(along)) == len(along)
    if not stack.lobed:
        assert stack.hub_rear_z < stack.hub_step_z
        assert stack.floor_z < stack.boss_bore_z < stack.hub_rear_z
        assert stack.boss_front_z < stack.hub_step_z
    assert stack.floor_z < stack.port_z < stack.face_z
    # The nut is sunk in the rotor, and the shaft ends within the nut.
    nut_front = stack.recess_floor_z + stack.nut_height
    assert nut_front == pytest.approx(stack.rotor_front_z - s.nut_sink_mm)
    assert stack.shaft_end_z < stack.recess_floor_z + stack.pocket_depth + s.nut_thread_length_mm


@pytest.mark.parametrize("stack", STACKS)
def test_parts_fit_into_one_another_about_the_shaft(stack: StackUp) -> None:
    s = stack.size
    assert (
        s.journal_radius_mm
        < s.shaft_radius_mm
        < stack.flats_half
        < stack.collar_radius
        < stack.bearing_radius
    )
    assert stack.collar_radius < stack.rotating_ring_radius < stack.rotating_ring_chamber_radius
    assert stack.stationary_ring_radius < stack.atmosphere_ring_hole_radius < stack.atmosphere_ring_radius
    assert s.disc_spring_inner_mm / 2 < stack.land_radius < s.disc_spring_outer_mm / 2 < stack.pocket_radius
    assert (
        stack.pocket_radius < stack.nut_groove_radii[0] < stack.nut_groove_radii[1] < stack.nut_flange_radius
    )
    assert stack.nut_flange_radius < stack.recess_radius <= stack.recess_room < stack.hub_radius
    # The hexagon's corners lie within the flange, and a socket over them goes into the recess.
    assert s.nut_across_flats_mm / math.sqrt(3) < stack.nut_flange_radius
    assert 1.3 * s.nut_across_flats_mm <= 2 * stack.recess_radius
    assert s.nut_across_flats_mm in HEXAGONS_MM
    # The hub O-ring seals on the seal journal, wider than the key that it passes; the neck goes into the body's hub.
    key = math.hypot(s.journal_radius_mm + s.key_rise_mm, s.key_width_mm / 2)
    assert s.journal_radius_mm < key < s.shaft_radius_mm
    assert s.shaft_radius_mm + stack.hub_gland_depth < stack.hub_radius
    if not stack.lobed:
        assert s.shaft_radius_mm + stack.hub_gland_depth < stack.hub_neck_radius < stack.boss_bore_radius
        assert stack.boss_bore_radius < s.boss_radius_mm
    assert s.bore_radius_mm < stack.cover_groove[0] < stack.cover_groove[1] < stack.half_height


@pytest.mark.parametrize("stack", [*STACKS, *SMALLEST])
def test_fasteners_stand_in_the_wall_and_clear_of_one_another(stack: StackUp) -> None:
    s = stack.size
    holes = [(p, s.stud_hole_mm / 2) for p in stack.stud_points]
    holes += [(p, s.dowels_mm[name] / 2) for name, p in stack.dowel_points.items()]
    sink = s.body_screw_thread.head_diameter_mm / 2 + s.body_screw_head_gap_mm
    holes += [(p, sink) for p in stack.screw_points]
    for (a, ra), (b, rb) in itertools.combinations(holes, 2):
        assert math.dist(a, b) > ra + rb
    for (x, y), r in holes:
        axis = math.copysign(s.c / 2, x)
        # Outside of the cover O-ring's groove, which they would open to the outside.
        assert math.dist((x, y), (axis, 0)) - r > stack.cover_groove[1] + 0.5
        # In the casting's outline, the end ones of six studs in their ears.
        assert abs(y) + r < stack.half_height
        assert abs(x) + r < (stack.half_width if y else stack.half_width + s.ear_radius_mm)


def test_glands_follow_the_section() -> None:
    stack = stack_of(80.0)
    assert stack.radial_gland_mm(3.53) == pytest.approx(0.80 * 3.53)
    assert stack.radial_gland_mm(5.33) == pytest.approx(0.83 * 5.33)
    assert stack.sliding_gland_mm(3.53) == pytest.approx(0.87 * 3.53)
    assert stack.face_gland_mm(3.53) == pytest.approx(0.76 * 3.53)
    assert stack.gland_width_mm(3.53) == pytest.approx(1.35 * 3.53)


def test_an_overridden_dimension_moves_what_follows_from_it() -> None:
    usual, longer = stack_of(80.0), stack_of(80.0, rotating_ring_length_mm=12.0)
    more = 12.0 - usual.size.rotating_ring_length_mm
    for name in ("rotating_ring_face_z", "seal_end_z", "floor_z", "face_z", "shaft_end_z"):
        assert getattr(longer, name) - getattr(usual, name) == pytest.approx(more)
    assert longer.nut_height == usual.nut_height


def test_six_studs_have_two_at_the_ends() -> None:
    points = stack_of(80.0).stud_points
    assert len(points) == 6
    assert sorted(x for x, y in points if y == 0) == pytest.approx([-points[2][0], points[2][0]])
    assert set(points) > set(stack_of(80.0, studs=4.0).stud_points)


@pytest.mark.parametrize("studs", [4.0, 6.0, 8.0])
def test_studs_go_round_clockwise_from_top_left(studs: float) -> None:
    points = stack_of(80.0, studs=studs).stud_points
    assert len(points) == studs
    bearings = [math.degrees(math.atan2(x, y)) % 360 for x, y in points]  # clockwise from +Y
    first = bearings[0]
    assert first > 270, "the upper left corner"
    assert [(b - first) % 360 for b in bearings] == sorted((b - first) % 360 for b in bearings)
    assert sorted(points) == sorted((-x, -y) for x, y in points), "each has one across from it"


if __name__ == "__main__":
    with TABLE.open("w", encoding="utf-8", newline="") as out:
        writer = csv.DictWriter(out, ["figure", *HEADS], lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows())
