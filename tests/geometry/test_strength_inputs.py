"""What strength is worked out from agrees with the solids' own dimensions, for every size and form."""

from __future__ import annotations

import itertools
import math
import subprocess
import sys

import pytest
from benchleaf.geometry import cad_shapes
from benchleaf.geometry.dimensions.options import Options, RotorForm
from benchleaf.geometry.dimensions.size import example_measures, make_size
from benchleaf.geometry.dimensions.stack_up import StackUp
from benchleaf.geometry.head import head as heads
from benchleaf.geometry.head.calculation_inputs import SHAFT_METAL, bearing_mm
from benchleaf.geometry.head.strength_inputs import (
    FINE_EDGE_MM,
    KEY_METAL,
    NUT_METAL,
    POCKET_MOUTH_MM,
    cover_loop,
    cover_plate,
    engaged_mm,
    key_joint,
    nut_face_rings,
    overhang,
    relief_spring,
    rotor_nut_joint,
    screw_joints,
    shoulder_rings,
)
from benchleaf.geometry.parts import nuts, relief, shafts

SIZES = (60.0, 80.0, 118.0, 200.0)
FORMS: tuple[RotorForm, ...] = ("two-wing", "two-lobe", "three-lobe")


def _stack(c: float, rotor: RotorForm = "two-wing", **options: object) -> StackUp:
    size = make_size(f"{c:g}", example_measures(c, rotor))
    return StackUp(size, Options(rotor=rotor, **options))  # type: ignore[arg-type]


STACKS = [
    pytest.param(_stack(c, form, cover="relief"), id=f"{c:g}-{form}")
    for c, form in itertools.product(SIZES, FORMS)
]


def test_metals_and_edges_are_those_of_the_solids() -> None:
    assert (SHAFT_METAL, KEY_METAL, NUT_METAL) == (
        heads.SHAFT_MATERIAL,
        heads.SHAFT_MATERIAL,
        heads.NUT_MATERIAL,
    )
    assert (FINE_EDGE_MM, POCKET_MOUTH_MM) == (cad_shapes.FINE_EDGE_MM, nuts.MOUTH_MM)


@pytest.mark.parametrize("stack", STACKS)
def test_key_and_thread_are_those_of_the_solids(stack: StackUp) -> None:
    found, box = key_joint(stack), shafts.make_key(stack).copy().BoundingBox()
    assert found.width_mm == pytest.approx(box.xlen, abs=1e-3)
    assert found.length_mm == pytest.approx(box.zlen, abs=1e-3)
    assert found.shaft_mm / 2 + found.in_hub_mm == pytest.approx(box.ymax, abs=1e-3)
    assert found.shaft_mm / 2 - found.in_shaft_mm <= box.ymin < found.shaft_mm / 2
    thread = stack.size.rotor_thread
    assert 0.5 * thread.nominal_mm < engaged_mm(stack) < 1.2 * thread.nominal_mm


@pytest.mark.parametrize("stack", STACKS)
def test_faces_lie_where_both_partners_are(stack: StackUp) -> None:
    s = stack.size
    ((inner, outer),) = shoulder_rings(stack)
    assert 2 * s.journal_radius_mm <= inner < outer < s.shaft_diameter_mm
    rings = nut_face_rings(stack)
    assert rings
    for inner, outer in rings:
        assert 2 * stack.pocket_radius < inner < outer < 2 * stack.nut_flange_radius < 2 * stack.recess_radius
    (g0, g1), joint = stack.nut_groove_radii, rotor_nut_joint(stack)
    assert not any(inner < 2 * (g0 + g1) / 2 < outer for inner, outer in rings), (
        "its O-ring's groove bears nothing"
    )
    assert rings[0][0] < joint.face_mm < rings[-1][1]


def test_screws_turn_on_their_heads() -> None:
    joints = screw_joints(_stack(80))
    # ISO 4762 and ISO 4032: head 1.5 d, width across flats 1.6 d for M8 and M10
    screw, nut = joints["body_screw_torque"], joints["cover_nut_torque"]
    for joint in (screw, nut):
        assert joint.nominal_mm < joint.face_mm < 1.6 * joint.nominal_mm
    assert {j.nominal_mm for j in (screw, nut)} == {
        _stack(80).size.body_screw_thread.nominal_mm, _stack(80).size.stud_thread.nominal_mm
    }  # fmt: skip


@pytest.mark.parametrize("stack", STACKS)
def test_cover_and_relief_are_those_of_the_solids(stack: StackUp) -> None:
    s, plate = stack.size, cover_plate(stack)
    reach = max(math.dist((x, y), (math.copysign(s.c / 2, x), 0)) for x, y in stack.stud_points)
    assert plate.short_mm / 2 == pytest.approx(reach, rel=0.1)
    assert plate.long_mm - plate.short_mm == pytest.approx(s.c)
    assert plate.hole_mm == 2 * relief.relief_radius(stack)
    radius, length = cover_loop(stack)
    assert radius == stack.cover_groove[1] < plate.short_mm / 2
    middle = sum(stack.cover_groove) / 2
    assert length == pytest.approx(2 * s.c + 2 * math.pi * middle)
    z0, z1 = relief.relief_spring_z(stack)
    assert relief_spring(stack)[1] == pytest.approx(z1 - z0)
    assert cover_plate(StackUp(s, Options(rotor=stack.options.rotor))).hole_mm == 0


@pytest.mark.parametrize("stack", STACKS)
def test_the_shaft_hangs_over_from_its_bearing(stack: StackUp) -> None:
    found = overhang(stack)
    assert found.to_load_mm - found.to_shoulder_mm == pytest.approx(
        (stack.rotor_rear_z + stack.rotor_front_z) / 2 - stack.shoulder_z
    )
    assert found.to_load_mm - bearing_mm(stack) == pytest.approx(
        (stack.rotor_rear_z + stack.rotor_front_z) / 2
    )
    assert 0 < bearing_mm(stack) < stack.size.gear_case_depth_mm / 2
    assert found.fit_mm < found.seal_mm


def test_inputs_need_no_cad_kernel() -> None:
    code = (
        "import sys; import benchleaf.geometry.head.strength_inputs; "
        "print([m for m in ('cadquery', 'OCP', 'vtk', 'pyvista') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
