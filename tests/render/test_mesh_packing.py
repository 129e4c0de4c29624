"""Packed meshes come back within their quantisation: every triangle, true edge and normal, from real solids."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from benchleaf.geometry.frame import Floats
from benchleaf.geometry.meshes.tessellation import Mesh
from benchleaf.render.engine.line_work import edge_segments, edge_spacing
from benchleaf.render.pictures.viewer.mesh_packing import (
    CROWDED_UNIT,
    ReadMesh,
    from_octahedral,
    octahedral,
    pack_meshes,
    unpack_meshes,
)
from sample_assembly import sample_models

CELL_MM = 3.0


def meshes() -> list[Mesh]:
    return list({id(m.mesh): m.mesh for m in sample_models()}.values())


def read(some: list[Mesh]) -> list[ReadMesh]:
    return unpack_meshes(*pack_meshes(some, CELL_MM))


def test_every_triangle_comes_back_within_half_a_step() -> None:
    some = meshes()
    heads, content = pack_meshes(some, CELL_MM)
    for mesh, head, back in zip(some, heads, unpack_meshes(heads, content), strict=True):
        assert len(back.points) >= len(np.unique(mesh.triangles)), "no point is lost"
        apart = np.abs(mesh.points[mesh.triangles] - back.points[back.triangles]).max()
        assert apart <= head.step_mm * (0.5 + 1e-6)
        assert head.step_mm <= np.ptp(mesh.points, axis=0).max() / 16_000


def test_normals_are_told_to_an_eighth_of_a_degree() -> None:
    for mesh, back in zip(meshes(), read(meshes()), strict=True):
        facing = (mesh.normals[mesh.triangles] * back.normals[back.triangles]).sum(axis=-1)
        assert np.degrees(np.arccos(np.clip(facing, -1, 1))).max() < 0.12


def test_true_edges_come_with_both_faces_and_their_room() -> None:
    some = meshes()
    heads, content = pack_meshes(some, CELL_MM)
    assert sum(len(h.edges) for h in heads) > 20
    for mesh, head, back in zip(some, heads, unpack_meshes(heads, content), strict=True):
        segments = edge_segments(mesh)
        sides = [np.stack([n[:-1], n[1:]], axis=1) for n in mesh.edge_normals]
        normals = np.concatenate(sides) if sides else np.empty((0, 2, 2, 3))
        for own, face in ((back.one, 0), (back.other, 1)):
            assert np.abs(back.points[own] - segments).max(initial=0.0) <= head.step_mm * (0.5 + 1e-6)
            facing = (back.normals[own] * normals[:, :, face]).sum(axis=-1)
            assert facing.min(initial=1.0) > np.cos(np.radians(0.12))
        room = edge_spacing(mesh, CELL_MM) / CELL_MM
        told = np.isfinite(back.crowded)
        assert np.array_equal(told, room < 255 * CROWDED_UNIT)
        assert (np.abs(back.crowded[told] - room[told]) <= CROWDED_UNIT).all()
        assert (back.crowded[told] <= room[told]).all(), "a line is never wider than there is room for"


def test_an_edge_that_is_not_in_the_mesh_is_added() -> None:
    mesh = next(m for m in meshes() if m.edges)
    lifted = dataclasses.replace(mesh, edges=tuple(e + 1.0 for e in mesh.edges))
    (head,), content = pack_meshes([lifted], CELL_MM)
    (back,) = unpack_meshes((head,), content)
    assert np.abs(back.points[back.one] - edge_segments(lifted)).max() <= head.step_mm
    assert np.abs(mesh.points[mesh.triangles] - back.points[back.triangles]).max() <= head.step_mm


def test_few_bytes_and_the_same_each_time() -> None:
    some = meshes()
    heads, content = pack_meshes(some, CELL_MM)
    assert (heads, content) == pack_meshes(some, CELL_MM)
    triangles = sum(len(m.triangles) for m in some)
    assert len(content) < 8 * triangles, (
        "a triangle takes less than its three corners as numbers of four bytes"
    )


def test_normals_unfold_from_the_octahedron() -> None:
    random = np.random.default_rng(4)
    some: Floats = random.normal(size=(500, 3))
    some = np.concatenate([some / np.linalg.norm(some, axis=1, keepdims=True), np.eye(3), -np.eye(3)])
    points = octahedral(some)
    assert np.abs(points).max() <= 1.0
    assert np.allclose(from_octahedral(points), some, atol=1e-12)


@pytest.mark.parametrize("change", ["cut", "longer", "broken"])
def test_nothing_else_is_taken_for_meshes(change: str) -> None:
    heads, content = pack_meshes(meshes(), CELL_MM)
    if change == "longer":
        heads = heads[:-1]
    spoiled = {"cut": content[:-9], "longer": content, "broken": b"\xff" + content}[change]
    with pytest.raises(ValueError, match="meshes"):
        unpack_meshes(heads, spoiled)
