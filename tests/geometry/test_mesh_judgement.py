"""A mesh is judged with figures: each fault put in is found, counted and placed; what can be mended is, and is told."""

from __future__ import annotations

import re
from collections.abc import Callable

import numpy as np
import pytest
import trimesh
from benchleaf.geometry.exchange.bounded import Refused
from benchleaf.geometry.exchange.mesh_judgement import facet_error_mm, judge_mesh
from benchleaf.geometry.meshes.closed_bodies import make_manifold
from benchleaf.geometry.solid import MeshSolid, enclosed_mm3
from hypothesis import given
from hypothesis import strategies as st
from mesh_samples import Soup, as_trimesh, bracket, mesh_solid, soup

PLATE = mesh_solid(bracket())


def box(size: float, at: tuple[float, float, float] = (0.0, 0.0, 0.0), inwards: bool = False) -> Soup:
    """Return a cube about a point."""
    mesh = trimesh.creation.box((size, size, size))
    mesh.apply_translation(at)
    triangles = np.asarray(mesh.faces, np.int64)
    return np.asarray(mesh.vertices, float), triangles[:, ::-1] if inwards else triangles


def together(*pieces: Soup) -> Soup:
    """Return several pieces as one mesh."""
    points, triangles, first = [], [], 0
    for p, t in pieces:
        points.append(p)
        triangles.append(t + first)
        first += len(p)
    return np.concatenate(points), np.concatenate(triangles)


def apart(points: np.ndarray, triangles: np.ndarray) -> Soup:
    """Return the mesh with corners of its own for each triangle, as STL holds it."""
    return points[triangles].reshape(-1, 3), np.arange(triangles.size).reshape(-1, 3)


def test_a_sound_mesh_comes_back_as_it_is() -> None:
    solid = judge_mesh(*soup(PLATE))
    assert solid.remarks == ()
    assert len(solid.triangles) == len(PLATE.triangles)
    assert solid.volume_mm3 == pytest.approx(PLATE.volume_mm3, rel=1e-12)
    assert solid.volume_mm3 == pytest.approx(bracket().Volume(), abs=0.01 * bracket().Area())
    witness = as_trimesh(solid.points, solid.triangles)
    assert (witness.is_watertight, witness.is_winding_consistent, witness.body_count) == (True, True, 1)


def test_corners_in_one_place_are_joined_and_told() -> None:
    points, triangles = apart(*soup(PLATE))
    assert not as_trimesh(points, triangles).is_watertight
    solid = judge_mesh(points, triangles)
    spared = 3 * len(PLATE.triangles) - len(PLATE.points)
    assert solid.remarks == (f"{spared:,} corners in the place of others were joined",)
    assert as_trimesh(solid.points, solid.triangles).is_watertight
    assert judge_mesh(points, triangles, remark_on_joints=False).remarks == ()


def test_a_body_that_is_inside_out_is_turned_and_told() -> None:
    points, triangles = soup(PLATE)
    solid = judge_mesh(points, triangles[:, ::-1])
    assert solid.remarks == ("its surface was inside out and was turned",)
    assert solid.volume_mm3 == pytest.approx(PLATE.volume_mm3, rel=1e-12)


def test_a_cavity_is_part_of_one_body_and_a_hollow_body_inside_out_is_turned_with_it() -> None:
    hollow = together(box(10), box(4, inwards=True))
    assert judge_mesh(*hollow).volume_mm3 == pytest.approx(1000 - 64)
    turned = judge_mesh(hollow[0], hollow[1][:, ::-1])
    assert turned.volume_mm3 == pytest.approx(1000 - 64)
    assert turned.remarks == ("its surface was inside out and was turned",)


def hole(points: np.ndarray, triangles: np.ndarray) -> Soup:
    """Take out two triangles far from each other."""
    first = points[triangles].mean(axis=1)[:, 0]
    return points, np.delete(triangles, [int(first.argmin()), int(first.argmax())], axis=0)


def flipped(points: np.ndarray, triangles: np.ndarray) -> Soup:
    triangles = triangles.copy()
    triangles[7] = triangles[7][::-1]
    return points, triangles


def doubled(points: np.ndarray, triangles: np.ndarray) -> Soup:
    return points, np.concatenate([triangles, triangles[5:6], triangles[9:10][:, [1, 2, 0]]])


def lined_twice(points: np.ndarray, triangles: np.ndarray) -> Soup:
    """Put in a triangle and the same turned over: no hole, no volume, an edge with four triangles."""
    return points, np.concatenate([triangles, triangles[5:6][:, ::-1]])


def flattened(points: np.ndarray, triangles: np.ndarray) -> Soup:
    return points, np.concatenate([triangles, [[triangles[3, 0], triangles[3, 0], triangles[3, 1]]]])


def placeless(points: np.ndarray, triangles: np.ndarray) -> Soup:
    points = points.copy()
    points[triangles[0, 0]] = np.nan
    return points, triangles


def pushed_through(points: np.ndarray, triangles: np.ndarray) -> Soup:
    """Push one corner of a ball through its far side."""
    ball = trimesh.creation.icosphere(subdivisions=3, radius=5.0)
    points = np.asarray(ball.vertices, float).copy()
    points[points[:, 2].argmax()] = (0.0, 0.0, -8.0)
    return points, np.asarray(ball.faces, np.int64)


def fan_over_a_hollow_face(points: np.ndarray, triangles: np.ndarray) -> Soup:
    """Cut the faces of an L-shaped prism into fans from one corner, as readers of other formats do."""
    outline = np.array([(0, 4), (0, 0), (6, 0), (6, 1), (1, 1), (1, 4)], float)
    n = len(outline)
    low, high = (np.c_[outline, np.full(n, z)] for z in (0.0, 2.0))
    sides = [t for i in range(n) for j in [(i + 1) % n] for t in ([i, j, n + j], [i, n + j, n + i])]
    fan = [[2, 2 + i, 2 + i + 1] for i in range(1, n - 1)]
    fan = [[i % n for i in t] for t in fan]
    faces = [[t[2], t[1], t[0]] for t in fan] + [[n + i for i in t] for t in fan]
    return np.concatenate([low, high]), np.array(sides + faces, np.int64)


FAULTS: dict[str, tuple[Callable[[np.ndarray, np.ndarray], Soup], str, str]] = {
    "hole": (hole, r"6 open edges round 2 holes, one at \(.*\) mm", "close and heal"),
    "flipped triangle": (flipped, r"^1 triangle that faces the other way than its neighbours, at", "close and heal"),
    "triangles twice": (doubled, r"^2 triangles that are there more than once, one at", "close and heal"),
    "lined twice": (lined_twice, r"^1 triangle that is there more than once, at", "close and heal"),
    "no area": (flattened, r"^1 triangle without area, at", "close and heal"),
    "no place": (placeless, r"^1 corner without a place", "export it again"),
    "passes through itself": (pushed_through, r"passes through itself .* mm3, near \(", "close and heal"),
    "two bodies": (
        lambda p, t: together(box(10), box(4, (20, 0, 0))),
        r"^2 separate bodies \(1000, 64 mm3\), the smaller at \((18|22)\.00, -?2\.00, -?2\.00\) mm",
        "each part alone",
    ),
    "bodies in each other": (
        lambda p, t: together(box(10), box(10, (4, 5, 6))),
        "2 bodies of which two share 120 mm3",
        "join them into one",
    ),
    "a cavity that faces outwards": (
        lambda p, t: together(box(10), box(4)), "2 bodies of which two share 64 mm3", "has to face inwards",
    ),
    "a cavity outside": (
        lambda p, t: together(box(10), box(4, (20, 0, 0), inwards=True)),
        r"partly inside out \(64 mm3",
        "close and heal",
    ),
    "a crumb beside it": (
        lambda p, t: together(box(10), box(0.02, (20, 0, 0))),
        "^1 piece of surface that encloses nothing, at",
        "close and heal",
    ),
    "two bodies on one edge": (
        lambda p, t: together(box(4), box(4, (4, 4, 0))),
        "^1 edge where more than two triangles meet, at",
        "close and heal",
    ),
    "inches taken for metres": (lambda p, t: (p * 39370.0, t), r"a part 1.92e\+06 mm across", "check the unit"),
    "metres taken for mm": (lambda p, t: (p / 1000.0, t), "a part 0.0487 mm across", "check the unit"),
    "a fan over a hollow face": (fan_over_a_hollow_face, "^4 edges where a triangle lies folded", "export triangles"),
}  # fmt: skip


@pytest.mark.parametrize("name", FAULTS)
def test_a_fault_is_found_counted_and_placed(name: str) -> None:
    put_in, words, fix = FAULTS[name]
    with pytest.raises(Refused) as caught:
        judge_mesh(*put_in(*soup(PLATE)))
    assert re.search(words, caught.value.found), caught.value.found
    assert fix in caught.value.fix
    assert caught.value.allowed


def test_the_place_of_a_fault_is_where_it_was_put() -> None:
    points, triangles = soup(PLATE)
    with pytest.raises(Refused) as caught:
        judge_mesh(*flipped(points, triangles))
    told = re.search(r"at \((.*)\) mm", caught.value.found)
    assert told is not None
    assert [float(c) for c in told[1].split(",")] == pytest.approx(
        points[triangles[7]].mean(axis=0), abs=0.006
    )


def test_several_faults_are_told_at_once() -> None:
    points, triangles = soup(PLATE)
    with pytest.raises(Refused) as caught:
        judge_mesh(*flattened(*doubled(points, triangles)))
    assert "1 triangle without area" in caught.value.found
    assert "2 triangles that are there more than once" in caught.value.found


@given(st.data())
def test_no_mesh_with_triangles_gone_turned_or_doubled_passes(data: st.DataObject) -> None:
    points, triangles = soup(PLATE)
    rows = st.integers(0, len(triangles) - 1)
    what = data.draw(st.sampled_from(["gone", "turned", "doubled", "moved"]))
    row = data.draw(rows)
    if what == "gone":
        triangles = np.delete(triangles, row, axis=0)
    elif what == "turned":
        triangles[row] = triangles[row][::-1]
    elif what == "doubled":
        triangles = np.concatenate([triangles, triangles[[row]]])
    else:  # one triangle hangs on another corner
        other = data.draw(st.integers(0, len(points) - 1).filter(lambda n: n not in triangles[row]))
        triangles[row, data.draw(st.integers(0, 2))] = other
    with pytest.raises(Refused):
        judge_mesh(points, triangles)


@given(st.permutations(range(12)), st.lists(st.integers(0, 2), min_size=12, max_size=12))
def test_order_of_triangles_and_of_their_corners_tells_nothing(order: list[int], turns: list[int]) -> None:
    points, triangles = box(5, (1, 2, 3))
    triangles = np.stack([np.roll(triangles[n], k) for n, k in zip(order, turns, strict=True)])
    solid = judge_mesh(*apart(points, triangles), remark_on_joints=False)
    assert solid.remarks == ()
    assert solid.volume_mm3 == pytest.approx(125.0)
    assert make_manifold(solid.points, solid.triangles.astype(np.int64)).volume() == pytest.approx(125.0)


@pytest.mark.parametrize("facets", [24, 48, 120])
def test_coarseness_of_facets_is_estimated_and_told(facets: int) -> None:
    mesh = trimesh.creation.cylinder(10.0, 30.0, sections=facets)
    points, triangles = np.asarray(mesh.vertices, float), np.asarray(mesh.faces, np.int64)
    exact = 10.0 * (1.0 - np.cos(np.pi / facets))
    assert facet_error_mm(points, triangles) == pytest.approx(exact, rel=0.01)
    told = f"its facets lie up to about {exact:.2g} mm off round faces; its gaps are no truer than that"
    assert judge_mesh(points, triangles).remarks == ((told,) if exact > 0.01 else ())


def test_flats_have_no_such_error() -> None:
    assert facet_error_mm(*box(10)) == 0.0
    assert isinstance(judge_mesh(*box(10)), MeshSolid)
    assert enclosed_mm3(*box(10)) == pytest.approx(1000.0)
