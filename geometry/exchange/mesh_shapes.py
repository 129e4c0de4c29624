"""Mesh parts as shapes of the CAD kernel, for the files that it writes."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from ..meshes.tessellation import mesh_of_shape
from ..solid import MeshSolid

if TYPE_CHECKING:
    import cadquery as cq

MOST_FACETS = 4_000
"""A STEP file takes 2.4 kB a facet: more of them no CAD program is glad of."""


def faceted_solid(solid: MeshSolid) -> cq.Solid:
    """Return a mesh as a solid with a plane face for every triangle, for STEP, which knows no meshes that others read.

    Takes about 0.4 ms a triangle; see :data:`MOST_FACETS`.
    """
    import cadquery as cq
    from OCP.BRepBuilderAPI import (
        BRepBuilderAPI_MakeFace,
        BRepBuilderAPI_MakePolygon,
        BRepBuilderAPI_MakeSolid,
        BRepBuilderAPI_Sewing,
    )
    from OCP.gp import gp_Pnt

    corners = [gp_Pnt(*p) for p in solid.points.tolist()]
    sewing = BRepBuilderAPI_Sewing(1e-6)
    for a, b, c in solid.triangles.tolist():
        wire = BRepBuilderAPI_MakePolygon(corners[a], corners[b], corners[c], True).Wire()
        sewing.Add(BRepBuilderAPI_MakeFace(wire, True).Face())
    sewing.Perform()
    made = BRepBuilderAPI_MakeSolid()
    for shell in cq.Shape.cast(sewing.SewedShape()).Shells():
        made.Add(shell.wrapped)
    return cq.Solid(made.Solid())


def triangulated_face(solid: MeshSolid, tolerance_mm: float) -> cq.Face:
    """Return a mesh as one face that holds nothing but its triangles and normals, for glTF, which is made of such."""
    import cadquery as cq
    from OCP.BRep import BRep_Builder
    from OCP.gp import gp_Dir, gp_Pnt
    from OCP.Poly import Poly_Triangle, Poly_Triangulation
    from OCP.TopoDS import TopoDS_Face

    mesh = mesh_of_shape(solid, tolerance_mm)
    held = Poly_Triangulation(len(mesh.points), len(mesh.triangles), False, True)
    for n, (p, d) in enumerate(zip(mesh.points.tolist(), mesh.normals.tolist(), strict=True), 1):
        held.SetNode(n, gp_Pnt(*p))
        held.SetNormal(n, gp_Dir(*(d if np.any(d) else (0.0, 0.0, 1.0))))
    for n, (a, b, c) in enumerate((mesh.triangles + 1).tolist(), 1):
        held.SetTriangle(n, Poly_Triangle(a, b, c))
    face = TopoDS_Face()
    BRep_Builder().MakeFace(face, held)
    return cq.Face(face)
