"""Meshes are closed, have the kernel's volume and normals, and know their true edges."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable

import cadquery as cq
import manifold3d
import numpy as np
import pytest
from benchleaf.geometry.assembly import Part
from benchleaf.geometry.meshes.tessellation import (
    MeshError,
    closed_surface,
    make_mesh,
    mesh_of,
    mesh_of_shape,
    open_edges,
)
from sample_solids import solid_of


def _holed_plate() -> cq.Shape:
    plate = cq.Workplane().box(40, 40, 10).edges("|Z").fillet(5)
    plate = plate.faces(">Z").workplane().rect(20, 20, forConstruction=True).vertices().hole(5)
    return solid_of(plate.faces(">Z").edges().chamfer(0.5))


def _crossed_bores() -> cq.Shape:
    block = cq.Workplane().box(60, 40, 40).cut(cq.Workplane("XZ").cylinder(100, 10))
    return solid_of(block.cut(cq.Workplane("YZ").cylinder(100, 9)).edges().fillet(0.8))


SHAPES: dict[str, Callable[[], cq.Shape]] = {
    "box": lambda: solid_of(cq.Workplane().box(1, 2, 3)),
    "ball": lambda: solid_of(cq.Workplane().sphere(5)),
    "cone": lambda: cq.Solid.makeCone(5, 0, 8),
    "ring": lambda: cq.Solid.makeTorus(10, 2),
    "plate": _holed_plate,
    "plate turned": lambda: _holed_plate().moved(cq.Location(cq.Vector(1, 2, 3), cq.Vector(1, 1, 0), 33)),
    "plate mirrored": lambda: _holed_plate().mirror("XY"),
    "crossed bores": _crossed_bores,
}


@pytest.fixture(params=SHAPES, name="shape")
def _shape(request: pytest.FixtureRequest) -> cq.Shape:
    return SHAPES[request.param]()


def test_joined_mesh_is_closed_and_a_manifold_of_the_kernels_volume(shape: cq.Shape) -> None:
    mesh = make_mesh(shape, 0.02, 5.0)
    assert open_edges(mesh.joined_triangles) == 0
    solid = manifold3d.Manifold(
        manifold3d.Mesh(mesh.joined_points.astype(np.float32), mesh.joined_triangles.astype(np.uint32))
    )
    assert solid.status() == manifold3d.Error.NoError
    # The mesh is off by its tolerance at most, all over the surface.
    allowed = 0.02 * shape.Area()
    assert mesh.volume_mm3 == pytest.approx(shape.Volume(), abs=allowed)
    assert solid.volume() == pytest.approx(mesh.volume_mm3, rel=1e-5)


def test_split_and_joined_triangles_are_the_same_rows(shape: cq.Shape) -> None:
    mesh = make_mesh(shape, 0.1)
    np.testing.assert_allclose(
        mesh.points[mesh.triangles], mesh.joined_points[mesh.joined_triangles], atol=1e-7
    )
    assert len(mesh.face_of_triangle) == len(mesh.triangles)
    assert set(mesh.face_of_triangle.tolist()) == set(range(len(shape.Faces())))


def test_normals_are_the_surfaces_own_and_point_outwards(shape: cq.Shape) -> None:
    mesh = make_mesh(shape, 0.05)
    np.testing.assert_allclose(np.linalg.norm(mesh.normals, axis=1), 1.0, atol=1e-9)
    corners = mesh.points[mesh.triangles]
    facet = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    facet /= np.linalg.norm(facet, axis=1, keepdims=True)
    # A facet spans at most 12 degrees from edge to edge, across its diagonal somewhat more.
    assert np.einsum("ij,ij->i", facet, mesh.normals[mesh.triangles[:, 0]]).min() > math.cos(math.radians(24))


def test_normals_of_a_ball_are_exact_where_facets_would_band() -> None:
    mesh = make_mesh(solid_of(cq.Workplane().sphere(5)), 0.2)
    np.testing.assert_allclose(mesh.normals, mesh.points / 5.0, atol=1e-6)


def test_edges_are_the_models_own_without_seams() -> None:
    assert len(make_mesh(solid_of(cq.Workplane().box(1, 2, 3)), 0.1).edges) == 12
    cylinder = make_mesh(solid_of(cq.Workplane().cylinder(10, 5)), 0.05)
    assert len(cylinder.edges) == 2
    for rim in cylinder.edges:
        np.testing.assert_allclose(np.hypot(rim[:, 0], rim[:, 1]), 5.0, atol=1e-6)
        np.testing.assert_allclose(rim[0], rim[-1], atol=1e-6)
    ball = make_mesh(solid_of(cq.Workplane().sphere(5)), 0.1)
    assert (ball.edges, ball.smooth_edges) == ((), ())


def test_edges_of_a_fillet_are_smooth_and_of_a_chamfer_sharp() -> None:
    cylinder = cq.Workplane().cylinder(10, 5).faces(">Z").edges()
    rounded = make_mesh(solid_of(cylinder.fillet(1)), 0.05)
    broken = make_mesh(solid_of(cylinder.chamfer(1)), 0.05)
    assert (len(rounded.edges), len(rounded.smooth_edges)) == (1, 2)
    assert (len(broken.edges), len(broken.smooth_edges)) == (3, 0)


def test_mesh_depends_on_tolerance_alone_and_leaves_nothing_on_the_shape() -> None:
    fresh = make_mesh(_holed_plate(), 0.2, 20)
    used = _holed_plate()
    make_mesh(used, 0.005, 4)
    again = make_mesh(used, 0.2, 20)
    np.testing.assert_array_equal(again.points, fresh.points)
    np.testing.assert_array_equal(again.triangles, fresh.triangles)


def test_twins_share_one_mesh_as_long_as_tolerance_is_the_same() -> None:
    solid = _holed_plate()
    drive = Part("plate_drive", "plate", "Plate", "316L", solid)
    driven = dataclasses.replace(drive, key="plate_driven")
    assert mesh_of(drive, 0.1) is mesh_of(driven, 0.1)
    assert mesh_of(drive, 0.1) is not mesh_of(drive, 0.05)
    assert mesh_of_shape(solid, 0.1) is mesh_of(drive, 0.1)


def test_open_shell_is_refused_by_name() -> None:
    faces = [f for f in solid_of(cq.Workplane().box(1, 1, 1)).Faces() if f.Center().z < 0.4]
    tray = Part("tray", "tray", "Tray", "316L", cq.Shell.makeShell(faces))
    with pytest.raises(MeshError, match=r"tray \(Tray\): the faces do not join to a closed surface \(4 open"):
        mesh_of(tray, 0.1)


@pytest.mark.parametrize("tolerance", [0.0, -1.0, math.nan, math.inf])
def test_tolerance_must_be_a_positive_length(tolerance: float) -> None:
    with pytest.raises(MeshError, match="a mesh needs a tolerance above 0 mm"):
        make_mesh(solid_of(cq.Workplane().box(1, 1, 1)), tolerance)


def test_surface_inside_out_is_refused() -> None:
    box = solid_of(cq.Workplane().box(1, 1, 1))
    with pytest.raises(MeshError, match="inside out"):
        make_mesh(cq.Shape.cast(box.wrapped.Reversed()), 0.1)


def test_edge_normals_are_those_of_the_two_faces() -> None:
    mesh = make_mesh(solid_of(cq.Workplane().cylinder(10, 5)), 0.05)
    for rim, beside in zip(mesh.edges, mesh.edge_normals, strict=True):
        radial = np.column_stack([rim[:, :2] / 5.0, np.zeros(len(rim))])
        along = np.tile([0.0, 0.0, math.copysign(1.0, rim[0, 2])], (len(rim), 1))
        got = sorted([beside[:, 0], beside[:, 1]], key=lambda n: abs(n[0, 2]))
        np.testing.assert_allclose(got[0], radial, atol=1e-6)
        np.testing.assert_allclose(got[1], along, atol=1e-6)


def test_closed_surface_is_the_joined_mesh(shape: cq.Shape) -> None:
    points, triangles = closed_surface(shape, 0.05)
    mesh = make_mesh(shape, 0.05)
    assert np.array_equal(points, mesh.joined_points)
    assert np.array_equal(triangles, mesh.joined_triangles)
