"""Every combination of options at the smallest, a middle and the largest size: right parts,
sound solids, none through another."""

from __future__ import annotations

import itertools

import pytest
from benchleaf.geometry.assembly import Part
from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.dimensions.parts_list import part_kinds
from benchleaf.geometry.dimensions.size import example_measures, make_size
from benchleaf.geometry.head.head import Head, make_head
from benchleaf.geometry.head.rotor_turn import turn_rotors
from benchleaf.geometry.meshes.overlaps import Bodies, boxes_meet, overlap
from benchleaf.geometry.meshes.tessellation import mesh_of

CHOICES: dict[str, tuple[object, ...]] = {
    "seal": ("single", "double"),
    "cover": ("plain", "vented", "jacketed"),
    "cover_nuts": ("hex", "wing"),
    "body": ("standard", "free-draining"),
    "ports": ("upright", "sideways"),
    "cleaning_in_place": (False, True),
}
"""Options that change a solid or its place; the others (materials) change neither."""


class Checked:
    """Remembers what was checked: heads share solids, so most pairs of one head were met in another."""

    def __init__(self) -> None:
        self.sound: dict[int, Part] = {}
        self.clear: set[tuple[int, object, int, object]] = set()

    def check(self, head: Head) -> None:
        for part in head:
            if id(part.solid) not in self.sound:
                self.sound[id(part.solid)] = part
                assert part.solid.isValid(), part.key
                assert len(part.solid.Solids()) == 1, part.key
                mesh = mesh_of(part, 0.01)
                most = 1.2 * 0.01 * part.solid.Area() + 1e-6
                assert mesh.volume_mm3 == pytest.approx(part.solid.Volume(), abs=most), part.key
        bodies = Bodies(head)
        for a, b in itertools.combinations(head, 2):
            pair = (id(a.solid), a.place, id(b.solid), b.place)
            if pair in self.clear:
                continue
            if boxes_meet(bodies.box(a.key, "core"), bodies.box(b.key, "core")):
                found = overlap(bodies.placed(a.key, "core"), bodies.placed(b.key, "core"))
                assert found is None, (a.key, b.key, found, head.options)
            self.clear.add(pair)


@pytest.mark.parametrize("rotor", ["two-wing", "two-lobe", "three-lobe"])
@pytest.mark.parametrize("centre", [55.0, 80.0, 220.0])
def test_every_combination(centre: float, rotor: str) -> None:
    size = make_size("test", example_measures(centre, rotor))
    checked = Checked()
    for values in itertools.product(*CHOICES.values()):
        options = Options(rotor=rotor, **dict(zip(CHOICES, values, strict=True)))  # type: ignore[arg-type]
        head = make_head("T-1", size, options)
        assert list(head.parts) == list(part_kinds(options))
        checked.check(head)
    assert len(checked.sound) > 30


FULL = {"seal": "double", "cover": "vented", "body": "free-draining", "cleaning_in_place": True}
"""The forms that take most away from round the rotors, or put a piston before them."""


@pytest.mark.parametrize("rotor", ["two-wing", "two-lobe", "three-lobe"])
@pytest.mark.parametrize(
    ("centre", "options"), [(55.0, {}), (80.0, FULL), (220.0, {})], ids=["55", "80, full", "220"]
)
def test_a_whole_turn_is_clear(centre: float, rotor: str, options: dict[str, object]) -> None:
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
