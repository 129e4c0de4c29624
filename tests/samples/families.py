"""Heads with combinations of the options that change a solid or its place, and a check of all of them at one size."""

from __future__ import annotations

import itertools
from collections.abc import Iterable
from dataclasses import replace
from typing import get_args

import pytest
from benchleaf.geometry.assembly import Assembly, Part
from benchleaf.geometry.dimensions.options import Options, RotorForm, SealForm
from benchleaf.geometry.dimensions.parts_list import part_kinds
from benchleaf.geometry.dimensions.size import example_measures, make_size
from benchleaf.geometry.frame import Place
from benchleaf.geometry.head.head import Head, make_head
from benchleaf.geometry.meshes.closed_bodies import PROOF_ANGLE_DEG, TOLERANCE_MM
from benchleaf.geometry.meshes.overlaps import Bodies, boxes_meet, overlap
from benchleaf.geometry.meshes.tessellation import mesh_of
from head_proofs import covering, shape_combinations
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


UNLIKE = (
    Options(),
    Options(rotor="two-lobe", seal="double", body="free-draining", cover="relief", cover_nuts="wing"),
    Options(rotor="three-lobe", cover="jacketed", ports="sideways", cleaning_in_place=True),
)
"""Three heads that have little in common."""
Placed = tuple[int, Place, int]
"""A solid, its place and its pressed core where it has one: what decides whether it runs into another."""


def check_solid(part: Part) -> None:
    """A part is one valid solid whose closed mesh, the very one in which overlaps are sought, has its volume."""
    solid = kernel(part.solid)
    assert solid.isValid(), part.key
    assert len(solid.Solids()) == 1, part.key
    mesh = mesh_of(part, TOLERANCE_MM, PROOF_ANGLE_DEG)
    # A facet's chord loses at most the tolerance over the whole surface.
    most = 1.2 * TOLERANCE_MM * solid.Area() + 1e-6
    assert mesh.volume_mm3 == pytest.approx(solid.Volume(), abs=most), part.key


def check_heads(heads: Iterable[Head]) -> int:
    """Check heads of one size, and return of how many solids they are made.

    Each has all its parts, each part is sound (:func:`check_solid`), and none runs into another. Heads share solids, so
    most pairs of one head were met in another: each pair of placed solids is looked at once.
    """
    sound: dict[int, Part] = {}
    placed: dict[Placed, Part] = {}
    pairs: dict[tuple[str, str], Options] = {}
    for head in heads:
        assert list(head.parts) == list(part_kinds(head.options, int(head.size.studs)))
        keys = []
        for part in head:
            sound.setdefault(id(part.solid), part)
            spot = (id(part.solid), part.place, id(part.elastic.core) if part.elastic else 0)
            there = placed.setdefault(spot, replace(part, key=f"{part.key}, {len(placed)}"))
            keys.append(there.key)
        for pair in itertools.combinations(keys, 2):
            pairs.setdefault(pair, head.options)
    for part in sound.values():
        check_solid(part)
    bodies = Bodies(Assembly("family", {p.key: p for p in placed.values()}))
    for (a, b), options in pairs.items():
        if boxes_meet(bodies.box(a, "core"), bodies.box(b, "core")):
            found = overlap(bodies.placed(a, "core"), bodies.placed(b, "core"))
            assert found is None, (a, b, found, options)
    return len(sound)


def check_family(centre_mm: float, rotor: RotorForm) -> None:
    """Check the heads of every combination of :data:`CHOICES` with one rotor, each with every seal in turn."""
    size = make_size("test", example_measures(centre_mm, rotor))
    chosen = (dict(zip(CHOICES, values, strict=True)) for values in itertools.product(*CHOICES.values()))
    all_options = (Options(rotor=rotor, seal=seal, **c) for c in chosen for seal in SEALS)  # type: ignore[arg-type]
    assert check_heads(make_head("T-1", size, o) for o in all_options) > 45


def check_pairs_of_options(centre_mm: float, rotor: RotorForm) -> None:
    """Check the heads with one rotor of the few in which each pair of values of two options occurs.

    Every combination: ``tests/benchmarks/whole_family.py``.
    """
    size = make_size("test", example_measures(centre_mm, rotor))
    few = [o for o in covering(shape_combinations()) if o.rotor == rotor]
    assert check_heads(make_head("T-1", size, o) for o in few) > 40
