"""Axes of the faces of a solid: where a part most likely goes in and out."""

from __future__ import annotations

from ..frame import Vec3
from ..solid import MeshSolid, Solid
from .mesh_faces import mesh_face_axes


def face_axes(solid: Solid) -> list[tuple[Vec3, float]]:
    """Return normals of plane faces and axes of cylindrical and conical ones, in the solid's own frame, with area, mm2.

    As the CAD kernel knows them; of a mesh, as its facets show them (see :mod:`.mesh_faces`).
    """
    if isinstance(solid, MeshSolid):
        return mesh_face_axes(solid)
    found: list[tuple[Vec3, float]] = []
    for face in solid.Faces():
        kind = face.geomType()
        if kind == "PLANE":
            n = face.normalAt()
            found.append(((n.x, n.y, n.z), float(face.Area())))
        elif kind in ("CYLINDER", "CONE"):
            found.append((_axis_of(face.wrapped, kind), float(face.Area())))
    return found


def _axis_of(face: object, kind: str) -> Vec3:
    from OCP.BRepAdaptor import BRepAdaptor_Surface

    surface = BRepAdaptor_Surface(face)
    round_face = surface.Cylinder() if kind == "CYLINDER" else surface.Cone()
    d = round_face.Axis().Direction()
    return (d.X(), d.Y(), d.Z())
