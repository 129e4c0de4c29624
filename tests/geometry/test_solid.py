"""A mesh answers what a solid of the CAD kernel answers: volume, box, a moved copy."""

from __future__ import annotations

import cadquery as cq
import numpy as np
import pytest
import trimesh
from benchleaf.geometry.assembly import Part
from benchleaf.geometry.frame import Place
from benchleaf.geometry.solid import MeshSolid, box_mm, enclosed_mm3, moved, volume_mm3
from mesh_samples import as_trimesh, bracket, mesh_solid

PLACE = Place.turn(33.0, (1.0, 2.0, 3.0)).moved(500.0, -20.0, 7.0)


def test_mesh_and_solid_answer_alike() -> None:
    solid, mesh = bracket(), mesh_solid(bracket())
    off = 0.01 * solid.Area()
    for a, b in ((solid, mesh), (moved(solid, PLACE), moved(mesh, PLACE))):
        assert volume_mm3(b) == pytest.approx(volume_mm3(a), abs=off)
        # Facets lie within their curved surfaces by the tolerance that they were made to.
        assert np.allclose(box_mm(b), box_mm(a), atol=0.02)


def test_the_box_of_a_solid_is_that_of_its_surfaces_meshed_or_not() -> None:
    """A leaning cylinder reaches half its length along its axis, and its radius square to that, beyond its middle."""
    radius, length = 10.0, 30.0
    cylinder = moved(cq.Solid.makeCylinder(radius, length), PLACE)
    axis, middle = np.array(PLACE.direction((0.0, 0.0, 1.0))), np.array(PLACE.point((0.0, 0.0, length / 2.0)))
    reach = length / 2.0 * np.abs(axis) + radius * np.sqrt(1.0 - axis**2)
    for meshed in (False, True):
        if meshed:
            assert isinstance(cylinder, cq.Shape)
            cylinder.tessellate(2.0, 1.0)  # of few facets, that lie up to 2 mm off
        assert np.allclose(box_mm(cylinder), [middle - reach, middle + reach], atol=1e-5), meshed


def test_a_placed_part_has_the_box_of_its_placed_points() -> None:
    mesh = mesh_solid(bracket())
    part = Part("a", "a", "A", "steel", mesh, PLACE)
    assert np.allclose(part.placed_box(), [(p := PLACE.points(mesh.points)).min(axis=0), p.max(axis=0)])
    assert part.volume_mm3 == pytest.approx(mesh.volume_mm3)


def test_volume_is_that_of_an_independent_witness_wherever_the_mesh_lies() -> None:
    far = mesh_solid(bracket()).moved(Place.at(1e5, 1e5, 1e5))
    near = mesh_solid(bracket())
    assert far.volume_mm3 == pytest.approx(near.volume_mm3, rel=1e-9)
    assert near.volume_mm3 == pytest.approx(as_trimesh(near.points, near.triangles).volume, rel=1e-12)


def test_inside_out_is_less_than_nothing() -> None:
    box = trimesh.creation.box((1, 2, 3))
    assert enclosed_mm3(np.array(box.vertices), np.array(box.faces)[:, ::-1]) == pytest.approx(-6.0)


def test_digest_tells_meshes_apart_and_not_their_remarks() -> None:
    mesh = mesh_solid(bracket())
    same = MeshSolid(mesh.points.copy(), mesh.triangles.copy(), ("told",))
    other = mesh.moved(Place.at(0, 0, 1e-6))
    assert mesh.digest == same.digest != other.digest
    turned = MeshSolid(mesh.points, mesh.triangles[:, [1, 2, 0]])
    assert turned.digest != mesh.digest
