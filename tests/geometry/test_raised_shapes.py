"""Thin rings drawn higher: the cone and the waves are found, raised by what is asked, the thickness kept."""

from __future__ import annotations

import cadquery as cq
import numpy as np
import pytest
from benchleaf.geometry.assembly import Part
from benchleaf.geometry.meshes.raised_shapes import middle_surface, raised
from benchleaf.geometry.meshes.tessellation import Mesh, mesh_of
from benchleaf.geometry.parts.rings import disc_spring, torus, wave_spring
from sample_solids import solid_of


def mesh(solid: cq.Shape) -> Mesh:
    return mesh_of(Part("ring", "ring", "Ring", "steel", solid), 0.01, 10.0)


def test_a_disc_spring_raised_is_the_one_of_that_height() -> None:
    pressed, free = (
        mesh(disc_spring(12.4, 19.84, 1.3, 1.5, 2.1)[0]),
        disc_spring(12.4, 19.84, 1.3, 2.1, 2.1)[0],
    )
    surface = middle_surface(pressed)
    assert surface is not None
    assert (surface.thickness_mm, surface.rise_mm, surface.breadth_mm) == pytest.approx(
        (1.3, 0.2, 3.72), abs=1e-3
    )
    higher = raised(pressed, surface, 4.0)
    low, high = higher.box
    assert high[2] - low[2] == pytest.approx(2.1, abs=1e-6)
    assert higher.volume_mm3 == pytest.approx(free.Volume(), rel=2e-3)
    # The cone's normals lean as much as it rises: 0.8 mm over 3.72 mm.
    up = higher.normals[(higher.normals[:, 2] > 0.5)]
    np.testing.assert_allclose(np.hypot(up[:, 0], up[:, 1]) / up[:, 2], 0.8 / 3.72, rtol=0.02)
    np.testing.assert_allclose(np.linalg.norm(higher.normals, axis=1), 1.0, atol=1e-9)


def test_turned_over_it_is_raised_as_much() -> None:
    spring = mesh(disc_spring(12.4, 19.84, 1.3, 1.5, 2.1)[0])
    surface = middle_surface(spring)
    assert surface is not None
    flat = raised(spring, surface, 0.0)
    assert np.ptp(flat.joined_points[:, 2]) == pytest.approx(1.3, abs=1e-3), "pressed flat"
    other = raised(spring, surface, -1.0)
    assert np.ptp(other.joined_points[:, 2]) == pytest.approx(1.5, abs=1e-3)
    rim = np.hypot(*other.joined_points[:, :2].T) > 9.9
    assert other.joined_points[rim, 2].mean() < other.joined_points[~rim, 2].mean(), (
        "its cone opens the other way"
    )


@pytest.mark.parametrize("waves", [3, 6, 10])
def test_a_wave_spring_keeps_its_strip(waves: int) -> None:
    spring = mesh(wave_spring(15.0, 19.0, 4.0, 0.5, waves)[0])
    surface = middle_surface(spring)
    assert surface is not None
    assert surface.thickness_mm == pytest.approx(0.5, abs=0.01)
    higher = raised(spring, surface, 2.0)
    assert np.ptp(higher.joined_points[:, 2]) == pytest.approx(0.5 + 2 * surface.rise_mm, abs=0.03)
    assert higher.volume_mm3 == pytest.approx(spring.volume_mm3, rel=1e-4), "sheared along Z alone"


def test_what_is_no_thin_ring_has_no_middle_surface() -> None:
    flat = cq.Workplane().circle(20).circle(15).extrude(0.5)
    sleeve = cq.Workplane().circle(20).circle(18).extrude(15)
    for solid in (
        torus(20.0, 2.0),
        solid_of(flat),
        solid_of(sleeve),
        solid_of(cq.Workplane().box(10, 10, 1)),
    ):
        assert middle_surface(mesh(solid)) is None
