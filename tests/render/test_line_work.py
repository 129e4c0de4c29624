"""Silhouettes lie where the surface turns away, exactly; ribbons have the width asked for."""

from __future__ import annotations

import cadquery as cq
import numpy as np
import pytest
from benchleaf.geometry.frame import Floats
from benchleaf.geometry.meshes.tessellation import make_mesh
from benchleaf.render.engine.line_work import Ribbons, edge_segments, edge_spacing, silhouette
from sample_solids import solid_of


def _length(segments: Floats) -> float:
    return float(np.linalg.norm(segments[:, 1] - segments[:, 0], axis=1).sum())


@pytest.mark.parametrize("direction", [(0.0, 0.0, 1.0), (0.6, 0.0, 0.8), (0.48, 0.6, 0.64)])
def test_contour_of_a_ball_is_its_great_circle(direction: tuple[float, float, float]) -> None:
    contour = silhouette(make_mesh(solid_of(cq.Workplane().sphere(5)), 0.01), direction)
    # Chords lie inside the ball by their sagitta at most.
    np.testing.assert_allclose(np.linalg.norm(contour.reshape(-1, 3), axis=1), 5.0, atol=0.03)
    np.testing.assert_allclose(contour.reshape(-1, 3) @ np.array(direction), 0.0, atol=0.06)
    assert _length(contour) == pytest.approx(2 * np.pi * 5, rel=0.01)


def test_contour_of_a_cylinder_from_the_side_is_two_lines_and_two_rims() -> None:
    mesh = make_mesh(solid_of(cq.Workplane().cylinder(10, 5)), 0.005)
    contour = silhouette(mesh, (0.0, 1.0, 0.0))
    straight = contour[np.abs(contour[:, 1, 2] - contour[:, 0, 2]) > 1e-6]
    np.testing.assert_allclose(np.abs(straight[:, :, 0]), 5.0, atol=0.01)
    assert _length(straight) == pytest.approx(20.0, abs=1e-6)


def test_contour_of_a_box_from_a_corner_has_six_edges() -> None:
    mesh = make_mesh(solid_of(cq.Workplane().box(1, 2, 3)), 0.1)
    contour = silhouette(mesh, (0.6, 0.48, 0.64))
    assert len(contour) == 6
    assert _length(contour) == pytest.approx(2 * (1 + 2 + 3))


def test_a_face_seen_edge_on_gives_no_noise() -> None:
    mesh = make_mesh(solid_of(cq.Workplane().box(1, 2, 3)), 0.1)
    contour = silhouette(mesh, (0.0, 0.0, 1.0))
    assert _length(contour) == pytest.approx(2 * (1 + 2))


def test_ribbons_have_their_width_and_face_the_eye() -> None:
    segments = np.array([[[0.0, 0.0, 0.0], [4.0, 0.0, 0.0]], [[0.0, 0.0, 0.0], [0.0, 3.0, 7.0]]])
    ribbons = Ribbons(segments, (0.0, 0.0, 1.0))
    points, triangles = ribbons.points(np.array([0.5, 0.5])), ribbons.triangles
    assert points.shape == (8, 3)
    assert triangles.shape == (4, 3)
    first = points[:4]
    assert np.ptp(first[:, 0]) == pytest.approx(4.5)  # half a width beyond either end
    assert np.ptp(first[:, 1]) == pytest.approx(0.5)
    corners = points[triangles]
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    assert (np.abs(normal[:2, 2]) > 0.99 * np.linalg.norm(normal[:2], axis=1)).all()


def test_a_line_straight_at_the_eye_is_left_out() -> None:
    ribbons = Ribbons(np.array([[[0.0, 0.0, 0.0], [0.0, 0.0, 5.0]]]), (0.0, 0.0, 1.0))
    assert (len(ribbons.points(np.array([1.0]))), len(ribbons.triangles)) == (0, 0)


def test_the_same_ribbons_are_drawn_in_any_width() -> None:
    segments = np.array([[[0.0, 0.0, 0.0], [4.0, 0.0, 0.0]], [[0.0, 0.0, 0.0], [0.0, 3.0, 7.0]]])
    ribbons = Ribbons(segments, (0.6, 0.0, 0.8))
    thin, wide = (ribbons.points(np.array([w, 3 * w])).reshape(2, 4, 3) for w in (0.1, 0.4))
    for points, width in ((thin, 0.1), (wide, 0.4)):
        across = np.linalg.norm(points[:, 1] - points[:, 0], axis=1)
        assert across == pytest.approx([width, 3 * width], rel=1e-5)
    assert thin.mean(axis=1) == pytest.approx(wide.mean(axis=1), abs=1e-5)


def test_crowded_edges_are_told_from_lone_ones() -> None:
    grooved = cq.Workplane().circle(5).extrude(30)
    for n in range(8):
        grooved = grooved.cut(cq.Workplane().workplane(offset=1 + n).circle(6).circle(4.6).extrude(0.5))
    mesh = make_mesh(solid_of(grooved), 0.05)
    spacing, segments = edge_spacing(mesh, 4.0), edge_segments(mesh)
    top = segments[:, :, 2].min(axis=1) > 29.9
    fine = (segments[:, :, 2].max(axis=1) < 8.0) & (segments[:, :, 2].min(axis=1) > 1.0)
    assert np.isinf(spacing[top]).all()
    assert spacing[fine].max() < 1.1
