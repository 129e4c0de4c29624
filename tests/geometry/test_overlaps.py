"""Overlaps and gaps: refused meshes, closed forms, contact told from overlap, agreement with the CAD kernel."""

from __future__ import annotations

import itertools
import math

import cadquery as cq
import manifold3d as m3
import numpy as np
import pytest
from benchleaf.geometry.assembly import Elastic
from benchleaf.geometry.frame import Place
from benchleaf.geometry.meshes.closed_bodies import is_round
from benchleaf.geometry.meshes.overlaps import (
    TOLERANCE_MM,
    Bodies,
    Body,
    OverlapError,
    alike,
    boxes_meet,
    check_manifold,
    clashes,
    driven_in,
    gap,
    kernel_gap_mm,
    kernel_overlap_mm3,
    make_manifold,
    meets,
    offset,
    overlap,
)
from benchleaf.geometry.meshes.tessellation import make_mesh
from proof_samples import assembly_of, coupling, part, proven_coupling
from sample_solids import kernel, solid_of


def body_of(shape: cq.Workplane | cq.Shape) -> Body:
    solid = solid_of(shape) if isinstance(shape, cq.Workplane) else shape
    return Body.of_mesh(make_mesh(solid, TOLERANCE_MM), "sample")


def manifold_of(shape: cq.Workplane | cq.Shape) -> m3.Manifold:
    return body_of(shape).manifold


def test_open_mesh_is_refused_instead_of_reading_as_clear() -> None:
    box = body_of(cq.Workplane().box(1, 1, 1))
    with pytest.raises(OverlapError, match=r"lid: not a closed surface for booleans \(NotManifold\)"):
        make_manifold(box.points, box.triangles[:-1], "lid")


def test_empty_mesh_is_refused() -> None:
    with pytest.raises(OverlapError, match="nothing could ever touch it"):
        check_manifold(m3.Manifold())


def test_mesh_inside_out_is_refused() -> None:
    box = body_of(cq.Workplane().box(1, 1, 1))
    with pytest.raises(OverlapError, match="lid: empty"):
        make_manifold(box.points, box.triangles[:, ::-1], "lid")


def test_overlap_of_boxes_is_exact() -> None:
    a = manifold_of(cq.Workplane().box(10, 10, 10))
    b = manifold_of(cq.Workplane().box(10, 10, 10).translate((9.5, 1, 2)))
    found = overlap(a, b)
    assert found is not None
    assert found.volume_mm3 == pytest.approx(0.5 * 9 * 8, rel=1e-9)
    assert found.at == pytest.approx((4.75, 0.5, 1.0))
    assert (*found.low, *found.high) == pytest.approx((4.5, -4, -3, 5, 5, 5))
    # A film of thickness t and face A reads t A / (A + rim): a little under its thickness.
    assert 0.4 < found.depth_mm < 0.5
    assert meets(a, b)


def test_nested_solid_overlaps_wholly() -> None:
    inner, outer = manifold_of(cq.Workplane().sphere(2)), manifold_of(cq.Workplane().sphere(5))
    found = overlap(inner, outer)
    assert found is not None
    assert found.volume_mm3 == pytest.approx(inner.volume())


def test_faces_in_contact_do_not_overlap() -> None:
    a = manifold_of(cq.Workplane().box(10, 10, 10))
    for shift in ((10, 0, 0), (10, 10, 0), (0, 3, -10)):
        assert overlap(a, a.translate(shift)) is None


def test_pin_in_a_hole_of_its_own_size_is_contact_but_a_bump_on_it_is_not() -> None:
    plate = cq.Workplane().box(60, 60, 20).cut(cq.Workplane().circle(18).extrude(30, both=True))
    pin = cq.Workplane().circle(18).extrude(30, both=True).rotate((0, 0, 0), (0, 0, 1), 1.3)
    bump = cq.Workplane().box(1, 1, 1).translate((18, 0, 0))
    hole, plain, bumped = manifold_of(plate), manifold_of(pin), manifold_of(pin.union(bump))
    assert (plain ^ hole).volume() > 0.1  # facets of both round faces
    assert overlap(plain, hole) is None
    assert not meets(plain, hole)
    # The film of facets hangs on the bump and thins its mean; it is found all the same.
    found = overlap(bumped, hole)
    assert found is not None
    assert found.at[0] == pytest.approx(18.25, abs=0.1)
    assert meets(bumped, hole)


@pytest.mark.parametrize("too_big", [0.05, 0.4, 1.0])
def test_depth_is_how_much_a_pin_is_too_big_for_its_hole(too_big: float) -> None:
    plate = cq.Workplane().box(30, 30, 20).cut(cq.Workplane().circle(5).extrude(30, both=True))
    pin = cq.Workplane().circle(5 + too_big).extrude(8, both=True)
    found = overlap(manifold_of(pin), manifold_of(plate))
    assert found is not None
    # A tube of wall t and length L: 2 V / S = t L / (L + t); facets take up to a tolerance.
    assert found.depth_mm == pytest.approx(too_big * 16 / (16 + too_big), abs=TOLERANCE_MM)


@pytest.mark.parametrize(
    ("shift", "deep"),
    [((0.0, 0.0, 9.0), 1.0), ((0.0, 0.0, 10.0), None), ((0.0, 0.0, 9.995), None), ((20.0, 0.0, 0.0), None)],
)
def test_driven_in_is_how_far_a_piece_reaches_and_knows_an_overlap(
    shift: tuple[float, float, float], deep: float | None
) -> None:
    box = manifold_of(cq.Workplane().box(10, 10, 10))
    moved = box.translate(shift)
    found = driven_in(
        moved, box, np.array((0.0, 0.0, -1.0)), TOLERANCE_MM, lambda: offset(box, -TOLERANCE_MM)
    )
    assert (found is None) == (overlap(moved, box) is None)
    assert found == (deep if deep is None else pytest.approx(deep, abs=0.02))


def test_driven_in_takes_the_longest_piece_and_not_all_of_them_together() -> None:
    post = manifold_of(cq.Workplane().box(4, 4, 100))
    plates = [manifold_of(cq.Workplane().box(20, 20, t)).translate((0, 0, z)) for t, z in ((2, -40), (3, 40))]
    both = plates[0] + plates[1]
    found = driven_in(
        post, both, np.array((0.0, 0.0, 1.0)), TOLERANCE_MM, lambda: offset(both, -TOLERANCE_MM)
    )
    assert found == pytest.approx(3.0, abs=1e-6)


@pytest.mark.parametrize("apart", [0.0, 0.01, 0.05, 0.06, 0.2, 0.36, 1.3, 2.0, 5.0])
def test_gap_is_the_same_however_far_is_looked(apart: float) -> None:
    a = manifold_of(cq.Workplane().sphere(5))
    b = manifold_of(cq.Workplane().box(4, 4, 4)).translate((0, 0, 7 + apart))
    for reach in (0.02, 0.06, 0.25, 2.0):
        assert gap(a, b, reach) == pytest.approx(float(a.min_gap(b, reach)), abs=1e-9)


def test_offset_moves_every_face_by_its_amount() -> None:
    box = manifold_of(cq.Workplane().box(10, 20, 30))
    assert offset(box, -0.1).volume() == pytest.approx(9.8 * 19.8 * 29.8, rel=1e-9)
    assert offset(box, 0.1).volume() == pytest.approx(10.2 * 20.2 * 30.2, rel=1e-9)


def test_alike_looks_past_facets_but_not_past_a_notch() -> None:
    wheel = cq.Workplane().circle(20).circle(8).extrude(10)
    notched = wheel.cut(cq.Workplane().box(1, 1, 20).translate((20, 0, 0)))
    plain, cut = manifold_of(wheel), manifold_of(notched)
    assert alike(plain, plain.rotate((0, 0, 33.3)))
    assert not alike(cut, cut.rotate((0, 0, 33.3)))
    assert not alike(plain, cut)
    assert alike(cut, cut.rotate((0, 0, 360)))


@pytest.mark.parametrize(
    ("solid", "answer"),
    [
        (cq.Solid.makeTorus(10, 2), True),
        (cq.Workplane().circle(5).circle(2).extrude(4).faces(">Z").edges().chamfer(0.5).val(), True),
        (cq.Workplane().circle(5).extrude(4).faces(">Z").rect(1, 9).cutBlind(-1).val(), False),
        (cq.Workplane().center(1, 0).circle(5).extrude(4).val(), False),
        (cq.Workplane().box(1, 1, 1).val(), False),
        (cq.Workplane().sphere(3).val(), True),
    ],
)
def test_round_parts_are_known_from_their_faces(solid: cq.Shape, answer: bool) -> None:
    assert is_round(part("x", solid)) is answer


def test_coupling_has_no_overlap_in_place() -> None:
    assert clashes(proven_coupling().ways.bodies) == []


def test_a_part_out_of_place_clashes_with_what_it_drives_into() -> None:
    good = coupling()
    parts = {k: p for k, p in good.parts.items() if k in ("housing", "dowel_large", "cover")}
    low = part("dowel_large", kernel(good.part("dowel_large").solid), Place.at(-40, 20, -0.5))
    bodies = Bodies(assembly_of(*({**parts, "dowel_large": low}).values()))
    (clash,) = clashes(bodies)
    assert (clash.part, clash.other) == ("housing", "dowel_large")
    # The hole's floor is 10 mm deep, the dowel now 10.5 mm.
    assert clash.overlap.volume_mm3 == pytest.approx(math.pi * 4**2 * 0.5, rel=0.01)


def test_elastic_part_counts_pressed_in_by_its_squeeze_and_no_more() -> None:
    ring, core = cq.Solid.makeTorus(10, 2), cq.Solid.makeTorus(10, 1.6)
    lid = solid_of(cq.Workplane().box(40, 40, 2))
    for height, found in ((2.7, 0), (2.5, 1)):  # the lid's face at 1.7 and 1.5 above the ring's middle
        bodies = Bodies(
            assembly_of(
                part("lid", lid, Place.at(0, 0, height)), part("ring", ring, elastic=Elastic(0.4, core))
            )
        )
        assert bodies.placed("ring").volume() > bodies.placed("ring", "core").volume()
        assert overlap(bodies.placed("lid"), bodies.placed("ring")) is not None
        assert len(clashes(bodies)) == found


def test_twins_share_one_body() -> None:
    solid = solid_of(cq.Workplane().box(1, 1, 1))
    bodies = Bodies(assembly_of(part("a", solid), part("b", solid, Place.at(3, 0, 0))))
    assert bodies.own("a") is bodies.own("b")


def test_a_box_is_that_of_the_body_where_it_stands_and_an_unfit_body_has_none(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    bodies, motion = Bodies(coupling()), Place.at(1.0, 2.0, 3.0) @ Place.turn(30.0)
    for key in bodies.assembly.parts:
        low, high = bodies.box(key, "core", motion)
        b = bodies.placed(key, "core", motion).bounding_box()
        assert (*low, *high) == pytest.approx(b, abs=1e-9)
    open_one = body_of(cq.Workplane().box(1, 1, 1))
    monkeypatch.setattr(Bodies, "own", lambda *_: Body(open_one.points, open_one.triangles[1:], "lid"))
    with pytest.raises(OverlapError, match="lid: not a closed surface"):
        Bodies(coupling()).box(next(iter(bodies.assembly.parts)))


def test_gaps_agree_with_the_kernel_on_all_near_pairs_of_the_coupling() -> None:
    """Each mesh lies within its tolerance of its solid, so that a gap may read short by both, never long by more."""
    proven = proven_coupling()
    rigid = [p for p in proven.assembly if p.elastic is None]
    compared = 0
    for a, b in itertools.combinations(rigid, 2):
        bodies = proven.ways.bodies
        if not boxes_meet(bodies.box(a.key), bodies.box(b.key), 0.5):
            continue
        exact = kernel_gap_mm(kernel(a.placed()), kernel(b.placed()))
        assert kernel_overlap_mm3(kernel(a.placed()), kernel(b.placed())) == pytest.approx(0.0, abs=1e-6)
        read = gap(bodies.placed(a.key), bodies.placed(b.key), 5.0)
        assert min(exact, 5.0) - 2 * TOLERANCE_MM <= read <= exact + 1e-6
        compared += 1
    assert compared >= 12


@pytest.mark.parametrize("shift", [(0.3, 0, 0), (0, 0, -1.5), (2, -1, 3), (0.1, 0.1, 0.1)])
@pytest.mark.parametrize("key", ["wheel", "cover", "nut", "key"])
def test_overlaps_agree_with_the_kernel(key: str, shift: tuple[float, float, float]) -> None:
    proven = proven_coupling()
    moving = proven.assembly.part(key)
    moved = kernel(moving.solid).moved(moving.place.moved(*shift).location())
    for other in proven.assembly:
        if other.elastic or other.key == key:
            continue
        exact = kernel_overlap_mm3(moved, kernel(other.placed()))
        found = overlap(
            proven.ways.bodies.placed(key, "core", Place.at(*shift)), proven.ways.bodies.placed(other.key)
        )
        # The meshes' surfaces are off by a tolerance all over what the two share.
        allowed = 2 * TOLERANCE_MM * 6 * max(exact, 1.0) ** (2 / 3) + 0.02 * exact
        assert (found.volume_mm3 if found else 0.0) == pytest.approx(exact, abs=allowed)
