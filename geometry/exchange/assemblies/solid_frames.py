"""What tells equal solids: volume, area, corners; and a frame of its own for each, about its main axis.

Strangers' files often have equal parts drawn anew in each place. Two solids are equal where their corners and the
middles of their faces fall on each other, once carried by a rigid transform that is found by trying the few that their
main axes allow. A mirrored solid is another.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from ...frame import Floats, Place

LIKE = 1e-4
"""Share by which volumes and areas of equal solids may differ: of figures with six digits."""
MOST_TURNS = 240
"""Turns about the main axis that are tried; a wheel of more equal teeth is not told equal to another."""
SAME_MM = 2e-3
"""How far points of equal solids may lie apart, at least; larger ones as their figures have six digits."""


@dataclass(frozen=True)
class SolidFacts:
    """Of one solid, in the frame that it was drawn in, mm."""

    volume: float
    area: float
    extent: tuple[float, float, float]
    points: tuple[tuple[float, float, float], ...]
    """Corners and middles of faces."""
    origin: tuple[float, float, float]
    """A point of its main axis, beside its centre of mass."""
    axis: tuple[float, float, float]
    round: bool
    """Whether its main axis is that of round faces."""
    tori: tuple[tuple[float, float], ...] = ()
    """Radii of tori about the main axis, ring and section, where all its faces are such: an O-ring has one."""
    inner: float = 0.0
    outer: float = 0.0
    """Least and greatest radius of round faces about the main axis."""

    @property
    def frame(self) -> Place:
        """Its own frame: origin on the main axis, Z along it towards the end that is farther from the mass."""
        z = np.array(self.axis)
        points = np.array(self.points)
        along = (points - np.array(self.origin)) @ z
        if abs(along.max() + along.min()) > 1e-3 * float(np.ptp(along) or 1.0) and along.max() < -along.min():
            z = -z
        across = points - np.array(self.origin)
        across = across - np.outer(across @ z, z)
        far = np.linalg.norm(across, axis=1)
        x = across[int(np.argmax(far))] if far.max() > 1e-6 else np.eye(3)[int(np.argmin(np.abs(z)))]
        x = x - z * float(x @ z)
        x = x / np.linalg.norm(x)
        matrix = np.eye(4)
        matrix[:3, 0], matrix[:3, 1], matrix[:3, 2] = x, np.cross(z, x), z
        matrix[:3, 3] = self.origin
        return Place.from_matrix(matrix)


def facts_of(solid: Any) -> SolidFacts:
    """Return the facts of a solid of the CAD kernel."""
    from OCP.Bnd import Bnd_Box
    from OCP.BRep import BRep_Tool
    from OCP.BRepBndLib import BRepBndLib
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps
    from OCP.TopAbs import TopAbs_FACE, TopAbs_VERTEX
    from OCP.TopExp import TopExp
    from OCP.TopoDS import TopoDS
    from OCP.TopTools import TopTools_IndexedMapOfShape

    whole, skin = GProp_GProps(), GProp_GProps()
    BRepGProp.VolumeProperties_s(solid, whole)
    BRepGProp.SurfaceProperties_s(solid, skin)
    centre = _xyz(whole.CentreOfMass())
    box = Bnd_Box()
    BRepBndLib.AddOptimal_s(solid, box, False, False)
    low, high = _xyz(box.CornerMin()), _xyz(box.CornerMax())
    points: list[tuple[float, float, float]] = []
    lines: list[tuple[Floats, Floats, float, float, bool]] = []
    tori: list[tuple[float, float]] = []
    faces = TopTools_IndexedMapOfShape()
    TopExp.MapShapes_s(solid, TopAbs_FACE, faces)
    for n in range(1, faces.Extent() + 1):
        face = TopoDS.Face_s(faces.FindKey(n))
        of = GProp_GProps()
        BRepGProp.SurfaceProperties_s(face, of)
        points.append(_tuple(_xyz(of.CentreOfMass())))
        line, torus = _line_of(face, of.Mass())
        if line is not None:
            lines.append(line)
        if torus is not None:
            tori.append(torus)
    corners = TopTools_IndexedMapOfShape()
    TopExp.MapShapes_s(solid, TopAbs_VERTEX, corners)
    for n in range(1, corners.Extent() + 1):
        points.append(_tuple(_xyz(BRep_Tool.Pnt_s(TopoDS.Vertex_s(corners.FindKey(n))))))
    about, axis, is_round, radii = _main_axis(lines, centre, whole)
    origin = about + axis * float((centre - about) @ axis)
    return SolidFacts(
        float(whole.Mass()),
        float(skin.Mass()),
        _tuple(high - low),
        tuple(points),
        _tuple(origin),
        _tuple(axis),
        is_round,
        tuple(tori) if len(tori) == faces.Extent() else (),
        min(radii, default=0.0),
        max(radii, default=0.0),
    )


def _line_of(face: Any, area: float) -> tuple[Any, tuple[float, float] | None]:
    """Return point, direction, area, radius of a face's axis and whether it is round; and the radii of a torus."""
    from OCP.BRepAdaptor import BRepAdaptor_Surface
    from OCP.GeomAbs import GeomAbs_Cone, GeomAbs_Cylinder, GeomAbs_Plane, GeomAbs_Torus

    surface = BRepAdaptor_Surface(face)
    kind = surface.GetType()
    if kind == GeomAbs_Cylinder:
        c = surface.Cylinder()
        return (_xyz(c.Location()), _xyz(c.Axis().Direction()), area, c.Radius(), True), None
    if kind == GeomAbs_Cone:
        k = surface.Cone()
        return (_xyz(k.Location()), _xyz(k.Axis().Direction()), area, k.RefRadius(), True), None
    if kind == GeomAbs_Torus:
        t = surface.Torus()
        radii = (float(t.MajorRadius()), float(t.MinorRadius()))
        return (_xyz(t.Location()), _xyz(t.Axis().Direction()), area, radii[0], True), radii
    if kind == GeomAbs_Plane:
        p = surface.Plane()
        return (_xyz(p.Location()), _xyz(p.Axis().Direction()), area, 0.0, False), None
    return None, None


def _main_axis(
    lines: list[tuple[Floats, Floats, float, float, bool]], centre: Floats, whole: Any
) -> tuple[Floats, Floats, bool, list[float]]:
    """Return point and direction of the main axis, whether it is that of round faces, and their radii.

    The axis of round faces that is nearest the centre of mass, by area; else the direction of the largest planes.
    """
    groups: list[tuple[Floats, Floats, float, list[float]]] = []
    for point, d, area, radius, is_round in lines:
        if not is_round:
            continue
        for n, (at, along, sum_, radii) in enumerate(groups):
            off = point - at
            if (
                abs(float(d @ along)) > 1 - 1e-6
                and float(np.linalg.norm(off - along * float(off @ along))) < 1e-3
            ):
                groups[n] = (at, along, sum_ + area, [*radii, radius])
                break
        else:
            groups.append((point, d, area, [radius]))

    def weight(group: tuple[Floats, Floats, float, list[float]]) -> float:
        at, along, area, radii = group
        off = centre - at
        away = float(np.linalg.norm(off - along * float(off @ along)))
        return area / (1.0 + away / (max(radii) + 1e-9)) ** 2

    planes: dict[tuple[float, ...], float] = {}
    for _, d, area, _, is_round in lines:
        if not is_round:
            one = d if tuple(np.round(d[::-1], 6)) > (0.0, 0.0, 0.0) else -d
            at = tuple((np.round(one, 6) + 0.0).tolist())
            planes[at] = planes.get(at, 0.0) + area
    largest = max(planes.items(), key=lambda item: (item[1], item[0]), default=None)
    best = max(groups, key=weight, default=None)
    if best is not None and (largest is None or weight(best) > 0.25 * largest[1]):
        return best[0], best[1], True, best[3]
    if largest is not None:
        along = np.array(largest[0])
        return centre, along / np.linalg.norm(along), False, []
    principal = whole.PrincipalProperties().FirstAxisOfInertia()
    return centre, np.array([principal.X(), principal.Y(), principal.Z()]), False, []


def carried_onto(a: SolidFacts, b: SolidFacts) -> Place | None:
    """Return the rigid place that carries solid ``a`` onto ``b``; None where they are not equal."""
    if len(a.points) != len(b.points) or a.round != b.round:
        return None
    if abs(a.volume - b.volume) > LIKE * a.volume or abs(a.area - b.area) > LIKE * a.area:
        return None
    frame_a = _at(np.array(a.origin), np.array(a.axis))
    own_a = frame_a.inverse().points(np.array(a.points))
    far = float(np.linalg.norm(own_a, axis=1).max())
    same = max(SAME_MM, 2e-5 * far)
    lead = int(np.argmax(np.hypot(own_a[:, 0], own_a[:, 1])))
    for way in (1.0, -1.0):
        frame_b = _at(np.array(b.origin), way * np.array(b.axis))
        own_b = frame_b.inverse().points(np.array(b.points))
        for turn in _turns(own_a[lead], own_b, same):
            place = Place.turn(turn)
            if _fall_on(place.points(own_a), own_b, same):
                return frame_b @ place @ frame_a.inverse()
    return None


def _turns(lead: Floats, others: Floats, same: float) -> list[float]:
    """Return the turns about Z that carry a point onto one of ``others``, degrees; one where it lies on the axis."""
    radius = float(np.hypot(lead[0], lead[1]))
    if radius <= same:
        return [0.0]
    near = np.abs(np.hypot(others[:, 0], others[:, 1]) - radius) <= same
    near &= np.abs(others[:, 2] - lead[2]) <= same
    angles = np.degrees(np.arctan2(others[near, 1], others[near, 0]) - np.arctan2(lead[1], lead[0]))
    return np.unique(np.round(angles % 360.0, 7)).tolist()[:MOST_TURNS]


def _fall_on(a: Floats, b: Floats, same: float) -> bool:
    """Return whether each point of ``a`` lies on one of ``b``, and each of ``b`` on one of ``a``."""
    from scipy.spatial import cKDTree

    there, _ = cKDTree(b).query(a)
    if float(there.max()) > same:
        return False
    back, _ = cKDTree(a).query(b)
    return float(back.max()) <= same


def _at(origin: Floats, axis: Floats) -> Place:
    side = np.eye(3)[int(np.argmin(np.abs(axis)))]
    x = side - axis * float(side @ axis)
    x = x / np.linalg.norm(x)
    matrix = np.eye(4)
    matrix[:3, 0], matrix[:3, 1], matrix[:3, 2] = x, np.cross(axis, x), axis
    matrix[:3, 3] = origin
    return Place.from_matrix(matrix)


def _xyz(p: Any) -> Floats:
    return np.array([p.X(), p.Y(), p.Z()])


def _tuple(v: Floats) -> tuple[float, float, float]:
    return float(v[0]), float(v[1]), float(v[2])
