"""Figures of whole heads, every size and form: they agree with the solids' own dimensions and can be worked by hand."""

from __future__ import annotations

import itertools
import subprocess
import sys

import pytest
from benchleaf.geometry.dimensions.options import Options, RotorForm
from benchleaf.geometry.dimensions.size import example_measures, make_size
from benchleaf.geometry.dimensions.stack_up import StackUp
from benchleaf.geometry.engineering.clearances import WARMTH, gap_figures, hot_gap_figure
from benchleaf.geometry.engineering.figures import Figure, by_hand, hand_tolerance
from benchleaf.geometry.engineering.materials import material
from benchleaf.geometry.engineering.orings import gland_figures, made_to_size, nearest_size, ring_sizes
from benchleaf.geometry.engineering.preload import lubrication, preload_figures
from benchleaf.geometry.engineering.springs.settling import settle
from benchleaf.geometry.engineering.springs.spring_seats import fit, turned_over
from benchleaf.geometry.engineering.topics import Topic
from benchleaf.geometry.head.calculation_inputs import (
    SHAFT_METAL,
    gap_chains,
    glands,
    nut_joint,
    nut_pocket,
    nut_spring,
    section_mm,
)
from benchleaf.geometry.head.strength_inputs import rotor_nut_joint
from benchleaf.geometry.parts import relief, seals, shafts

SIZES = (60.0, 80.0, 110.0, 150.0, 200.0)
FORMS: tuple[RotorForm, ...] = ("two-wing", "two-lobe", "three-lobe")


def _stack(c: float, rotor: RotorForm = "two-wing", **options: object) -> StackUp:
    size = make_size(f"{c:g}", example_measures(c, rotor))
    return StackUp(size, Options(rotor=rotor, **options))  # type: ignore[arg-type]


STACKS = [
    pytest.param(_stack(c, form, cover="relief", seal="double"), id=f"{c:g}-{form}")
    for c, form in itertools.product(SIZES, FORMS)
]


@pytest.mark.parametrize("stack", STACKS)
def test_glands_are_those_of_the_solids(stack: StackUp) -> None:
    found = glands(stack)
    assert found["shaft_oring"].seat_mm == pytest.approx(2 * shafts.shaft_groove_radius(stack))
    z0, z1 = shafts.shaft_groove_z(stack)
    assert found["shaft_oring"].width_mm == pytest.approx(z1 - z0)
    for kind, outer in (("stationary_ring_oring", False), ("atmosphere_ring_oring", True)):
        z0, z1 = seals.seal_groove_z(stack, outer)
        assert found[kind].width_mm == pytest.approx(z1 - z0)
    bore = 2 * relief.relief_radius(stack)
    assert found["relief_oring"].seat_mm + 2 * found["relief_oring"].depth_mm == pytest.approx(bore)
    inner, outer_r = stack.cover_groove
    assert found["cover_oring"].width_mm == pytest.approx(outer_r - inner)


@pytest.mark.parametrize("stack", STACKS)
def test_rings_are_squeezed_by_what_they_do(stack: StackUp) -> None:
    """Written anew: what the ring's section, thinner by its stretch, is deeper than its gland, cold."""
    for kind, gland in glands(stack).items():
        section = section_mm(stack, kind)
        ring = made_to_size(gland, section)
        squeeze = 100 * (1 - gland.depth_mm / section)
        slides = kind in ("stationary_ring_oring", "atmosphere_ring_oring", "relief_oring")
        assert gland.motion == ("sliding" if slides else "static")
        low, high = (10, 15) if slides else (15, 25)
        assert low <= squeeze <= high, kind
        found = next(f for f in gland_figures(gland, ring, "EPDM") if f.id == f"{kind}.squeeze")
        assert found.value == pytest.approx(squeeze, abs=0.1)
        assert found.judgement != "outside"


def test_the_options_bring_their_glands() -> None:
    assert set(glands(_stack(80))) == {
        "shaft_oring",
        "stationary_ring_oring",
        "hub_oring",
        "nut_oring",
        "cover_oring",
    }
    full = set(glands(_stack(80, cover="relief", seal="double")))
    assert full - set(glands(_stack(80))) == {"atmosphere_ring_oring", "relief_oring"}


@pytest.mark.parametrize("stack", STACKS)
def test_each_gland_has_its_section_and_a_nearest_size_of_it(stack: StackUp) -> None:
    sections = {r.d2_mm for r in ring_sizes()}
    for kind, gland in glands(stack).items():
        section = section_mm(stack, kind)
        assert section in sections
        choice = nearest_size(gland, section)
        assert choice.ring.d2_mm == section
        assert choice.gland == gland.key == kind


@pytest.mark.parametrize("stack", STACKS)
def test_the_nut_spring_works_right_way_round_and_fails_turned_over(stack: StackUp) -> None:
    spring, pocket = nut_spring(stack), nut_pocket(stack)
    found = turned_over(spring, pocket)
    share = stack.size.disc_spring_deflection
    assert found.right.state == "working"
    assert found.right.deflection_mm == pytest.approx(share * spring.cone_mm)
    assert spring.free_height_mm - found.right.travel_mm == pytest.approx(stack.disc_spring_height)
    assert found.wrong.travel_mm < 0.5 * found.right.travel_mm
    assert found.effect in ("loose", "no lever", "less")


@pytest.mark.parametrize("stack", STACKS)
def test_gaps_are_those_of_the_size(stack: StackUp) -> None:
    s = stack.size
    wanted = {
        "front": s.front_gap_mm,
        "rear": s.rear_gap_mm,
        "radial": s.running_gap_mm,
        "mesh": s.running_gap_mm,
    }
    chains = gap_chains(stack)
    assert {k: c.nominal_mm for k, c in chains.items()} == pytest.approx(wanted)
    for chain in chains.values():
        assert {link.source for link in chain.links} == {
            Topic("source.assumed_grade", grade=7, standard="ISO 286-1")
        }


def test_a_finer_grade_narrows_every_gap() -> None:
    stack = _stack(80)
    coarse, fine = gap_chains(stack, 8), gap_chains(stack, 6)
    for key in coarse:
        a, b = gap_figures(coarse[key])[0], gap_figures(fine[key])[0]
        assert a.low is not None
        assert b.low is not None
        assert a.low < b.low < a.value


def test_a_steel_rotor_closes_the_mesh_more_than_the_gear_case_opens_it() -> None:
    hot = {
        m: hot_gap_figure(gap_chains(_stack(80, rotor_metal=m))["mesh"], 100.0).value
        for m in ("316L", "nickel-alloy")
    }
    assert hot["316L"] < hot["nickel-alloy"] < 0.08


def _all(stack: StackUp) -> list[Figure]:
    found: list[Figure] = []
    for kind, gland in glands(stack).items():
        found += gland_figures(gland, made_to_size(gland, section_mm(stack, kind)), "EPDM", 95.0)
    spring, pocket = nut_spring(stack), nut_pocket(stack)
    found += turned_over(spring, pocket).figures
    preload = preload_figures(90.0, Topic("source.plant"), rotor_nut_joint(stack), lubrication("lubricated"))
    found += preload
    found += settle(preload[0].value, nut_joint(stack), 30.0, spring, fit(spring, pocket)).figures
    for chain in gap_chains(stack).values():
        found += gap_figures(chain)
        found += [hot_gap_figure(chain, 95.0, None, shares, state) for state, shares in WARMTH.items()]
    return found


@pytest.mark.parametrize("stack", STACKS)
def test_every_figure_of_every_head_is_worked_again_by_hand(stack: StackUp) -> None:
    found = _all(stack)
    assert len({f.id for f in found}) == len(found)
    worked = 0
    for figure in found:
        if not figure.formula:
            assert figure.derivation is not None
            continue
        assert abs(by_hand(figure) - figure.value) <= hand_tolerance(figure), figure.working()
        worked += 1
    assert worked == len(found) - 4  # all but the sampled gaps


def test_the_joint_is_a_row_of_bars() -> None:
    stack = _stack(80)
    joint = nut_joint(stack)
    journal = material(SHAFT_METAL).youngs_gpa * 3.14159265 * stack.size.journal_radius_mm**2
    assert 0 < joint.stretched_n_um < journal / (stack.journal_end_z - stack.shoulder_z)
    assert joint.pressed_n_um > joint.stretched_n_um


def test_figures_need_no_cad_kernel() -> None:
    code = (
        "import sys; import benchleaf.geometry.head.calculation_inputs, benchleaf.geometry.engineering.measuring, "
        "benchleaf.geometry.engineering.elastomers; "
        "print([m for m in ('cadquery', 'OCP', 'vtk', 'pyvista') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
