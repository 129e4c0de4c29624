"""Cut parts are capped where they were cut, hatched within their cut faces, and only where the cut opens them."""

from __future__ import annotations

import cadquery as cq
import numpy as np
import pytest
from benchleaf.geometry.frame import Place
from benchleaf.geometry.meshes.tessellation import make_mesh
from benchleaf.render.engine.cutaways import Plane, clip_triangles, cut_model, hatch_of
from benchleaf.render.engine.part_models import PartModel

PLANE = Plane((1.0, 0.0, 0.0), (0.0, 0.0, 0.0), (0.0, 0.0, 1.0))


def _model(shape: cq.Shape, material: str = "316L") -> PartModel:
    return PartModel("part", "part", "Part", material, make_mesh(shape, 0.02), Place())


def _area(points: np.ndarray, triangles: np.ndarray) -> float:
    c = points[triangles]
    return float(np.linalg.norm(np.cross(c[:, 1] - c[:, 0], c[:, 2] - c[:, 0]), axis=1).sum() / 2)


def test_a_ring_is_cut_into_half_with_two_caps() -> None:
    ring = cq.Workplane().circle(10).circle(6).extrude(5).val()
    cut = cut_model(_model(ring), Place(), PLANE, 0.5, 0, "ring|cut")
    assert cut is not None
    assert cut.key == "ring|cut"
    mesh = cut.mesh
    assert mesh.points[mesh.triangles].reshape(-1, 3)[:, 0].max() <= 1e-4
    on = np.abs(mesh.points[mesh.triangles][:, :, 0]).max(axis=1) < 1e-4
    assert _area(mesh.points, mesh.triangles[on]) == pytest.approx(2 * 4 * 5, rel=5e-3)
    # Half of the ring's own surface, and the caps.
    assert _area(mesh.points, mesh.triangles) == pytest.approx(ring.Area() / 2 + 40, rel=0.01)
    np.testing.assert_allclose(
        mesh.normals[mesh.triangles[on]], np.tile([1.0, 0, 0], (on.sum(), 3, 1)), atol=1e-9
    )


def test_hatch_lies_in_the_cut_faces_at_its_spacing() -> None:
    ring = cq.Workplane().circle(10).circle(6).extrude(5).val()
    cut = cut_model(_model(ring), Place(), PLANE, 0.5, 0, "ring|cut")
    assert cut is not None
    assert cut.hatch is not None
    np.testing.assert_allclose(cut.hatch[:, :, 0], 0.0, atol=1e-9)
    assert (np.abs(cut.hatch[:, :, 1]) > 6 - 0.05).all()
    assert (np.abs(cut.hatch[:, :, 1]) < 10 + 1e-6).all()
    direction = cut.hatch[:, 1] - cut.hatch[:, 0]
    direction /= np.linalg.norm(direction, axis=1, keepdims=True)
    np.testing.assert_allclose(np.abs(direction[:, 1:]), np.sqrt(0.5), atol=1e-6)
    # The lines' total length times their spacing is the hatched area.
    length = np.linalg.norm(cut.hatch[:, 1] - cut.hatch[:, 0], axis=1).sum()
    assert length * 0.5 == pytest.approx(40.0, rel=0.08)


def test_shafts_stay_whole_and_what_is_aside_goes() -> None:
    shaft = _model(cq.Workplane().circle(5).extrude(30).val())
    kept = cut_model(shaft, Place(), PLANE, 0.5, 0, "k")
    assert kept is not None
    assert kept.mesh is shaft.mesh
    assert kept.hatch is None
    aside = Place.at(40, 0, 0)
    assert cut_model(shaft, aside, PLANE, 0.5, 0, "k") is None
    behind = cut_model(shaft, Place.at(-40, 0, 0), PLANE, 0.5, 0, "k")
    assert behind is not None
    assert behind.mesh is shaft.mesh


def test_the_plane_is_given_in_the_heads_frame() -> None:
    ring = _model(cq.Workplane().circle(10).circle(6).extrude(5).val())
    place = Place.turn(90.0) @ Place.at(3, 0, 0)
    cut = cut_model(ring, place, PLANE, 0.5, 0, "k")
    assert cut is not None
    assert place.points(cut.mesh.points[cut.mesh.triangles].reshape(-1, 3))[:, 0].max() == pytest.approx(
        0.0, abs=1e-4
    )


def test_clipping_keeps_what_is_behind_and_interpolates_normals() -> None:
    points = np.array([[-1.0, 0.0, 0.0], [1.0, 0.0, 0.0], [-1.0, 2.0, 0.0], [1.0, 2.0, 0.0]])
    normals = np.array([[-0.6, 0.0, 0.8], [0.6, 0.0, 0.8], [-0.6, 0.0, 0.8], [0.6, 0.0, 0.8]])
    triangles = np.array([[0, 1, 2], [1, 3, 2]], dtype=np.int32)
    p, n, t = clip_triangles(points, normals, triangles, np.array([1.0, 0.0, 0.0]), 0.0)
    assert _area(p, t) == pytest.approx(2.0)
    corners = p[t]
    assert (np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])[:, 2] > 0).all()
    made = t[t >= 4]
    np.testing.assert_allclose(n[made], np.tile([0.0, 0.0, 1.0], (len(made), 1)), atol=1e-9)


def test_hatches_tell_materials_and_neighbours_apart() -> None:
    assert len(hatch_of("FKM", 0).angles_deg) == 2
    assert hatch_of("316L", 0) != hatch_of("316L", 1)
    assert hatch_of("carbon", 0).angles_deg != hatch_of("316L", 0).angles_deg


def test_a_cut_face_finer_than_its_hatch_is_left_plain() -> None:
    wire = _model(cq.Workplane().circle(10).circle(9.9).extrude(0.1).val())
    cut = cut_model(wire, Place(), PLANE, 50.0, 0, "k")
    assert cut is not None
    assert cut.hatch is not None
    assert cut.hatch.shape[1:] == (2, 3)


@pytest.mark.parametrize("spacing", [0.5, 1.0, 2.0])
def test_lines_that_graze_a_corner_are_left_out(spacing: float) -> None:
    # Corners of the cut faces lie on the raster of the hatch.
    block = _model(cq.Workplane().box(4, 8, 8).cut(cq.Workplane().box(10, 4, 4)).val())
    cut = cut_model(block, Place(), PLANE, spacing, 0, "k")
    assert cut is not None
    assert cut.hatch is not None
    assert (np.linalg.norm(cut.hatch[:, 1] - cut.hatch[:, 0], axis=1) > 0).all()
