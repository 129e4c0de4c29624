"""A bare mesh is drawn as its solid would be: same edges, same normals, faces that flow into each other undivided."""

from __future__ import annotations

from collections.abc import Callable

import cadquery as cq
import numpy as np
import pytest
import trimesh
from benchleaf.geometry.meshes.smoothing_groups import corner_angles, neighbours, smoothed
from benchleaf.geometry.meshes.tessellation import make_mesh
from benchleaf.geometry.solid import MeshSolid
from mesh_samples import as_trimesh, bracket, mesh_solid, shape_of

SHAPES: dict[str, Callable[[], cq.Shape | cq.Workplane]] = {
    "block": lambda: cq.Workplane().box(4, 5, 6),
    "pin": lambda: cq.Workplane().circle(3).extrude(12).faces(">Z").chamfer(0.8),
    "bracket": bracket,
    "ring": lambda: cq.Solid.makeTorus(10, 2),
}


@pytest.fixture(params=SHAPES, name="shape")
def _shape(request: pytest.FixtureRequest) -> cq.Shape:
    return shape_of(SHAPES[request.param]())


def test_how_triangles_meet_is_what_trimesh_says(shape: cq.Shape) -> None:
    solid = mesh_solid(shape)
    near, witness = neighbours(solid.points, solid.triangles), as_trimesh(solid.points, solid.triangles)
    assert {tuple(sorted(pair)) for pair in near.tris.tolist()} == {
        tuple(sorted(pair)) for pair in witness.face_adjacency.tolist()
    }
    assert np.sort(near.bend_deg) == pytest.approx(
        np.degrees(np.sort(witness.face_adjacency_angles)), abs=1e-5
    )
    assert near.area == pytest.approx(witness.area_faces, rel=1e-9)
    assert corner_angles(solid.points, solid.triangles) == pytest.approx(witness.face_angles, abs=1e-9)


def test_edges_are_those_of_the_solid(shape: cq.Shape) -> None:
    drawn, true = make_mesh(mesh_solid(shape), 0.01), make_mesh(shape, 0.01, 12.0)

    def length(edges: tuple[np.ndarray, ...]) -> float:
        return sum(float(np.linalg.norm(np.diff(e, axis=0), axis=1).sum()) for e in edges)

    assert length(drawn.edges) == pytest.approx(length(true.edges), rel=1e-5)
    spots = np.concatenate([np.empty((0, 3)), *(e for e in true.edges)])
    for line, beside in zip(drawn.edges, drawn.edge_normals, strict=True):
        assert beside.shape == (len(line), 2, 3)
        assert np.linalg.norm(beside, axis=2) == pytest.approx(np.ones((len(line), 2)))
        for point in line:
            assert np.linalg.norm(spots - point, axis=1).min() < 1e-4


def test_normals_are_those_of_the_solid(shape: cq.Shape) -> None:
    drawn, true = make_mesh(mesh_solid(shape), 0.01), make_mesh(shape, 0.01, 12.0)
    where: dict[tuple[float, ...], list[np.ndarray]] = {tuple(np.round(p, 3) + 0.0): [] for p in true.points}
    for point, normal in zip(true.points, true.normals, strict=True):
        where[tuple(np.round(point, 3) + 0.0)].append(normal)
    off = [
        np.degrees(np.arccos(np.clip(np.max(np.array(where[tuple(np.round(p, 3) + 0.0)]) @ n), -1, 1)))
        for p, n in zip(drawn.points, drawn.normals, strict=True)
        if tuple(np.round(p, 3) + 0.0) in where
    ]
    assert len(off) > 0.95 * len(drawn.points)
    # Half a facet where a round face ends in a flat without an edge between them; hardly anything elsewhere.
    assert max(off) < 7.0
    assert float(np.median(off)) < 0.5


def test_points_and_triangles_are_split_and_no_more(shape: cq.Shape) -> None:
    solid = mesh_solid(shape)
    drawn = smoothed(solid.points, solid.triangles)
    assert np.array_equal(drawn.points[drawn.triangles], solid.points[solid.triangles])
    assert np.unique(drawn.triangles).size == len(drawn.points)
    facing = neighbours(solid.points, solid.triangles).facing
    assert (np.einsum("ijk,ik->ij", drawn.normals[drawn.triangles], facing) > 0.8).all()


def test_a_fillet_does_not_bend_the_plane_beside_it() -> None:
    rounded = mesh_solid(cq.Workplane().box(40, 40, 10).edges("|Z").fillet(3))
    drawn = smoothed(rounded.points, rounded.triangles)
    side = np.abs(drawn.points[:, 0] - 20) < 1e-4
    sideways = side & (np.abs(drawn.normals[:, 2]) < 0.5)
    assert sideways.any()
    assert np.degrees(np.arccos(drawn.normals[sideways][:, 0])).max() < 0.6


def test_the_tip_of_a_cone_is_no_edge() -> None:
    cone = trimesh.creation.cone(3.0, 4.0, sections=48)
    drawn = smoothed(np.array(cone.vertices), np.array(cone.faces, np.int32))
    assert [len(e) for e in drawn.edges] == [49]
    assert np.array_equal(drawn.edges[0][0], drawn.edges[0][-1])
    assert len(np.unique(drawn.face_of_triangle)) == 2


def test_an_open_surface_is_refused() -> None:
    box = trimesh.creation.box((1, 2, 3))
    with pytest.raises(ValueError, match="not exactly two triangles"):
        neighbours(np.array(box.vertices), np.array(box.faces[1:], np.int32))
    with pytest.raises(ValueError, match="not exactly two triangles"):
        neighbours(np.array(box.vertices), np.concatenate([box.faces, box.faces]).astype(np.int32))


def test_a_mesh_is_as_fine_as_it_is_whatever_is_asked() -> None:
    solid: MeshSolid = mesh_solid(bracket())
    assert np.array_equal(make_mesh(solid, 1.0).joined_points, make_mesh(solid, 0.001).joined_points)
