"""Every combination of options that changes a solid or its place, and a check of all its heads at one size."""

from __future__ import annotations

import itertools
from typing import get_args

import pytest
from benchleaf.geometry.assembly import Part
from benchleaf.geometry.dimensions.options import Options, RotorForm, SealForm
from benchleaf.geometry.dimensions.parts_list import part_kinds
from benchleaf.geometry.dimensions.size import example_measures, make_size
from benchleaf.geometry.head.head import Head, make_head
from benchleaf.geometry.meshes.closed_bodies import PROOF_ANGLE_DEG, TOLERANCE_MM
from benchleaf.geometry.meshes.overlaps import Bodies, boxes_meet, overlap
from benchleaf.geometry.meshes.tessellation import mesh_of
from sample_solids import kernel

CENTRES = {"least": 55.0, "usual": 80.0, "greatest": 220.0}
"""Centre distances, mm."""
ROTORS: tuple[RotorForm, ...] = get_args(RotorForm)
SEALS: tuple[SealForm, ...] = get_args(SealForm)
CHOICES: dict[str, tuple[object, ...]] = {
    "cover": ("plain", "relief", "jacketed"),
    "cover_nuts": ("hex", "wing"),
    "body": ("standard", "free-draining"),
    "ports": ("upright", "sideways"),
    "cleaning_in_place": (False, True),
}
"""Options besides rotor and seal that change a solid or its place; the others (materials) change neither."""


class CheckedHeads:
    """Remembers what was checked: heads share solids, so most pairs of one head were met in another."""

    def __init__(self) -> None:
        self.sound: dict[int, Part] = {}
        self.clear: set[tuple[int, object, int, object]] = set()

    def check(self, head: Head) -> None:
        """Each part is one valid solid whose closed mesh has its volume; none runs into another."""
        for part in head:
            if id(part.solid) not in self.sound:
                self.sound[id(part.solid)] = part
                assert kernel(part.solid).isValid(), part.key
                assert len(kernel(part.solid).Solids()) == 1, part.key
                mesh = mesh_of(
                    part, TOLERANCE_MM, PROOF_ANGLE_DEG
                )  # the very one in which overlaps are sought
                most = 1.2 * TOLERANCE_MM * kernel(part.solid).Area() + 1e-6
                assert mesh.volume_mm3 == pytest.approx(kernel(part.solid).Volume(), abs=most), part.key
        bodies = Bodies(head)
        for a, b in itertools.combinations(head, 2):
            pair = (id(a.solid), a.place, id(b.solid), b.place)
            if pair in self.clear:
                continue
            if boxes_meet(bodies.box(a.key, "core"), bodies.box(b.key, "core")):
                found = overlap(bodies.placed(a.key, "core"), bodies.placed(b.key, "core"))
                assert found is None, (a.key, b.key, found, head.options)
            self.clear.add(pair)


def check_family(centre_mm: float, rotor: RotorForm) -> None:
    """Check the heads of every combination of :data:`CHOICES` with one rotor, each with every seal in turn."""
    size = make_size("test", example_measures(centre_mm, rotor))
    checked = CheckedHeads()
    for values in itertools.product(*CHOICES.values()):
        for seal in SEALS:
            chosen = dict(zip(CHOICES, values, strict=True))
            options = Options(rotor=rotor, seal=seal, **chosen)  # type: ignore[arg-type]
            head = make_head("T-1", size, options)
            assert list(head.parts) == list(part_kinds(options, int(size.studs)))
            checked.check(head)
    assert len(checked.sound) > 45
