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


def round_axes(solid: Solid) -> list[tuple[Vec3, Vec3, float]]:
    """Return the lines about which faces of a solid are round, own frame: a point (mm), a direction, the area (mm2).

    Cylinders, cones and rings, as the CAD kernel knows them; none of a mesh, whose facets tell directions alone.
    """
    if isinstance(solid, MeshSolid):
        return []
    found: list[tuple[Vec3, Vec3, float]] = []
    for face in solid.Faces():
        kind = face.geomType()
        if kind in ("CYLINDER", "CONE", "TORUS"):
            point, direction = _line_of(face.wrapped, kind)
            found.append((point, direction, float(face.Area())))
    return found


def _axis_of(face: object, kind: str) -> Vec3:
    return _line_of(face, kind)[1]


def _line_of(face: object, kind: str) -> tuple[Vec3, Vec3]:
    from OCP.BRepAdaptor import BRepAdaptor_Surface

    surface = BRepAdaptor_Surface(face)
    line = {"CYLINDER": surface.Cylinder, "CONE": surface.Cone, "TORUS": surface.Torus}[kind]().Axis()
    p, d = line.Location(), line.Direction()
    return (p.X(), p.Y(), p.Z()), (d.X(), d.Y(), d.Z())
