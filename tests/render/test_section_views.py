"""Cut parts are capped where they were cut, hatched within their cut faces, and only where the cut opens them."""

from __future__ import annotations

from dataclasses import replace

import cadquery as cq
import numpy as np
import pytest
from benchleaf.geometry.frame import Floats, Place
from benchleaf.geometry.meshes.tessellation import Ints, make_mesh
from benchleaf.geometry.parts.rings import disc_spring
from benchleaf.render.engine.part_models import PartModel
from benchleaf.render.engine.section_views import (
    SHEATH_SHARE,
    CuttingPlane,
    bearing_lines,
    clip_triangles,
    cut_face,
    cut_model,
    remaining_points,
)
from sample_solids import solid_of

PLANE = CuttingPlane((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))


EVERYTHING = replace(PLANE, axis=None)


def _model(shape: cq.Workplane, material: str = "316L") -> PartModel:
    return PartModel("part", "part", "Part", material, make_mesh(solid_of(shape), 0.02), Place())


def _ring() -> cq.Workplane:
    return cq.Workplane().circle(10).circle(6).extrude(5)


def _shape_area(faces: Floats) -> float:
    return float(
        np.linalg.norm(np.cross(faces[:, 1] - faces[:, 0], faces[:, 2] - faces[:, 0]), axis=1).sum() / 2
    )


def _area(points: Floats, triangles: Ints) -> float:
    return _shape_area(points[triangles])


def test_a_ring_is_cut_into_half_with_two_caps() -> None:
    ring = _ring()
    cut = cut_model(_model(ring), Place(), PLANE, 0.5, 0, "ring|cut")
    assert cut is not None
    assert cut.key == "ring|cut"
    mesh = cut.mesh
    assert mesh.points[mesh.triangles].reshape(-1, 3)[:, 0].max() <= 1e-4
    on = np.abs(mesh.points[mesh.triangles][:, :, 0]).max(axis=1) < 1e-4
    assert _area(mesh.points, mesh.triangles[on]) == pytest.approx(2 * 4 * 5, rel=5e-3)
    # Half of the ring's own surface, and the caps.
    assert _area(mesh.points, mesh.triangles) == pytest.approx(solid_of(ring).Area() / 2 + 40, rel=0.01)
    np.testing.assert_allclose(
        mesh.normals[mesh.triangles[on]], np.tile([1.0, 0, 0], (on.sum(), 3, 1)), atol=1e-9
    )


def test_hatch_lies_in_the_cut_faces_at_its_spacing() -> None:
    ring = _ring()
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
    shaft = _model(cq.Workplane().circle(5).extrude(30))
    kept = cut_model(shaft, Place(), PLANE, 0.5, 0, "k")
    assert kept is not None
    assert kept.mesh is shaft.mesh
    assert kept.hatch is None
    aside = Place.at(40, 0, 0)
    assert cut_model(shaft, aside, PLANE, 0.5, 0, "k") is None
    behind = cut_model(shaft, Place.at(-40, 0, 0), PLANE, 0.5, 0, "k")
    assert behind is not None
    assert behind.mesh is shaft.mesh


def test_a_casting_in_which_a_screw_ends_is_cut_and_the_screw_is_not() -> None:
    """Most of the casting's length on the screw's axis is metal too, but it does not lie about that axis."""
    casting = cq.Workplane().box(60, 60, 40, centered=(True, True, False)).translate((20, 0, 0))
    casting = casting.cut(cq.Workplane().circle(4.1).extrude(12))
    screw = cq.Workplane().circle(4).extrude(30).translate((0, 0, -20))
    cut = cut_model(_model(casting), Place(), PLANE, 0.5, 0, "casting|cut")
    assert cut is not None
    assert cut.hatch is not None
    assert cut.mesh.points[cut.mesh.triangles].reshape(-1, 3)[:, 0].max() <= 1e-4
    whole = cut_model(_model(screw), Place(), PLANE, 0.5, 0, "screw|cut")
    assert whole is not None
    assert whole.hatch is None


def test_without_an_axis_shafts_are_cut_too() -> None:
    shaft = _model(cq.Workplane().circle(5).extrude(30))
    cut = cut_model(shaft, Place(), EVERYTHING, 0.5, 0, "k")
    assert cut is not None
    assert _shape_area(cut_face(cut, Place(), EVERYTHING)) == pytest.approx(300.0, rel=1e-4)


def test_the_cut_is_the_kernels() -> None:
    """The mesh's cut against the CAD kernel's, for a part with bores across and along the plane."""
    part = _ring().cut(cq.Workplane("YZ").circle(1.5).extrude(20)).cut(cq.Workplane().box(3, 30, 2))
    plane = CuttingPlane((0.5, 0.0, 0.0), (0.8, 0.6, 0.0))
    cut = cut_model(_model(part), Place(), plane, 0.5, 0, "k")
    assert cut is not None
    half = cq.Workplane(cq.Plane(plane.point, normal=plane.normal)).rect(200, 200).extrude(100)
    left = solid_of(part).cut(solid_of(half))
    face = sum(
        f.Area()
        for f in left.Faces()
        if abs(f.Center().sub(cq.Vector(*plane.point)).dot(cq.Vector(*plane.normal))) < 1e-6
    )
    assert _shape_area(cut_face(cut, Place(), plane)) == pytest.approx(face, rel=5e-3)
    assert cut.mesh.volume_mm3 == pytest.approx(left.Volume(), rel=5e-3)
    points = remaining_points(cut, Place())
    low, high = points.min(axis=0), points.max(axis=0)
    box = left.BoundingBox()
    np.testing.assert_allclose(low, (box.xmin, box.ymin, box.zmin), atol=0.02)
    np.testing.assert_allclose(high, (box.xmax, box.ymax, box.zmax), atol=0.02)


def test_faces_bear_where_they_are_near_and_nowhere_else() -> None:
    """A ring on a step: its lower face bears from 6 to 8 mm, beyond that there is a gap of half a millimetre."""
    ring = cut_model(_model(_ring()), Place(), EVERYTHING, 0.5, 0, "ring")
    below = (
        cq.Workplane("XY", origin=(0, 0, -4))
        .circle(12)
        .circle(4)
        .extrude(3.5)
        .union(cq.Workplane("XY", origin=(0, 0, -4)).circle(8).circle(4).extrude(4))
    )
    place = Place.turn(30.0) @ Place.at(0, 0, 7)
    step = cut_model(_model(below), place, EVERYTHING, 0.5, 0, "step")
    assert ring is not None
    assert step is not None
    own, other = cut_face(ring, Place.at(0, 0, 7), EVERYTHING), cut_face(step, place, EVERYTHING)
    lines = bearing_lines(own, [other], EVERYTHING, 0.05, 0.01)
    spans = sorted((float(x[:, 1].min()), float(x[:, 1].max())) for x in lines)
    np.testing.assert_allclose(spans, [(-8, -6), (6, 8)], atol=0.07)
    for line in lines:
        np.testing.assert_allclose(line[:, 0], 0.0, atol=1e-6)
        np.testing.assert_allclose(line[:, 2], 7.0, atol=0.06)
    assert bearing_lines(own, [np.add(other, (0.0, 0.0, -1.0))], EVERYTHING, 0.05, 0.01) == ()


def test_of_a_face_at_an_angle_only_its_edge_bears() -> None:
    """A disc spring on a plate: its cone rises 0.4 mm over 3.72 mm, so that 0.01 mm of it are 0.09 mm of its face."""
    spring = cut_model(
        _model(cq.Workplane(disc_spring(12.4, 19.84, 1.3, 1.7, 2.1)[0])),
        Place(),
        EVERYTHING,
        0.5,
        0,
        "spring",
    )
    plate = cut_model(_model(cq.Workplane().circle(15).extrude(-2)), Place(), EVERYTHING, 0.5, 0, "plate")
    assert spring is not None
    assert plate is not None
    own, other = cut_face(spring, Place(), EVERYTHING), cut_face(plate, Place(), EVERYTHING)
    lines = bearing_lines(own, [other], EVERYTHING, 0.06, 0.01)
    assert len(lines) == 2
    for line in lines:
        radii = np.abs(line[:, 1])
        assert radii.min() == pytest.approx(6.2, abs=0.02)
        assert np.ptp(radii) < 0.12


def test_a_core_in_a_sheath_is_seen_in_a_section() -> None:
    ring = _model(cq.Workplane(cq.Solid.makeTorus(20, 2)))
    rubber, sheathed = (
        cut_model(replace(ring, material=m), Place(), EVERYTHING, 0.2, 0, "k")
        for m in ("FKM", "ptfe-encapsulated")
    )
    assert rubber is not None
    assert sheathed is not None
    assert len(sheathed.mesh.edges) == len(rubber.mesh.edges) + 2, "the core's outline in both cut faces"
    for model, reach in ((rubber, 2.0), (sheathed, 2.0 - SHEATH_SHARE * 4.0)):
        assert model.hatch is not None
        ends = model.hatch.reshape(-1, 3)
        away = np.hypot(np.abs(ends[:, 1]) - 20, ends[:, 2]).max()
        assert away == pytest.approx(reach, abs=0.05)


def test_the_plane_is_given_in_the_heads_frame() -> None:
    ring = _model(_ring())
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


def test_a_cut_face_finer_than_its_hatch_is_left_plain() -> None:
    wire = _model(cq.Workplane().circle(10).circle(9.9).extrude(0.1))
    cut = cut_model(wire, Place(), PLANE, 50.0, 0, "k")
    assert cut is not None
    assert cut.hatch is not None
    assert cut.hatch.shape[1:] == (2, 3)


@pytest.mark.parametrize("spacing", [0.5, 1.0, 2.0])
def test_lines_that_graze_a_corner_are_left_out(spacing: float) -> None:
    # Corners of the cut faces lie on the raster of the hatch.
    block = _model(cq.Workplane().box(4, 8, 8).cut(cq.Workplane().box(10, 4, 4)))
    cut = cut_model(block, Place(), PLANE, spacing, 0, "k")
    assert cut is not None
    assert cut.hatch is not None
    assert (np.linalg.norm(cut.hatch[:, 1] - cut.hatch[:, 0], axis=1) > 0).all()
