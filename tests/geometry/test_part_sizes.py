"""Sizes of the parts list: those of the solids, on every kind of head, and standard ones where a standard has them."""

from __future__ import annotations

import math

import pytest
from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.dimensions.parts_list import part_kinds
from benchleaf.geometry.dimensions.size import example_measures, make_size
from benchleaf.geometry.dimensions.stack_up import StackUp
from benchleaf.geometry.dimensions.threads import thread_table
from benchleaf.geometry.engineering.orings import ring_sizes, stretch_figure
from benchleaf.geometry.head.calculation_inputs import glands
from benchleaf.geometry.head.head import Head, make_head
from benchleaf.geometry.head.part_sizes import chosen_ring, part_sizes
from benchleaf.geometry.part_size import PartSize
from sample_solids import kernel

HEADS: dict[str, tuple[float, dict[str, float], Options]] = {
    "62": (62.0, {}, Options()),
    "80, double seal, relief cover, wing nuts": (
        80.0,
        {},
        Options(rotor="two-lobe", seal="double", cover="relief", cover_nuts="wing"),
    ),
    "118, other dimensions": (118.0, {"dowel_reach_mm": 14.0, "seal_pins": 3.0}, Options(seal="double")),
}
MADE_TO_DRAWING = {
    "gear_case", "shaft", "rotating_ring", "stationary_ring", "atmosphere_ring", "body", "rotor", "cover",
    "relief_piston", "relief_cap",
}  # fmt: skip


@pytest.fixture(scope="module", params=list(HEADS.values()), ids=list(HEADS))
def head(request: pytest.FixtureRequest) -> Head:
    centre, overrides, options = request.param
    size = make_size("t", example_measures(centre, options.rotor), overrides)
    return make_head("T-1", size, options)


def sizes_of(head: Head) -> dict[str, PartSize]:
    return part_sizes(head.stack, {p.key: p.kind for p in head})


def box_of(head: Head, key: str) -> tuple[float, float, float]:
    # A copy without triangles: a box taken by triangles is another, and solids are shared by all heads.
    b = kernel(head.parts[key].solid).copy().BoundingBox()
    return b.xlen, b.ylen, b.zlen


def test_each_part_has_a_size_but_those_made_to_a_drawing(head: Head) -> None:
    sizes = sizes_of(head)
    assert {head.parts[k].kind for k in head.parts.keys() - sizes.keys()} == MADE_TO_DRAWING & {
        p.kind for p in head
    }


def test_sizes_are_those_of_the_solids(head: Head) -> None:
    """Boxes of the solids, but for the play with which a key is drawn and the bend of a wave spring's strip."""
    s, tried = head.size, set()
    for key, size in sizes_of(head).items():
        kind, (x, y, z) = head.parts[key].kind, box_of(head, key)
        tried.add(size.form)
        if size.form == "parallel_key":
            assert (x, y, z) == pytest.approx(size.mm, abs=0.025), key
        elif size.form == "pin":
            assert (x, y, z) == pytest.approx((size.mm[0], size.mm[0], size.mm[1]), abs=1e-3), key
        elif kind == "stud":
            assert z == pytest.approx(size.mm[1], abs=1e-3), key
            assert size.mm[0] - 0.25 < x <= size.mm[0], "its shank is drawn a little thinner than its thread"
        elif size.form == "bolt":
            thread = s.body_screw_thread if kind == "body_screw" else s.relief_screw_thread
            assert (thread.nominal_mm, z - thread.head_height_mm) == pytest.approx(size.mm, abs=1e-3), key
        elif size.form == "disc":
            assert x == pytest.approx(size.mm[0], abs=1e-3), key
            rise = z - size.mm[2]
            assert 0 < rise < size.mm[2], (
                "its height over all is more than its thickness by what is left of its cone"
            )
            turn = math.pi * (size.mm[0] ** 2 - size.mm[1] ** 2) / 4
            volume = kernel(head.parts[key].solid).Volume()
            assert volume == pytest.approx(turn * size.mm[2], rel=1e-3), "De, Di and t together"
        elif size.form == "wave":
            assert x == pytest.approx(size.mm[0], abs=0.01), key
            middle, width = math.pi * (size.mm[0] + size.mm[1]) / 2, (size.mm[0] - size.mm[1]) / 2
            volume = kernel(head.parts[key].solid).Volume()
            assert volume == pytest.approx(middle * width * size.mm[2], rel=0.06), key
            assert size.mm[3] - 0.15 < z <= size.mm[3] + 0.01, key
        elif size.form == "coil":
            assert x == pytest.approx(size.mm[0] + size.mm[1], abs=0.05), key
            assert z == pytest.approx(size.mm[2], abs=0.15), key
        elif size.form == "nut" and size.mm[1]:
            assert min(x, y) >= size.mm[1] - 1e-3, key
            assert size.mm[0] < size.mm[1], key
    assert {"parallel_key", "pin", "bolt", "disc", "wave", "nut"} <= tried


def test_orings_are_of_the_section_of_their_groove_and_of_the_standards_table(head: Head) -> None:
    rows = {(r.code, r.d2_mm, r.d1_mm) for r in ring_sizes()}
    sizes = sizes_of(head)
    for key, size in sizes.items():
        if not size.form.startswith("ring"):
            continue
        section = {
            "spring_retaining_oring": head.size.spring_retaining_oring_section_mm,
            "relief_oring": head.size.seal_oring_section_mm,
        }.get(head.parts[key].kind)
        if section is not None:
            assert size.mm[0] == section, key
        assert ((size.code, *size.mm) in rows) == (size.form == "ring"), key
        assert bool(size.code) == (size.form == "ring"), key
    # The ring's middle circle in place is that of its solid, within what it may be stretched or pressed together.
    for key in ("shaft_oring_drive", "hub_oring_drive", "spring_retaining_oring_drive"):
        box, (section, inside) = box_of(head, key)[0], sizes[key].mm
        assert 0.94 < (inside + section) / (box - section) < 1.04, key


def test_a_standard_ring_is_never_stretched_beyond_what_is_tolerated() -> None:
    size = make_size("t", example_measures(80.0, "two-wing"))
    for kind, gland in glands(StackUp(size, Options())).items():
        for section in (1.78, 2.62, 3.53, 5.33):
            ring = chosen_ring(gland, section)
            assert stretch_figure(gland, ring).judgement != "outside", kind


def test_sizes_follow_an_override_and_the_list() -> None:
    options = Options()
    measures = example_measures(80.0, options.rotor)
    thick = make_size(
        "t", measures, {"cover_thickness_mm": 1.5 * make_size("t", measures).cover_thickness_mm}
    )
    kinds = part_kinds(options)
    before = part_sizes(StackUp(make_size("t", measures), options), kinds)
    after = part_sizes(StackUp(thick, options), kinds)
    grown = {k for k in before if before[k] != after[k]}
    assert {kinds[k] for k in grown} == {"stud"}
    assert after["stud_1"].mm[1] - before["stud_1"].mm[1] == pytest.approx(thick.cover_thickness_mm / 3)
    assert part_sizes(StackUp(thick, options), {"body": "body"}) == {}


def test_only_a_fine_thread_has_its_pitch_beside_it(head: Head) -> None:
    coarse = {t.nominal_mm: t.pitch_mm for t in thread_table()}
    for key, size in sizes_of(head).items():
        if size.form in ("bolt", "nut"):
            pitch = head.size.pitches_mm.get(head.parts[key].kind, coarse[size.mm[0]])
            assert (size.pitch_mm or coarse[size.mm[0]]) == pitch, key
            assert size.pitch_mm != coarse[size.mm[0]], key
        else:
            assert size.pitch_mm == 0.0, key
