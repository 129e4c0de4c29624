"""Mesh parts as shapes of the CAD kernel: solids of plane faces, and faces of triangles alone."""

from __future__ import annotations

import cadquery as cq
import numpy as np
import pytest
import trimesh
from benchleaf.geometry.exchange.mesh_shapes import faceted_solid, triangulated_face
from benchleaf.geometry.solid import MeshSolid
from mesh_samples import bracket, mesh_solid


def test_a_faceted_solid_is_valid_and_of_the_same_volume() -> None:
    mesh = mesh_solid(bracket(), 0.2, 30.0)
    solid = faceted_solid(mesh)
    assert solid.isValid()
    assert len(solid.Faces()) == len(mesh.triangles)
    assert {f.geomType() for f in solid.Faces()} == {"PLANE"}
    assert solid.Volume() == pytest.approx(mesh.volume_mm3, rel=1e-9)
    centre = trimesh.Trimesh(mesh.points, mesh.triangles, process=False).center_mass
    assert solid.Center().toTuple() == pytest.approx(tuple(centre), abs=1e-6)


def test_a_cavity_stays_one() -> None:
    outer, inner = trimesh.creation.box((10, 10, 10)), trimesh.creation.box((4, 4, 4))
    inner.invert()
    points = np.concatenate([outer.vertices, inner.vertices])
    solid = faceted_solid(MeshSolid(points, np.concatenate([outer.faces, inner.faces + 8]).astype(np.int32)))
    assert solid.isValid()
    assert len(solid.Shells()) == 2
    assert solid.Volume() == pytest.approx(936.0)


def test_a_face_of_triangles_holds_them_all() -> None:
    from OCP.BRep import BRep_Tool
    from OCP.TopLoc import TopLoc_Location

    mesh = mesh_solid(cq.Workplane().box(4, 5, 6))
    held = BRep_Tool.Triangulation_s(triangulated_face(mesh, 0.05).wrapped, TopLoc_Location())
    assert (held.NbTriangles(), held.NbNodes(), held.HasNormals()) == (12, 24, True)
