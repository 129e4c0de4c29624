"""What facets tell of the faces that they stand for is what the kernel says: axes, round or not, open or not."""

from __future__ import annotations

from collections.abc import Callable

import cadquery as cq
import numpy as np
import pytest
import trimesh
from benchleaf.geometry.assembly import Part
from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.dimensions.size import example_measures, make_size
from benchleaf.geometry.frame import Place, Vec3
from benchleaf.geometry.head.head import Head, make_head
from benchleaf.geometry.meshes.closed_bodies import is_open_about_z, is_round, make_manifold
from benchleaf.geometry.meshes.face_axes import face_axes
from benchleaf.geometry.meshes.mesh_faces import holds_point, is_round_mesh
from benchleaf.geometry.solid import MeshSolid, Solid
from mesh_samples import as_trimesh, bracket, inside, mesh_solid


@pytest.fixture(scope="module")
def head() -> Head:
    return make_head("T-1", make_size("80", example_measures(80.0)), Options(seal="double", cover="relief"))


def different(head: Head) -> list[Part]:
    """Return one part of each solid."""
    return list({id(p.solid): p for p in head}.values())


def as_mesh(part: Part, tolerance_mm: float, angle_deg: float) -> Part:
    assert isinstance(part.solid, cq.Shape)
    return Part(
        part.key, part.kind, part.name, part.material, mesh_solid(part.solid, tolerance_mm, angle_deg)
    )


@pytest.mark.parametrize(("tolerance", "angle"), [(0.05, 12.0), (0.2, 30.0)])
def test_parts_of_a_head_are_round_and_open_as_the_kernel_says(
    head: Head, tolerance: float, angle: float
) -> None:
    told = {p.key: (is_round(p), is_open_about_z(p)) for p in different(head)}
    asked = {p.key: as_mesh(p, tolerance, angle) for p in different(head)}
    assert {key: (is_round(m), is_open_about_z(m)) for key, m in asked.items()} == told
    assert {r for r, _ in told.values()} == {True, False}
    assert {o for _, o in told.values()} == {True, False, None}


def leading(solid: Solid, share: float) -> list[Vec3]:
    """Return the axes of faces that hold at least ``share`` of all that have one, largest first, signs settled."""
    areas: dict[Vec3, float] = {}
    for axis, area in face_axes(solid):
        d = np.array(axis)
        d = d * np.sign(d[np.argmax(np.abs(d) > 1e-3)])
        key = tuple((np.round(d, 2) + 0.0).tolist())
        areas[key] = areas.get(key, 0.0) + area
    total = sum(areas.values())
    return [a for a, area in sorted(areas.items(), key=lambda i: -i[1]) if area >= share * total]


def test_leading_axes_of_machined_parts_are_those_of_the_kernel(head: Head) -> None:
    for part in different(head):
        if part.elastic or "spring" in part.kind:
            continue  # bent of wire or rings: no face of theirs is plane or cylindrical
        asked, told = leading(as_mesh(part, 0.05, 12.0).solid, 0.05), leading(part.solid, 0.05)
        assert (asked[0], set(asked)) == (told[0], set(told)), part.key


def test_axes_of_a_part_that_lies_askew() -> None:
    place = Place.turn(33.0, (1.0, 2.0, 3.0))
    found = dict(face_axes(mesh_solid(bracket()).moved(place)))
    up = np.array(place.direction((0.0, 0.0, 1.0)))
    lead = max(found, key=lambda a: found[a])
    assert abs(float(up @ lead)) > 1 - 1e-9


def test_a_plane_counts_with_the_area_that_trimesh_finds() -> None:
    solid = mesh_solid(cq.Workplane().box(40, 30, 10).edges("|Z").fillet(4).faces(">Z").hole(6))
    witness = as_trimesh(solid.points, solid.triangles)
    flats = [
        (n, a) for n, a in zip(witness.facets_normal, witness.facets_area, strict=True) if abs(n[0]) > 0.999
    ]
    assert len(flats) == 2
    own = [area for axis, area in face_axes(solid) if abs(axis[0]) > 0.999]
    assert own == pytest.approx([sum(a for _, a in flats)], rel=1e-6)


def shaft(cut: Callable[[cq.Workplane], cq.Workplane]) -> MeshSolid:
    return mesh_solid(cut(cq.Workplane().circle(10).extrude(30)), 0.05, 8.0)


def slab(width: float) -> cq.Workplane:
    """Return what cuts a flat of a width along a shaft of radius 10."""
    return cq.Workplane().box(40, 40, 100).translate((20 + np.sqrt(100 - width**2 / 4), 0, 0))


@pytest.mark.parametrize(
    ("cut", "is_so"),
    [
        (lambda s: s, True),
        (lambda s: s.faces(">Z").chamfer(1.5).faces("<Z").fillet(2), True),
        (lambda s: s.faces(">Z").workplane().hole(6), True),
        (lambda s: s.cut(slab(8.0)), False),
        (lambda s: s.cut(slab(4.0)), False),
        (lambda s: s.cut(cq.Workplane().box(3, 2, 40).translate((9, 0, 15))), False),
        (lambda s: s.cut(cq.Workplane("YZ").workplane(offset=-20).center(0, 15).circle(1).extrude(40)), False),
        (lambda s: s.faces(">Z").workplane().center(1.5, 0).hole(6), False),
        (lambda s: s.union(cq.Workplane().box(10, 19, 5)), False),
        (lambda s: s.intersect(cq.Workplane().box(100, 5, 100)), False),
        (lambda s: s.translate((0.5, 0, 0)), False),
    ],
    ids=["pin", "pin with rounded ends", "bush", "flat", "narrow flat", "keyway", "cross hole", "bore off the middle",
         "block on it", "slice", "off the axis"],
)  # fmt: skip
def test_only_what_turns_into_itself_is_round(
    cut: Callable[[cq.Workplane], cq.Workplane], is_so: bool
) -> None:
    solid = shaft(cut)
    assert is_round_mesh(solid) is is_so
    assert is_round_mesh(MeshSolid(solid.points.astype(np.float32).astype(float), solid.triangles)) is is_so


@pytest.mark.parametrize(("corners", "is_so"), [(6, False), (8, False), (11, False), (12, True), (24, True)])
def test_facets_stand_for_a_round_face_up_to_30_degrees(corners: int, is_so: bool) -> None:
    prism = trimesh.creation.cylinder(10.0, 5.0, sections=corners)
    assert is_round_mesh(MeshSolid(np.array(prism.vertices), np.array(prism.faces, np.int32))) is is_so


def test_a_point_is_inside_or_not() -> None:
    solid = mesh_solid(bracket())
    manifold = make_manifold(solid.points, solid.triangles.astype(np.int64))
    points = np.random.default_rng(5).uniform(solid.points.min(axis=0), solid.points.max(axis=0), (200, 3))
    witness = inside(as_trimesh(solid.points, solid.triangles), points)
    assert 20 < witness.sum() < 180
    assert [holds_point(manifold, tuple(p)) for p in points.tolist()] == witness.tolist()
