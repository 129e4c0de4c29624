"""The turning solids: they confirm the plane result, and find what was built wrong."""

from __future__ import annotations

from dataclasses import replace

import cadquery as cq
import numpy as np
import pytest
import shapely
from benchleaf.geometry.assembly import Assembly, Part, TurningGroup
from benchleaf.geometry.dimensions.options import RotorForm
from benchleaf.geometry.frame import Place
from benchleaf.geometry.meshes.overlaps import Bodies
from benchleaf.geometry.profiles.outlines import Piece
from benchleaf.geometry.profiles.profile_turn import check_mesh, turn_profile
from benchleaf.geometry.profiles.rotor_profiles import (
    Profile,
    arc_lobes,
    cycloidal_lobes,
    make_profile,
    wire_of,
)
from benchleaf.geometry.profiles.solid_turn import ShadowError, shadow, turn_solids
from sample_solids import solid_of

C, GAP, WIDTH, TOLERANCE = 80.0, 0.08, 40.0, 0.005
ROTORS = ("rotor_drive", "rotor_driven")


def prism(pieces: tuple[Piece, ...], z0: float, z1: float) -> cq.Solid:
    face = cq.Face.makeFromWires(wire_of(pieces))
    return cq.Solid.extrudeLinear(face, cq.Vector(0, 0, z1 - z0)).moved(cq.Location(cq.Vector(0, 0, z0)))


def rotor_solid(profile: Profile) -> cq.Shape:
    if not profile.wings:
        return prism(profile.pieces, 0, WIDTH)
    hub = prism(profile.pieces, WIDTH / 2, WIDTH)
    return hub.fuse(*(prism(w, 0, WIDTH / 2) for w in profile.wings))


def pump(profile: Profile, phase_deg: float | None = None, bore_gap: float = GAP) -> Assembly:
    """Two rotors in a body with bores, and bosses for wings."""
    bore = profile.tip_radius_mm + bore_gap
    work = cq.Workplane().box(4 * C, 3 * C, WIDTH + 20, centered=(True, True, False)).translate((0, 0, -10))
    for x in (-C / 2, C / 2):
        work = work.cut(cq.Workplane().circle(bore).extrude(WIDTH + 0.2).translate((x, 0, -0.1)))
    for x in (-C / 2, C / 2) if profile.wings else ():
        boss = cq.Workplane().circle(profile.root_radius_mm).extrude(WIDTH / 2 + 9.9)
        work = work.union(boss.translate((x, 0, -10)))
    rotor = rotor_solid(profile)
    turned = Place.turn(profile.phase_deg if phase_deg is None else phase_deg)
    parts = {
        "body": Part("body", "body", "Body", "316L", solid_of(work)),
        "rotor_drive": Part("rotor_drive", "rotor", "Rotor", "316L", rotor, Place.at(-C / 2, 0, 0), "drive"),
        "rotor_driven": Part(
            "rotor_driven", "rotor", "Rotor", "316L", rotor, Place.at(C / 2, 0, 0) @ turned, "driven"
        ),
    }
    turning = (
        TurningGroup("drive", ROTORS[:1], (-C / 2, 0.0, 0.0)),
        TurningGroup("driven", ROTORS[1:], (C / 2, 0.0, 0.0), ratio=-1.0),
    )
    return Assembly("pump", parts, turning=turning)


PAIRS = {
    "two-wing": make_profile("two-wing", C, 0.71 * C, GAP),
    "two-lobe": arc_lobes(C, 2, 0.76 * C, GAP),
    "three-lobe": cycloidal_lobes(C, 3, GAP),
}


@pytest.mark.parametrize("form", PAIRS)
def test_solids_confirm_the_plane(form: RotorForm) -> None:
    p = PAIRS[form]
    head = pump(p)
    found = turn_solids(head, ROTORS, GAP, tolerance_mm=TOLERANCE)
    plane = turn_profile(p, resolution_mm=GAP / 4)
    assert found.clear
    assert check_mesh(found.pair, GAP) == []
    assert found.pair.smallest_gap_mm == pytest.approx(plane.smallest_gap_mm, abs=2 * TOLERANCE)
    assert found.pair.largest_gap_mm == pytest.approx(plane.largest_gap_mm, abs=2 * TOLERANCE)
    assert [(s.moving, s.still) for s in found.still] in (
        [("rotor_drive", "body"), ("rotor_driven", "body")],
        [("rotor_driven", "body"), ("rotor_drive", "body")],
    )
    for still in found.still:
        assert GAP - 4 * TOLERANCE <= still.gap_mm <= GAP + TOLERANCE
    # the solids themselves, by booleans, at some angles of the turn
    bodies = Bodies(head, TOLERANCE)
    for angle in np.arange(0.0, 360.0, 17.0):
        drive = bodies.placed("rotor_drive", motion=Place.turn(angle, about=(-C / 2, 0, 0)))
        driven = bodies.placed("rotor_driven", motion=Place.turn(-angle, about=(C / 2, 0, 0)))
        assert (drive ^ driven).volume() == 0.0


def test_shadow_is_the_outline() -> None:
    for p in PAIRS.values():
        part = pump(p).part("rotor_drive")
        seen = shadow(part, TOLERANCE)
        ring = shapely.LinearRing(p.points)
        drawn = shapely.LinearRing(seen + np.array([C / 2, 0.0]))
        assert shapely.distance(ring, shapely.points(drawn.coords)).max() < 2e-3
        assert drawn.hausdorff_distance(ring) < TOLERANCE + 0.2 * TOLERANCE


def test_solids_built_wrong_are_found() -> None:
    p = PAIRS["three-lobe"]
    late = turn_solids(pump(p, phase_deg=59.0), ROTORS, GAP)
    assert not late.pair.clear
    assert not late.clear
    tight = turn_solids(pump(p, bore_gap=-0.05), ROTORS, GAP)
    assert tight.pair.clear
    assert not tight.clear
    assert {s.gap_mm for s in tight.still} == {0.0}
    assert min(s.overlap_mm3 for s in tight.still) > 1.0


def test_a_shadow_in_two_pieces_is_refused() -> None:
    head = pump(PAIRS["two-wing"])
    wings = cq.Compound.makeCompound([prism(w, 0, 10) for w in PAIRS["two-wing"].wings])
    part = replace(head.part("rotor_drive"), solid=wings)
    with pytest.raises(ShadowError, match="rotor_drive: its shadow along the shafts has several outlines"):
        shadow(part, TOLERANCE)


@pytest.mark.parametrize("angle_deg", [90.0, 211.0])
def test_a_pair_may_lie_any_way_round(angle_deg: float) -> None:
    """Turned as a whole about Z, an assembly does the same through its turn, looked at from another angle."""
    level = pump(PAIRS["three-lobe"])
    tilt = Place.turn(angle_deg)
    slanted = replace(
        level,
        parts={k: replace(p, place=tilt @ p.place) for k, p in level.parts.items()},
        turning=tuple(replace(g, about=tilt.point(g.about)) for g in level.turning),
    )
    there, here = (turn_solids(a, ROTORS, GAP).pair for a in (slanted, level))
    assert there.smallest_gap_mm == pytest.approx(here.smallest_gap_mm, abs=1e-6)
    assert there.largest_gap_mm == pytest.approx(here.largest_gap_mm, abs=1e-6)
    assert there.clear


def test_only_a_timed_pair_is_followed() -> None:
    head = pump(PAIRS["three-lobe"])
    drive, driven = head.turning
    for wrong in (
        replace(driven, ratio=1.0),
        replace(driven, ratio=-2.0),
        replace(driven, axis=(1.0, 0.0, 0.0)),
    ):
        with pytest.raises(ValueError, match="drive and driven are not timed 1:1"):
            turn_solids(replace(head, turning=(drive, wrong)), ROTORS, GAP)
    with pytest.raises(KeyError, match="rotor_driven"):
        turn_solids(replace(head, turning=(drive,)), ROTORS, GAP)
    with pytest.raises(KeyError, match="body"):
        turn_solids(head, ROTORS, GAP, moving=["body"])
