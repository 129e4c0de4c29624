"""A real head asked twice: meshes and booleans of the proof against the CAD kernel's exact answers, pair by pair."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.frame import Place
from benchleaf.geometry.meshes.overlaps import TOLERANCE_MM, gap, kernel_gap_mm, kernel_overlap_mm3, overlap
from benchleaf.sequences.order.order import draft_moves, with_path
from benchleaf.sequences.proof.proving import poses_of
from head_proofs import ProvenHead, head_of, shipped
from sample_solids import kernel

pytestmark = pytest.mark.slow  # a whole head is made and proven

PAIRS = (
    ("rotating_ring_drive", "shaft_drive"),
    ("rotating_ring_driven", "shaft_driven"),
    ("key_drive", "shaft_drive"),
    ("rotor_drive", "shaft_drive"),
    ("rotor_drive", "key_drive"),
    ("rotor_drive", "rotor_driven"),
    ("rotor_nut_drive", "rotor_drive"),
    ("stationary_ring_drive", "rotating_ring_drive"),
    ("stationary_ring_drive", "seal_pin_drive_1"),
    ("body_dowel_large", "cover"),
    ("body_dowel_small", "cover"),
    ("cover_nut_1", "cover"),
    ("stud_1", "cover"),
)
REACH_MM = 2.0


@pytest.fixture(scope="module", name="proven")
def _proven() -> ProvenHead:
    return ProvenHead(head_of(Options(), 64.0))


@pytest.mark.parametrize("pair", PAIRS, ids="-".join)
def test_gaps_in_place(proven: ProvenHead, pair: tuple[str, str]) -> None:
    a, b = (proven.head.part(k) for k in pair)
    bodies = proven.ways.bodies
    exact = kernel_gap_mm(kernel(a.placed()), kernel(b.placed()))
    assert kernel_overlap_mm3(kernel(a.placed()), kernel(b.placed())) == pytest.approx(0.0, abs=1e-6)
    assert overlap(bodies.placed(a.key), bodies.placed(b.key)) is None
    found = gap(bodies.placed(a.key), bodies.placed(b.key), REACH_MM)
    # Each surface lies within a tolerance of its solid.
    assert found == pytest.approx(min(exact, REACH_MM), abs=2 * TOLERANCE_MM)


@pytest.mark.parametrize("pair", PAIRS[:5] + PAIRS[6:9], ids="-".join)
@pytest.mark.parametrize("shift", [(0.6, 0.3, 0.0), (0.0, -0.4, 0.7), (-0.3, 0.2, -0.9)])
def test_overlaps_of_parts_out_of_place(
    proven: ProvenHead, pair: tuple[str, str], shift: tuple[float, float, float]
) -> None:
    a, b = (proven.head.part(k) for k in pair)
    moved = Place.at(*shift) @ a.place
    exact = kernel_overlap_mm3(kernel(a.solid).moved(moved.location()), kernel(b.placed()))
    there = proven.ways.bodies.placed(a.key, motion=Place.at(*shift))
    found = overlap(there, proven.ways.bodies.placed(b.key))
    if exact < 1e-3:
        assert found is None
        return
    # The surface of what is shared is off by a tolerance at most, and no larger than both boxes have in common.
    assert found is not None
    size = np.array(found.high) - np.array(found.low)
    faces = sum(2 * p * q for p, q in itertools.combinations(size.tolist(), 2))
    assert found.volume_mm3 == pytest.approx(exact, abs=2 * TOLERANCE_MM * faces + 0.01 * exact)


@pytest.mark.parametrize("step", ["rotating_rings", "rotor_drive", "key_drive", "nut_drive"])
def test_the_tightest_spot_of_a_way_is_where_the_kernel_measures_it(proven: ProvenHead, step: str) -> None:
    plan = proven.plan(shipped()[0])
    draft = next(
        d for d in draft_moves(plan, proven.head, poses_of(proven.head.turning)) if d.bare.step_id == step
    )
    path = with_path(proven.ways, draft).path
    assert path.clear
    assert path.gap is not None
    a, b = proven.head.part(path.gap.part), proven.head.part(path.gap.other)
    poses = draft.bare.poses
    # Travels are told outwards: the parts stand that far out where it is tightest.
    left = path.gap.from_place_mm
    for stretch in path.stretches:
        share = min(left / stretch.length_mm, 1.0) if stretch.length_mm else 0.0
        there = stretch.start.moved(*(share * c for c in stretch.slide))
        left -= stretch.length_mm
        if left <= 0:
            break
    still = Place()
    one = kernel(a.solid).moved((there @ poses.get(a.key, still) @ a.place).location())
    other = kernel(b.solid).moved((poses.get(b.key, still) @ b.place).location())
    assert kernel_gap_mm(one, other) == pytest.approx(path.gap.mm, abs=3 * TOLERANCE_MM)
