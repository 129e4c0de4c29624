"""Meshes for tests: solids of the CAD kernel as triangles, in every format, whole and with a fault put in."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import cadquery as cq
import numpy as np
import trimesh
from benchleaf.geometry.frame import Floats
from benchleaf.geometry.meshes.tessellation import closed_surface
from benchleaf.geometry.solid import MeshSolid
from numpy.typing import NDArray

FORMATS = {"stl": 1.0, "obj": 1.0, "ply": 1.0, "3mf": 1.0, "glb": 1000.0}
"""Ending to the length in mm that a figure of 1 stands for."""
Soup = tuple[Floats, NDArray[np.int64]]
"""Points (n, 3) mm and triangles (m, 3)."""


def shape_of(made: cq.Shape | cq.Workplane) -> cq.Shape:
    """Return the shape that a workplane has come to."""
    shape = made.val() if isinstance(made, cq.Workplane) else made
    assert isinstance(shape, cq.Shape)
    return shape


@lru_cache(maxsize=1)
def bracket() -> cq.Shape:
    """Return a plate with rounded corners, two bores, a slot and a turned boss: flats, cylinders, a cone, a torus."""
    plate = cq.Workplane().box(40, 24, 6, centered=(True, True, False)).edges("|Z").fillet(5)
    plate = plate.faces(">Z").workplane().pushPoints([(-12, 0), (12, 0)]).hole(6.4)
    plate = plate.faces("<Z").workplane().rect(4, 14).cutBlind(-2)
    boss = cq.Workplane().circle(4).extrude(14).faces(">Z").chamfer(1)
    return shape_of(plate.union(boss).edges("<Z").edges("%CIRCLE").edges(">X or <X").fillet(0.6))


def mesh_solid(
    made: cq.Shape | cq.Workplane, tolerance_mm: float = 0.01, angle_deg: float = 12.0
) -> MeshSolid:
    """Return a solid as a mesh, its points in single precision as files hold them."""
    points, triangles = closed_surface(shape_of(made), tolerance_mm, angle_deg)
    return MeshSolid(points.astype(np.float32).astype(float), triangles)


def soup(solid: MeshSolid) -> Soup:
    """Return copies of points and triangles, to put faults in."""
    return solid.points.copy(), solid.triangles.astype(np.int64)


def as_trimesh(points: Floats, triangles: NDArray[np.integer]) -> trimesh.Trimesh:
    """Return points and triangles as trimesh holds them, nothing tidied."""
    return trimesh.Trimesh(points, triangles, process=False, validate=False)


def in_format(
    points: Floats, triangles: NDArray[np.integer], ending: str, unit_mm: float | None = None
) -> bytes:
    """Return a mesh file as trimesh writes it: figures in units of ``unit_mm``, the format's own if left out."""
    scale = unit_mm or FORMATS[ending]
    return exported(as_trimesh(points / scale, triangles), ending)


def exported(thing: Any, file_type: str) -> bytes:
    """Return a mesh, scene or cloud as trimesh writes it."""
    data = thing.export(file_type=file_type)
    return data.encode() if isinstance(data, str) else bytes(data)


def inside(mesh: trimesh.Trimesh, points: Floats) -> NDArray[np.bool_]:
    """Return whether points (n, 3) lie in a closed mesh: whether a ray along Z meets it an odd number of times.

    Rays along an axis keep the search tree's answers short; those that trimesh takes itself lie askew.
    """
    rays = np.tile((0.0, 0.0, 1.0), (len(points), 1))
    _, ray = mesh.ray.intersects_id(points, rays, multiple_hits=True)
    odd: NDArray[np.bool_] = np.bincount(ray, minlength=len(points)) % 2 == 1
    return odd
