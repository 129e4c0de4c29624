"""A whole turn of the shafts is clear over the family, with the gaps that its sizes name."""

from __future__ import annotations

import pytest
from benchleaf.geometry.dimensions.options import Options, RotorForm
from benchleaf.geometry.dimensions.size import example_measures, make_size
from benchleaf.geometry.head.head import make_head
from benchleaf.geometry.head.rotor_turn import turn_rotors
from families import ROTORS

FULL = {"seal": "double", "cover": "relief", "body": "free-draining", "cleaning_in_place": True}
"""The forms that take most away from round the rotors, or put a piston before them."""


@pytest.mark.slow
@pytest.mark.parametrize("rotor", ROTORS)
@pytest.mark.parametrize(
    ("centre", "options"), [(55.0, {}), (80.0, FULL), (220.0, {})], ids=["55", "80, full", "220"]
)
def test_a_whole_turn_is_clear(centre: float, rotor: RotorForm, options: dict[str, object]) -> None:
    """Proven for all angles, not sampled: see :mod:`.pair_turn` for the bound between two angles."""
    size = make_size("test", example_measures(centre, rotor))
    head = make_head("T-1", size, Options(rotor=rotor, **options))  # type: ignore[arg-type]
    turn = turn_rotors(head, tolerance_mm=0.01)
    assert turn.clear
    # Mesh tolerance on both sides, and the spread that the mesh gap may have.
    assert turn.pair.smallest_gap_mm == pytest.approx(
        size.running_gap_mm, abs=0.25 * size.running_gap_mm + 0.02
    )
    nearest = {s.still: s.gap_mm for s in reversed(turn.still)}
    assert nearest["body"] == pytest.approx(size.running_gap_mm, abs=0.04)
    assert nearest["cover"] == pytest.approx(size.front_gap_mm, abs=0.04)
