"""What the figures of one head are worked out from: its glands, its nut's spring and pocket, its nut's joint, its gaps.

All from the stack's dimensions, without the CAD kernel. Tolerances of the gaps' chains are assumed (a grade of
ISO 286-1): they show how a gap comes about and how heat moves it, and stand in for no drawing.
"""

from __future__ import annotations

import math
from typing import Literal

from ..dimensions.stack_up import StackUp
from ..engineering.clearances import Chain, Dimension, dimension, tolerance_mm
from ..engineering.materials import material
from ..engineering.orings import Gland, GlandKind, Motion
from ..engineering.preload import stress_area_mm2
from ..engineering.seal_faces import SealFace
from ..engineering.springs.disc_springs import DiscSpring
from ..engineering.springs.settling import Joint, axial_stiffness_n_um
from ..engineering.springs.spring_seats import Pocket
from ..engineering.topics import Topic

SHAFT_METAL = "duplex"
"""As the head's shafts are made."""
BEARING_WIDTH_SHARE = 0.25
"""Middle of the locating bearing behind its front face, as a share of its bore: stock bearings are about half as wide
as their bore. Assumed, since the head ends at its gear case."""
ENGAGED = 0.4
"""Share of the thread's diameter that counts as stretched length within the nut (VDI 2230)."""


def glands(stack: StackUp) -> dict[str, Gland]:
    """Return kind of O-ring to its gland, in the order of the head; the retainer O-ring seals nothing and has none."""
    s, o = stack.size, stack.options
    found: dict[str, Gland] = {}

    def in_groove(
        kind: str, outer_radius: float, section: float, metal: str, motion: Motion = "sliding"
    ) -> None:
        """A groove in a round part whose bore has ``outer_radius``."""
        depth = stack.sliding_gland_mm(section) if motion == "sliding" else stack.radial_gland_mm(section)
        found[kind] = Gland(
            kind, "piston", depth, stack.gland_width_mm(section), 2 * (outer_radius - depth), metal=metal, motion=motion
        )  # fmt: skip

    in_groove(
        "shaft_oring", s.shaft_radius_mm + s.fit_gap_mm, s.shaft_oring_section_mm, SHAFT_METAL, "static"
    )
    in_groove(
        "stationary_ring_oring", stack.stationary_ring_radius + s.fit_gap_mm, s.seal_oring_section_mm,
        o.body_metal,
    )  # fmt: skip
    if stack.double:
        in_groove(
            "atmosphere_ring_oring", stack.atmosphere_ring_radius + s.fit_gap_mm,
            s.seal_oring_section_mm, o.body_metal,
        )  # fmt: skip
    found["hub_oring"] = Gland(
        "hub_oring", "rod", stack.hub_gland_depth, stack.hub_gland_length,
        2 * (s.shaft_radius_mm + stack.hub_gland_depth), metal=o.rotor_metal,
    )  # fmt: skip
    inner, outer = stack.nut_groove_radii
    face: GlandKind = "face-in"
    found["nut_oring"] = Gland(
        "nut_oring", face, stack.face_gland_mm(s.nut_oring_section_mm), outer - inner, 2 * inner
    )
    inner, outer = stack.cover_groove
    middle_line = 2 * s.c + math.pi * (inner + outer)
    found["cover_oring"] = Gland(
        "cover_oring", "loop", stack.face_gland_mm(s.cover_oring_section_mm), outer - inner,
        middle_line / math.pi, metal=o.body_metal,
    )  # fmt: skip
    if o.cover == "relief":
        in_groove("relief_oring", s.relief_bore_mm / 2, s.seal_oring_section_mm, o.body_metal)
    return found


def section_mm(stack: StackUp, kind: str) -> float:
    """Return the O-ring section that this size has in a gland of :func:`glands`.

    Raises:
        KeyError: if no O-ring is called that.
    """
    s = stack.size
    return {
        "shaft_oring": s.shaft_oring_section_mm,
        "stationary_ring_oring": s.seal_oring_section_mm,
        "atmosphere_ring_oring": s.seal_oring_section_mm,
        "hub_oring": s.hub_oring_section_mm,
        "nut_oring": s.nut_oring_section_mm,
        "cover_oring": s.cover_oring_section_mm,
        "relief_oring": s.seal_oring_section_mm,
    }[kind]


# ---- the seals


def seal_faces(stack: StackUp) -> tuple[SealFace, ...]:
    """Return the faces of the stationary rings on one shaft, product side first."""
    s = stack.size
    inner = SealFace(
        "stationary_ring", 2 * (stack.stationary_ring_radius + s.fit_gap_mm),
        2 * (s.shaft_radius_mm + s.stationary_nose_outer_step_mm),
        2 * (s.shaft_radius_mm + s.stationary_nose_inner_step_mm),
    )  # fmt: skip
    if not stack.double:
        return (inner,)
    outer = SealFace(
        "atmosphere_ring", 2 * (stack.atmosphere_ring_radius + s.fit_gap_mm),
        2 * (s.shaft_radius_mm + s.atmosphere_nose_outer_step_mm),
        2 * (s.shaft_radius_mm + s.atmosphere_nose_inner_step_mm),
    )  # fmt: skip
    return inner, outer


# ---- the nut


def nut_spring(stack: StackUp) -> DiscSpring:
    """Return the disc spring of the rotor nut."""
    s = stack.size
    return DiscSpring(
        s.disc_spring_outer_mm, s.disc_spring_inner_mm, s.disc_spring_thickness_mm, s.disc_spring_cone_mm
    )


def nut_pocket(stack: StackUp) -> Pocket:
    """Return the pocket of the rotor nut, with the land of the rotor's web behind it."""
    # The land reaches further in than the spring's bore; the floor ends at the nut's thread.
    return Pocket(
        gap_mm=stack.pocket_depth - stack.land_height,
        land_inner_mm=0.0,
        land_outer_mm=2 * stack.land_radius,
        floor_inner_mm=stack.size.rotor_thread_mm,
        floor_outer_mm=2 * stack.pocket_radius,
    )


def nut_joint(stack: StackUp) -> Joint:
    """Return the stiffness of the nut's joint: journal and thread in a row, and the hub under the nut's flange."""
    s = stack.size
    thread = s.rotor_thread
    shaft, hub = material(SHAFT_METAL).youngs_gpa, material(stack.options.rotor_metal).youngs_gpa
    journal = math.pi * s.journal_radius_mm**2
    first = axial_stiffness_n_um(shaft, journal, stack.journal_end_z - stack.shoulder_z)
    free = stack.recess_floor_z + stack.pocket_depth - stack.journal_end_z + ENGAGED * thread.nominal_mm
    second = axial_stiffness_n_um(shaft, stress_area_mm2(thread.nominal_mm, thread.pitch_mm), free)
    ring = math.pi * (min(stack.nut_flange_radius, stack.hub_radius) ** 2 - s.journal_radius_mm**2)
    pressed = axial_stiffness_n_um(hub, ring, stack.recess_floor_z - stack.shoulder_z)
    return Joint(first * second / (first + second), pressed, Topic("source.plain_bars"))


# ---- the gaps


def bearing_mm(stack: StackUp) -> float:
    """Return how far behind the gear case's front face the locating bearing holds its shaft."""
    return stack.size.collar_setback_mm + BEARING_WIDTH_SHARE * 2 * stack.bearing_radius


def gap_chains(stack: StackUp, grade: int = 7) -> dict[str, Chain]:
    """Return the chains of front, rear, radial and mesh clearance.

    Along the shafts each begins at the locating bearing: there the gear case holds the shaft, and from there both grow.

    Args:
        stack: the head's dimensions.
        grade: assumed grade of ISO 286-1 for every dimension.

    Raises:
        ValueError: if there is no such grade, or a dimension is beyond the standard's table.
    """
    s, o = stack.size, stack.options
    source = Topic("source.assumed_grade", grade=grade, standard="ISO 286-1")
    body, rotor, case = o.body_metal, o.rotor_metal, o.gear_case
    bearing = bearing_mm(stack)

    def link(
        symbol: str, key: str, value: float, sense: Literal[1, -1], metal: str, *, whole: float | None = None,
        where: str = "process",
    ) -> Dimension:  # fmt: skip
        """``whole`` is the dimension that the drawing tolerates, where ``value`` is its half (a radius)."""
        half = tolerance_mm(whole or value, grade) / (4 if whole else 2)
        return dimension(symbol, key, value, half, sense, metal, source, where)

    shoulder, front = stack.shoulder_z, stack.rotor_front_z
    chains = {
        "front": Chain("front", (
            link("B", "body_face", stack.face_z, 1, body, where="body"),
            link("E", "case_bearing", bearing, 1, case, where="gear_case"),
            link("S", "bearing_shoulder", bearing + shoulder, -1, SHAFT_METAL),
            link("W", "rotor_front", front - shoulder, -1, rotor),
        )),
        "rear": Chain("rear", tuple(x for x in (
            link("S", "bearing_shoulder", bearing + shoulder, 1, SHAFT_METAL),
            link("E", "case_bearing", bearing, -1, case, where="gear_case"),
            link("F", "body_floor", stack.floor_z, -1, body, where="body"),
            link("H", "rotor_rear", shoulder - stack.rotor_rear_z, -1, rotor)
            if shoulder - stack.rotor_rear_z > 1e-9 else None,
        ) if x)),
        "radial": Chain("radial", (
            link("A₁", "bore_axis", s.c / 2, 1, body, whole=s.c, where="body"),
            link("R", "bore_radius", s.bore_radius_mm, 1, body, whole=2 * s.bore_radius_mm, where="body"),
            link("A₂", "shaft_axis", s.c / 2, -1, case, whole=s.c, where="gear_case"),
            link("T", "tip_radius", s.tip_radius_mm, -1, rotor, whole=2 * s.tip_radius_mm),
        )),
        "mesh": Chain("mesh", (
            link("C", "shaft_distance", s.c, 1, case, where="gear_case"),
            link("T", "tip_radius", s.tip_radius_mm, -1, rotor, whole=2 * s.tip_radius_mm),
            link("Q", "hub_radius", stack.hub_radius, -1, rotor, whole=2 * stack.hub_radius),
        )),
    }  # fmt: skip
    return chains
