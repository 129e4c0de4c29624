"""Whether a mesh encloses a solid: what is wrong with it in figures, and what could be mended without a guess.

Corners in one place are joined, and a body that is inside out as a whole is turned; both change no point of the
surface and leave no choice. Everything else (a hole, a triangle turned over, one that is there twice) is for whoever
drew the part.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import manifold3d as m3
import numpy as np
from numpy.typing import NDArray

from ..frame import Floats
from ..meshes.closed_bodies import LEAST_VOLUME_MM3, OverlapError, make_manifold
from ..meshes.smoothing_groups import EDGE_ANGLE_DEG, FLAT_ANGLE_DEG, joined, neighbours
from ..solid import MeshSolid, enclosed_mm3
from .bounded import Refused

Indices = NDArray[np.int64]

LEAST_ACROSS_MM, MOST_ACROSS_MM = 0.2, 20_000.0
FINE_MM = 0.01
"""Facets that lie no farther off need no remark: the tolerance that a proof works to."""
_FOLD_DEG = 179.5
_FOLD_MM = 1e-3
"""Single precision may turn over a sliver that is thinner."""
CLOSED = "a closed surface"
HEAL = "close and heal the mesh in the program that made it, or export STEP instead"


def judge_mesh(points: Floats, triangles: Indices, remark_on_joints: bool = True) -> MeshSolid:
    """Return the closed mesh of ``points`` (n, 3) float64 mm and ``triangles`` (m, 3), corners joined, outside out.

    Args:
        points: corners, as many in one place as there may be.
        triangles: numbers of their corners, anticlockwise from outside.
        remark_on_joints: whether corners in one place are worth a remark.

    Raises:
        Refused: with what is wrong, how often and where (mm, in the file's frame).
    """
    if not np.isfinite(points).all():
        bad = int((~np.isfinite(points).all(axis=1)).sum())
        raise Refused(
            f"{_count(bad, 'corner')} without a place", "figures for every corner", "export it again"
        )
    points, triangles, removed = _joined_corners(points, triangles)
    _check_size(points)
    _check_triangles(points, triangles)
    _check_edges(points, triangles)
    remarks = (
        [f"{_count(removed, 'corner')} in the place of others were joined"]
        if removed and remark_on_joints
        else []
    )
    shells = _shells(points, triangles)
    if sum(s.volume_mm3 for s in shells) < 0:
        triangles = np.ascontiguousarray(triangles[:, ::-1])
        shells = _shells(points, triangles)
        remarks.append("its surface was inside out and was turned")
    _check_folds(points, triangles)
    _check_bodies(points, triangles, shells)
    off = facet_error_mm(points, triangles)
    if off > FINE_MM:
        remarks.append(
            f"its facets lie up to about {off:.2g} mm off round faces; its gaps are no truer than that"
        )
    return MeshSolid(points, triangles.astype(np.int32), tuple(remarks))


def _count(number: int, what: str, many: str = "") -> str:
    return f"{number:,} {what if number == 1 else many or what + 's'}"


def _placed(number: int, one: str, many: str, place: Floats) -> str:
    """Return how many there are of what, and where one of them is."""
    return f"{_count(number, one, many)}, {'at' if number == 1 else 'one at'} {_point(place)}"


def _point(point: Floats) -> str:
    return "({})".format(", ".join(f"{c + 0.0:.2f}" for c in np.round(point, 2))) + " mm"


def _joined_corners(points: Floats, triangles: Indices) -> tuple[Floats, Indices, int]:
    """Return points no two of which are equal, those that no triangle has left out, and how many were spared."""
    used, numbers = np.unique(triangles, return_inverse=True)
    places, same = np.unique(points[used] + 0.0, axis=0, return_inverse=True)
    return places, same.ravel()[numbers].reshape(-1, 3).astype(np.int64), len(used) - len(places)


def _check_size(points: Floats) -> None:
    with np.errstate(over="ignore"):  # of figures that no part has, the sides have no end
        across = math.hypot(*(points.max(axis=0) - points.min(axis=0)))
    if not LEAST_ACROSS_MM <= across <= MOST_ACROSS_MM:
        raise Refused(
            f"a part {across:.3g} mm across",
            f"{LEAST_ACROSS_MM:g} to {MOST_ACROSS_MM:g} mm",
            "check the unit that it is said to be in",
        )


def _check_triangles(points: Floats, triangles: Indices) -> None:
    """Check for triangles without area and triangles that are there twice."""
    told: list[str] = []
    p = points[triangles]
    sides = np.linalg.norm(p - p[:, [1, 2, 0]], axis=2).max(axis=1)
    twice_area = np.linalg.norm(np.cross(p[:, 1] - p[:, 0], p[:, 2] - p[:, 0]), axis=1)
    flat = np.flatnonzero(twice_area <= 1e-12 * sides**2)
    if len(flat):
        place = p[flat[0]].mean(axis=0)
        told.append(_placed(len(flat), "triangle without area", "triangles without area", place))
    order = np.sort(triangles, axis=1)
    _, first, times = np.unique(order, axis=0, return_index=True, return_counts=True)
    double = int((times - 1).sum())
    if double:
        place = p[first[times > 1][0]].mean(axis=0)
        one, many = "triangle that is there more than once", "triangles that are there more than once"
        told.append(_placed(double, one, many, place))
    if told:
        raise Refused(" and ".join(told), "each piece of the surface once", HEAL)


def _check_edges(points: Floats, triangles: Indices) -> None:
    """Check that every edge has two triangles, which run along it in opposite directions."""
    start, end = triangles.ravel(), triangles[:, [1, 2, 0]].ravel()
    low, high = np.minimum(start, end), np.maximum(start, end)
    keys, edge, uses = np.unique(low * len(points) + high, return_inverse=True, return_counts=True)
    ends = np.stack([keys // len(points), keys % len(points)], axis=1)
    middle = points[ends].mean(axis=1)
    told: list[str] = []
    is_open = uses == 1
    if is_open.any():
        rims = len(np.unique(joined(ends[is_open], len(points))[ends[is_open].ravel()]))
        round_them = f"round {_count(rims, 'hole')}"
        one, many = f"open edge {round_them}", f"open edges {round_them}"
        told.append(_placed(int(is_open.sum()), one, many, middle[is_open][0]))
    crowded = uses > 2
    if crowded.any():
        one, many = (f"{what} where more than two triangles meet" for what in ("edge", "edges"))
        told.append(_placed(int(crowded.sum()), one, many, middle[crowded][0]))
    if not told:
        forward = np.bincount(edge, start < end, len(keys))
        turned, which = _turned_over(triangles, edge, forward == 1)
        if turned:
            one = "triangle that faces the other way than its neighbours"
            many = "triangles that face the other way than their neighbours"
            told.append(_placed(turned, one, many, points[triangles[which]].mean(axis=0)))
    if told:
        raise Refused(" and ".join(told), CLOSED, HEAL)


def _turned_over(triangles: Indices, edge: Indices, agree: NDArray[np.bool_]) -> tuple[int, int]:
    """Return how many triangles face the other way than most that they hang together with, and one of them."""
    order = np.argsort(edge, kind="stable").reshape(-1, 2) // 3
    alike, hang = joined(order[agree], len(triangles)), joined(order, len(triangles))
    sizes = np.bincount(alike)
    most: dict[int, int] = {}
    for group, body in set(zip(alike.tolist(), hang.tolist(), strict=True)):
        if body not in most or sizes[group] > sizes[most[body]]:
            most[body] = group
    lead = np.array([most[b] for b in range(len(most))])
    wrong = np.flatnonzero(alike != lead[hang])
    return len(wrong), int(wrong[0]) if len(wrong) else 0


@dataclass(frozen=True)
class _Shell:
    """A piece of surface that hangs together: a body's outside, or inside out a cavity."""

    triangles: Indices
    volume_mm3: float
    point: Floats


def _shells(points: Floats, triangles: Indices) -> list[_Shell]:
    """Return the shells of a closed surface, largest first."""
    near = neighbours(points, triangles.astype(np.int32))
    label = near.groups(180.0)
    shells = []
    for n in range(int(label.max()) + 1):
        own = triangles[label == n]
        shells.append(_Shell(own, enclosed_mm3(points, own), points[own[0, 0]]))
    return sorted(shells, key=lambda s: -abs(s.volume_mm3))


def _check_folds(points: Floats, triangles: Indices) -> None:
    """Check that no triangle lies flat on its neighbour, as one of a fan over a hollow polygon does."""
    near = neighbours(points, triangles.astype(np.int32))
    folded = np.flatnonzero(near.bend_deg > _FOLD_DEG)
    p = points[triangles]
    longest = np.linalg.norm(p - p[:, [1, 2, 0]], axis=2).max(axis=1)
    thin = 2.0 * near.area / longest
    folded = folded[thin[near.tris[folded]].min(axis=1) > _FOLD_MM]
    if len(folded):
        one, many = (f"{what} where a triangle lies folded on the next" for what in ("edge", "edges"))
        raise Refused(
            _placed(len(folded), one, many, points[triangles[near.tris[folded[0], 0]]].mean(axis=0)),
            "faces cut into triangles that lie beside each other",
            "export triangles instead of faces with more corners, or STEP",
        )


def _check_bodies(points: Floats, triangles: Indices, shells: list[_Shell]) -> None:
    """Check that the shells are one body, hollow or not, that nowhere passes through itself."""
    manifold = _manifold(points, triangles)
    outer = [s for s in shells if s.volume_mm3 > 0]
    flat = [s for s in shells if abs(s.volume_mm3) < LEAST_VOLUME_MM3]
    if flat:
        one, many = "piece of surface that encloses nothing", "pieces of surface that enclose nothing"
        raise Refused(_placed(len(flat), one, many, flat[0].point), "one closed body", HEAL)
    if len(outer) > 1:
        first, second = (_manifold(points, s.triangles) for s in outer[:2])
        shared = float((first ^ second).volume())
        if shared > LEAST_VOLUME_MM3:
            raise Refused(
                f"{len(outer)} bodies of which two share {shared:.4g} mm3, the smaller at {_point(outer[1].point)}",
                "one closed body",
                "join them into one where the part was drawn; a cavity has to face inwards",
            )
        sizes = ", ".join(f"{s.volume_mm3:.4g}" for s in outer[:4]) + (", ..." if len(outer) > 4 else "")
        raise Refused(
            f"{len(outer)} separate bodies ({sizes} mm3), the smaller at {_point(outer[1].point)}",
            "one closed body",
            "export each part alone, or join them where they were drawn",
        )
    # A boolean of a surface with itself sums the squares of its winding numbers: 1 inside a sound one, and 4 where it
    # covers space twice or 1 where -1 stands for a part inside out.
    both = manifold ^ m3.Manifold(m3.Mesh64(points, triangles.astype(np.uint64)))
    excess = (float(both.volume()) - float(manifold.volume())) / 2.0
    if both.status() != m3.Error.NoError or excess > LEAST_VOLUME_MM3 + 1e-6 * manifold.volume():
        where = _new_corner(both, points)
        near = f", near {_point(where)}" if where is not None else ""
        raise Refused(
            f"a surface that passes through itself or is partly inside out ({excess:.3g} mm3{near})",
            "a surface that encloses each place once",
            HEAL,
        )


def _manifold(points: Floats, triangles: Indices) -> m3.Manifold:
    try:
        return make_manifold(points, triangles)
    except OverlapError as error:
        raise Refused(f"a surface that booleans cannot work with ({error})", CLOSED, HEAL) from error


def _new_corner(both: m3.Manifold, points: Floats) -> Floats | None:
    """Return a corner that a boolean has and the surface has not: where that crosses itself."""
    corners = np.asarray(both.to_mesh64().vert_properties, float)[:, :3]
    known = {p.tobytes() for p in points + 0.0}
    return next((c for c in corners + 0.0 if c.tobytes() not in known), None)


def facet_error_mm(points: Floats, triangles: Indices) -> float:
    """Return about how far the facets of round faces lie off them, at most, mm.

    Facets of width w that meet at the angle a are chords of a circle of radius w / (2 tan(a/2)), and lie
    w tan(a/4) / 2 inside it. Of two that meet, the narrower counts.
    """
    near = neighbours(points, triangles.astype(np.int32))
    flows = (near.bend_deg > FLAT_ANGLE_DEG) & (near.bend_deg <= EDGE_ANGLE_DEG)
    if not flows.any():
        return 0.0
    tris, sides = near.tris[flows], near.sides[flows]
    ends = [points[triangles[tris[:, 0], (sides[:, 0] + k) % 3]] for k in (0, 1)]
    length = np.linalg.norm(ends[1] - ends[0], axis=1)
    width = (2.0 * near.area[tris] / np.maximum(length, 1e-12)[:, None]).min(axis=1)
    quarter = np.radians(near.bend_deg[flows]) / 4.0
    error = width * np.tan(quarter) / 2.0
    return float(error.max()) if math.isfinite(float(error.max())) else 0.0
