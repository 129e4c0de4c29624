"""Every part of a head, asked of trimesh: closed, its volume, middle and inertia, what lies inside; overlaps by chance.

The kernel makes the solids and its mesher the triangles, manifold3d the booleans; trimesh shares no code with them.
"""

from __future__ import annotations

from collections.abc import Iterator

import cadquery as cq
import numpy as np
import pytest
import trimesh
from benchleaf.geometry.assembly import Part
from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.dimensions.size import example_measures, make_size
from benchleaf.geometry.frame import Place
from benchleaf.geometry.head.head import Head, make_head
from benchleaf.geometry.meshes.closed_bodies import PROOF_ANGLE_DEG, TOLERANCE_MM
from benchleaf.geometry.meshes.overlaps import Bodies, gap, overlap
from benchleaf.geometry.meshes.tessellation import closed_surface, mesh_of
from mesh_samples import as_trimesh, inside

DRAWN_MM = 0.05
"""Tolerance of a mesh to draw."""


@pytest.fixture(scope="module")
def head() -> Head:
    """Return the head with most kinds of parts; other options are meshed by the tests of every size and option."""
    options = Options(seal="double", cover="relief", rotor="two-lobe")
    return make_head("T-1", make_size("80", example_measures(80.0)), options)


def different(head: Head) -> Iterator[tuple[Part, cq.Shape]]:
    """Yield one part of each solid, with that solid."""
    for part in {id(p.solid): p for p in head}.values():
        assert isinstance(part.solid, cq.Shape)
        yield part, part.solid


def proof_mesh(solid: cq.Shape) -> trimesh.Trimesh:
    """Return the mesh that the proof works with."""
    return as_trimesh(*closed_surface(solid, TOLERANCE_MM, PROOF_ANGLE_DEG))


def test_every_mesh_is_closed_and_of_one_body(head: Head) -> None:
    for part, solid in different(head):
        mesh = proof_mesh(solid)
        assert mesh.is_watertight, part.key
        assert mesh.is_winding_consistent, part.key
        assert mesh.is_volume, part.key
        assert mesh.body_count == 1, part.key


def test_volume_middle_and_inertia_are_those_of_the_solid(head: Head) -> None:
    for part, solid in different(head):
        mesh = proof_mesh(solid)
        reach = float(np.linalg.norm(mesh.extents))
        # A mesh off by the tolerance all over moves no figure further than this share.
        share = TOLERANCE_MM * solid.Area() / solid.Volume()
        assert mesh.volume == pytest.approx(solid.Volume(), rel=share), part.key
        middle = np.array(cq.Shape.centerOfMass(solid).toTuple())
        assert np.linalg.norm(mesh.center_mass - middle) < share * reach, part.key
        about = np.array(cq.Shape.matrixOfInertia(solid))
        assert np.allclose(mesh.moment_inertia, about, atol=5 * share * float(np.abs(about).max())), part.key


def test_rays_say_inside_where_the_kernel_does_and_on_which_side_of_a_normal(head: Head) -> None:
    dice = np.random.default_rng(8)
    hits = 0
    for part, solid in different(head):
        mesh = mesh_of(part, DRAWN_MM)
        witness = as_trimesh(mesh.joined_points, mesh.joined_triangles)
        points = dice.uniform(witness.bounds[0], witness.bounds[1], (15, 3))
        told = np.array([any(s.isInside(tuple(p)) for s in solid.Solids()) for p in points.tolist()])
        differ = inside(witness, points) != told
        if differ.any():  # only within the tolerance of the surface
            _, off, _ = trimesh.proximity.closest_point(witness, points[differ])  # type: ignore[no-untyped-call]
            assert off.max() < 2 * DRAWN_MM, part.key
        hits += int(told.sum())
        some = dice.choice(len(mesh.triangles), 15)
        # A little off the middle: turned parts repeat themselves, and a ray along an edge counts twice or not at all.
        middle = mesh.points[mesh.triangles[some]].mean(axis=1) + dice.uniform(-1e-3, 1e-3, (15, 3))
        out = mesh.normals[mesh.triangles[some]].mean(axis=1)
        step = 0.002 * float(np.cbrt(solid.Volume()))
        assert not inside(witness, middle + step * out).any(), part.key
        assert inside(witness, middle - step * out).all(), part.key
    assert hits > 60


PAIRS = [
    ("rotor_drive", "body", (2.0, 1.0, 0.5)),
    ("rotor_drive", "rotor_driven", (4.0, 0.0, 0.0)),
    ("cover", "body", (0.0, 0.0, -1.5)),
    ("shaft_drive", "body", (0.0, 12.0, 0.0)),
]


@pytest.mark.parametrize(("mover", "other", "shift"), PAIRS)
def test_overlaps_are_as_large_as_random_points_say(
    head: Head, mover: str, other: str, shift: tuple[float, float, float]
) -> None:
    bodies = Bodies(head)
    found = overlap(bodies.placed(mover, "free", Place.at(*shift)), bodies.placed(other))
    assert found is not None
    low, high = np.array(found.low), np.array(found.high)
    points = np.random.default_rng(3).uniform(low, high, (4_000, 3))
    both = np.ones(len(points), bool)
    for key, motion in ((mover, Place.at(*shift)), (other, Place())):
        own = bodies.own(key)
        mesh = as_trimesh((motion @ head.part(key).place).points(own.points), own.triangles)
        both[both] = inside(mesh, points[both])
    hit, box = float(both.mean()), float(np.prod(high - low))
    spread = box * np.sqrt(max(hit, 1e-4) * (1 - hit) / len(points))
    assert found.volume_mm3 == pytest.approx(hit * box, abs=5 * spread)


@pytest.mark.parametrize(
    ("a", "b"), [("rotor_drive", "body"), ("rotor_drive", "rotor_driven"), ("cover", "rotor_drive")]
)
def test_no_point_of_one_part_is_nearer_to_the_other_than_the_gap(head: Head, a: str, b: str) -> None:
    bodies = Bodies(head)
    told = gap(bodies.placed(a), bodies.placed(b), 20.0)
    assert 0.0 < told < 1.0
    meshes = [
        as_trimesh(head.part(k).place.points(bodies.own(k).points), bodies.own(k).triangles) for k in (a, b)
    ]
    nearest = []
    for one, other in (meshes, meshes[::-1]):
        spots = np.asarray(trimesh.sample.sample_surface(one, 20_000, seed=4)[0])
        near = spots[trimesh.bounds.contains(other.bounds + np.array([[-5.0], [5.0]]), spots)][:200]
        off = trimesh.proximity.closest_point(other, near)[1]  # type: ignore[no-untyped-call]
        nearest.append(float(off.min()))
    assert told - 1e-6 <= min(nearest) < told + 2.0
