"""The fluid head: every part of one size with one set of options, made and put in its place."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING, Any

from OCP.Standard import Standard_Failure

from ..assembly import Assembly, Elastic, Feature, Part, Side, TurningGroup
from ..cad_shapes import SolidError
from ..dimensions.options import Options
from ..dimensions.parts_list import KINDS, part_kinds
from ..dimensions.room_rules import fault_of_given, given_dimensions
from ..dimensions.size import Size, SizeError
from ..dimensions.size_checks import check_options
from ..dimensions.stack_up import StackUp
from ..frame import Place, X, Y, Z
from ..parts import body as bodies
from ..parts import covers, fasteners, gear_case, nuts, relief, rings, rotors, seals, shafts
from ..surfaces import Surface

if TYPE_CHECKING:
    import cadquery as cq

TURNING = (
    "shaft",
    "shaft_oring",
    "rotating_ring",
    "key",
    "hub_oring",
    "rotor",
    "rotor_nut",
    "nut_oring",
    "disc_spring",
    "spring_retaining_oring",
)
"""Kinds that turn with a shaft."""

GEAR_CASE_MATERIAL = {"painted-iron": "painted-iron", "stainless": "stainless"}
SHAFT_MATERIAL = "duplex"
NUT_MATERIAL = "duplex"
ROTATING_RING_MATERIAL = "silicon-carbide"
SEAL_MATERIAL = "carbon"
SPRING_MATERIAL = "spring-steel"
STAINLESS_SPRING_MATERIAL = "spring-stainless"
FASTENER_MATERIAL = "316L"
THREADED_MATERIAL = "A4-70"
"""Studs, screws and cover nuts, by their property class (ISO 3506)."""
HUB_PASSING_MM = 0.05
"""Modelled room between the hub's bore and the hub O-ring that is pressed in through it."""


@dataclass(frozen=True)
class Head(Assembly):
    """A fluid head in place, shafts at their timing mark (angle 0)."""

    size: Size = field(kw_only=True)
    options: Options = field(kw_only=True)

    @cached_property
    def stack(self) -> StackUp:
        """Derived figures of this head."""
        return StackUp(self.size, self.options)


Maker = Callable[..., Any]


@lru_cache(maxsize=96)
def _made(maker: Maker, stack: StackUp, extra: tuple[object, ...]) -> Any:
    return maker(stack, *extra)


def forget_solids() -> None:
    """Let go of the solids that heads share."""
    _made.cache_clear()


class HeadBuilder:
    """Gathers the parts of one head; makes each kind's solid once for all heads that need the same one."""

    def __init__(self, stack: StackUp) -> None:
        self.stack = stack
        self.parts: dict[str, Part] = {}

    def make(self, maker: Maker, uses: tuple[str, ...] = (), *extra: object) -> Any:
        """Return what ``maker`` makes of the stack.

        Only the options named in ``uses`` reach the maker, the others are the defaults: heads that differ in nothing
        that matters to a part share its solid, and with it its mesh.
        """
        given = {name: getattr(self.stack.options, name) for name in uses}
        return _made(maker, StackUp(self.stack.size, Options(**given)), extra)

    def add(
        self,
        key: str,
        kind: str,
        solid: cq.Shape,
        material: str,
        place: Place,
        *,
        side: Side | None = None,
        elastic: Elastic | None = None,
        features: tuple[Feature, ...] = (),
        thread: bool = False,
        surfaces: tuple[Surface, ...] = (),
        taken_for: str = "",
    ) -> None:
        self.parts[key] = Part(
            key,
            kind,
            KINDS[kind],
            material,
            solid,
            place,
            side,
            elastic,
            features,
            thread,
            surfaces,
            taken_for=taken_for,
        )

    def twins(
        self,
        kind: str,
        solid: cq.Shape,
        material: str,
        z: float,
        *,
        turn_deg: Mapping[str, float] | None = None,
        elastic: Elastic | None = None,
        features: tuple[Feature, ...] = (),
        thread: bool = False,
        surfaces: tuple[Surface, ...] = (),
    ) -> None:
        """Add one solid on both shafts at height ``z``."""
        for side in ("drive", "driven"):
            place = Place.at(self.stack.axis_x[side], 0, z)
            if turn_deg:
                place = place @ Place.turn(turn_deg[side])
            self.add(
                f"{kind}_{side}", kind, solid, material, place,
                side="drive" if side == "drive" else "driven", elastic=elastic, features=features, thread=thread,
                surfaces=surfaces,
            )  # fmt: skip


def make_head(tag: str, size: Size, options: Options | None = None) -> Head:
    """Return the head ``tag`` with all its parts in place.

    Raises:
        SizeError: if the size cannot be built with these options; also where the CAD kernel fails over dimensions that
            were given in place of the usual ones.
        SolidError: naming part and feature where the CAD kernel fails.
    """
    options = options or Options()
    check_options(size, options)
    stack = StackUp(size, options)
    build = HeadBuilder(stack)
    for stage in (_case_and_shafts, _seals, _body, _rotors_and_keys, _nuts, _cover):
        try:
            stage(build)
        except (SolidError, Standard_Failure) as error:
            given = given_dimensions(size)
            if not given:
                raise
            allowed = f"what the parts can be made of ({error})"
            faults = [fault_of_given(size, n, f"{getattr(size, n):g}", allowed) for n in given]
            raise SizeError(size.name, faults) from error
    wanted = part_kinds(options, int(size.studs), int(size.seal_pins))
    assert build.parts.keys() == wanted.keys(), build.parts.keys() ^ wanted.keys()
    parts = {key: build.parts[key] for key in wanted}
    up = Y if options.ports == "upright" else X
    return Head(tag, parts, up, Z, _turning(stack, parts), size=size, options=options)


def _turning(stack: StackUp, parts: Mapping[str, Part]) -> tuple[TurningGroup, ...]:
    """Return what turns: all that is on the drive shaft, and as fast the other way, all on the driven one."""
    groups = []
    for side, ratio in (("drive", 1.0), ("driven", -1.0)):
        keys = tuple(p.key for p in parts.values() if p.kind in TURNING and p.side == side)
        axis = (stack.axis_x[side], 0.0, 0.0)
        groups.append(TurningGroup(side, keys, axis, Z, ratio, f"shaft_{side}"))
    return tuple(groups)


def _case_and_shafts(build: HeadBuilder) -> None:
    stack, s, o = build.stack, build.stack.size, build.stack.options
    case = build.make(gear_case.make_gear_case, ("ports",))
    found = gear_case.gear_case_features(stack)
    named = gear_case.gear_case_surfaces(stack)
    build.add(
        "gear_case",
        "gear_case",
        case,
        GEAR_CASE_MATERIAL[o.gear_case],
        Place(),
        features=found,
        surfaces=named,
    )
    sides: tuple[Side, Side] = ("drive", "driven")
    for side in sides:
        build.add(
            f"shaft_{side}", "shaft", build.make(shafts.make_shaft, ("rotor", "seal"), side), SHAFT_MATERIAL,
            Place.at(stack.axis_x[side], 0, 0), side=side, features=shafts.shaft_features(stack),
            surfaces=shafts.shaft_surfaces(stack, side),
        )  # fmt: skip
    stud = build.make(fasteners.make_stud, ("rotor", "seal", "cover_nuts"))
    for n, (x, y) in enumerate(stack.stud_points, 1):
        build.add(
            f"stud_{n}", "stud", stud, THREADED_MATERIAL, Place.at(x, y, 0), thread=True,
            surfaces=fasteners.stud_surfaces(stack),
        )  # fmt: skip
    groove, section = shafts.shaft_groove_radius(stack), s.shaft_oring_section_mm
    gland = stack.radial_gland_mm(section)
    centre = groove + gland / 2
    passing = s.shaft_radius_mm + section / 2 + rings.CORE_CLEARANCE_MM
    ring, elastic = rings.oring(centre, section, gland, passing)
    middle = sum(shafts.shaft_groove_z(stack)) / 2
    named = rings.oring_surfaces(centre, section)
    build.twins("shaft_oring", ring, o.elastomer, middle, elastic=elastic, surfaces=named)


def _seals(build: HeadBuilder) -> None:
    stack = build.stack
    features = seals.rotating_ring_features(stack)
    build.twins(
        "rotating_ring",
        build.make(seals.make_rotating_ring, ("seal",)),
        ROTATING_RING_MATERIAL,
        stack.rotating_ring_face_z,
        features=features,
        surfaces=seals.rotating_ring_surfaces(stack),
    )
    for outer in (False, True) if stack.double else (False,):
        _seal_pins(build, outer)
        _seal_spring(build, outer)
        _stationary_seal(build, outer)


def _seal_pins(build: HeadBuilder, outer: bool) -> None:
    stack = build.stack
    kind, end = ("atmosphere_pin", stack.outer_end_z) if outer else ("seal_pin", stack.seal_end_z)
    pin, circle = build.make(seals.make_pin, (), outer), seals.pin_circle(stack, outer)
    angles = seals.atmosphere_pin_angles(stack) if outer else seals.pin_angles(stack)
    sides: tuple[Side, Side] = ("drive", "driven")
    for side in sides:
        for n, angle in enumerate(angles, 1):
            place = Place.at(stack.axis_x[side], 0, end) @ Place.turn(angle) @ Place.at(circle, 0, 0)
            build.add(
                f"{kind}_{side}_{n}", kind, pin, FASTENER_MATERIAL, place, side=side,
                surfaces=seals.pin_surfaces(stack, outer),
            )  # fmt: skip


def _seal_spring(build: HeadBuilder, outer: bool) -> None:
    stack = build.stack
    kind, end = ("atmosphere_wave_spring", stack.outer_end_z) if outer else ("wave_spring", stack.seal_end_z)
    height = seals.spring_height(stack, outer)
    inside, outside = seals.spring_radii(stack, outer)
    strip, waves = stack.size.wave_spring_strip_mm, seals.spring_waves(stack, outer)
    free = height * stack.size.wave_spring_free_share
    spring, springy = rings.wave_spring(inside, outside, height, strip, waves, free)
    named = rings.wave_spring_surfaces(inside, outside, height)
    build.twins(kind, spring, STAINLESS_SPRING_MATERIAL, end - height, elastic=springy, surfaces=named)


def _stationary_seal(build: HeadBuilder, outer: bool) -> None:
    stack, s = build.stack, build.stack.size
    kind = "atmosphere_ring" if outer else "stationary_ring"
    ring = build.make(seals.make_atmosphere_ring if outer else seals.make_stationary_ring, ("seal",))
    features = seals.stationary_features(stack, outer)
    build.twins(
        kind, ring, SEAL_MATERIAL, stack.rotating_ring_face_z, features=features,
        surfaces=seals.stationary_surfaces(stack, outer),
    )  # fmt: skip
    radius, section = seals.seal_radius(stack, outer), s.seal_oring_section_mm
    gland = stack.sliding_gland_mm(section)
    passing = radius + section / 2 + rings.CORE_CLEARANCE_MM
    centre = radius + s.fit_gap_mm - gland / 2
    oring, elastic = rings.oring(centre, section, gland, passing)
    z = stack.rotating_ring_face_z + sum(seals.seal_groove_z(stack, outer)) / 2
    named = rings.oring_surfaces(centre, section)
    build.twins(f"{kind}_oring", oring, stack.options.elastomer, z, elastic=elastic, surfaces=named)


def _body(build: HeadBuilder) -> None:
    stack, s, o = build.stack, build.stack.size, build.stack.options
    build.add(
        "body",
        "body",
        build.make(bodies.make_body, ("rotor", "seal", "body", "cleaning_in_place")),
        o.body_metal,
        Place(),
        features=bodies.body_features(stack),
        surfaces=bodies.body_surfaces(stack),
    )
    for name, (x, y) in stack.dowel_points.items():
        d = s.dowels_mm[name]
        ends = (-s.dowel_reach_mm, stack.face_z + s.dowel_reach_mm)
        dowel, named = fasteners.make_dowel(d, *ends), fasteners.dowel_surfaces(d, *ends)
        pin = Feature(f"{name} dowel", "pin", (0, 0, 0), size_mm=d, mates="body")
        build.add(
            f"body_dowel_{name}", "body_dowel", dowel, FASTENER_MATERIAL, Place.at(x, y, 0), features=(pin,),
            surfaces=named,
        )  # fmt: skip
    made = (s.body_screw_thread, stack.screw_sink_z + s.body_screw_reach_mm)
    screw, named = fasteners.make_screw(*made), fasteners.screw_surfaces(*made)
    for n, (x, y) in enumerate(stack.screw_points, 1):
        build.add(
            f"body_screw_{n}",
            "body_screw",
            screw,
            THREADED_MATERIAL,
            Place.at(x, y, stack.screw_sink_z),
            thread=True,
            surfaces=named,
        )


def _rotors_and_keys(build: HeadBuilder) -> None:
    stack, s, o = build.stack, build.stack.size, build.stack.options
    section, gland, journal = s.hub_oring_section_mm, stack.hub_gland_depth, s.shaft_radius_mm
    # Pressed in by hand through the hub's mouth, it springs out into its groove.
    passing = journal + s.fit_gap_mm - section / 2 - HUB_PASSING_MM
    ring, elastic = rings.oring(journal + gland / 2, section, gland, passing)
    named = rings.oring_surfaces(journal + gland / 2, section)
    build.twins("hub_oring", ring, o.elastomer, sum(stack.hub_groove_z) / 2, elastic=elastic, surfaces=named)
    key = build.make(shafts.make_key, ("rotor",))
    named = shafts.key_surfaces(stack)
    build.twins("key", key, SHAFT_MATERIAL, sum(stack.key_span_z) / 2, surfaces=named)
    phase = {"drive": 0.0, "driven": stack.phase_deg}
    build.twins(
        "rotor", build.make(rotors.make_rotor, ("rotor", "cleaning_in_place")), o.rotor_metal, stack.rotor_front_z,
        turn_deg=phase, features=rotors.rotor_features(stack), surfaces=rotors.rotor_surfaces(stack),
    )  # fmt: skip


def _nuts(build: HeadBuilder) -> None:
    """Add the rotor nuts with what lies in them."""
    stack, s, o = build.stack, build.stack.size, build.stack.options
    floor = stack.recess_floor_z
    nut = build.make(nuts.make_rotor_nut)
    build.twins(
        "rotor_nut", nut, NUT_MATERIAL, floor, features=nuts.nut_features(stack), thread=True,
        surfaces=nuts.nut_surfaces(stack),
    )  # fmt: skip
    made = (
        s.disc_spring_inner_mm, s.disc_spring_outer_mm, s.disc_spring_thickness_mm, stack.disc_spring_height
    )  # fmt: skip
    spring, springy = rings.disc_spring(*made, s.disc_spring_thickness_mm + s.disc_spring_cone_mm)
    named = rings.disc_spring_surfaces(*made)
    build.twins(
        "disc_spring", spring, SPRING_MATERIAL, floor + stack.land_height, elastic=springy, surfaces=named
    )
    half = s.spring_retaining_oring_section_mm / 2
    retainer = rings.torus(stack.spring_retaining_centre_radius, half)
    core = rings.torus(stack.spring_retaining_centre_radius, half - rings.CORE_CLEARANCE_MM)
    # Pressed in by hand through the pocket's mouth, it springs out into its groove.
    through = rings.torus(stack.pocket_radius - half - rings.CORE_CLEARANCE_MM, half)
    soft = Elastic(0.0, core, through)
    build.twins(
        "spring_retaining_oring", retainer, o.elastomer, floor + nuts.spring_retaining_z(stack), elastic=soft,
        surfaces=rings.oring_surfaces(stack.spring_retaining_centre_radius, 2 * half),
    )  # fmt: skip
    gland = stack.face_gland_mm(s.nut_oring_section_mm)
    centre = sum(stack.nut_groove_radii) / 2
    ring, elastic = rings.oring(centre, s.nut_oring_section_mm, gland)
    named = rings.oring_surfaces(centre, s.nut_oring_section_mm)
    build.twins("nut_oring", ring, o.elastomer, floor + gland / 2, elastic=elastic, surfaces=named)


def _cover(build: HeadBuilder) -> None:
    stack, s, o = build.stack, build.stack.size, build.stack.options
    r0, r1 = stack.cover_groove
    section = s.cover_oring_section_mm
    gland = stack.face_gland_mm(section)
    ring = rings.stadium_oring(s.c / 2, (r0 + r1) / 2, section)
    core = rings.stadium_oring(s.c / 2, (r0 + r1) / 2, gland - 2 * rings.CORE_CLEARANCE_MM)
    kinds = (o.elastomer, "ptfe-encapsulated")
    material, taken_for = kinds if o.cover_oring == "solid" else kinds[::-1]
    build.add(
        "cover_oring", "cover_oring", ring, material, Place.at(0, 0, covers.cover_gland_z(stack)),
        elastic=Elastic((section - gland) / 2, core), taken_for=taken_for,
        surfaces=rings.oring_surfaces((r0 + r1) / 2, section, s.c / 2),
    )  # fmt: skip
    at_face = Place.at(0, 0, stack.face_z)
    build.add(
        "cover",
        "cover",
        build.make(covers.make_cover, ("cover", "cover_nuts")),
        o.body_metal,
        at_face,
        features=covers.cover_features(stack),
        surfaces=covers.cover_surfaces(stack),
    )
    if o.cover == "relief":
        _relief(build, at_face)
    wing = o.cover_nuts == "wing"
    nut = build.make(fasteners.make_cover_nut, ("cover_nuts",))
    for n, (x, y) in enumerate(stack.stud_points, 1):
        place = Place.at(x, y, stack.face_z + s.cover_thickness_mm)
        if wing:
            place = place @ Place.turn(fasteners.nut_turn_deg(stack, (x, y)))
        named = fasteners.cover_nut_surfaces(stack)
        build.add(f"cover_nut_{n}", "cover_nut", nut, THREADED_MATERIAL, place, thread=True, surfaces=named)


def _relief(build: HeadBuilder, at_face: Place) -> None:
    stack, s, o = build.stack, build.stack.size, build.stack.options
    build.add(
        "relief_piston", "relief_piston", build.make(relief.make_relief_piston), o.body_metal, at_face,
        surfaces=relief.relief_piston_surfaces(stack),
    )  # fmt: skip
    section, radius = s.seal_oring_section_mm, relief.relief_radius(stack)
    gland = stack.sliding_gland_mm(section)
    ring, elastic = rings.oring(radius - gland / 2, section, gland, radius + section / 2)
    z = sum(relief.piston_groove_z(stack)) / 2
    named = rings.oring_surfaces(radius - gland / 2, section)
    build.add(
        "relief_oring",
        "relief_oring",
        ring,
        o.elastomer,
        at_face.moved(0, 0, z),
        elastic=elastic,
        surfaces=named,
    )
    spring, springy = build.make(relief.make_relief_spring)
    at = at_face.moved(0, 0, relief.relief_spring_z(stack)[0])
    build.add(
        "relief_spring", "relief_spring", spring, STAINLESS_SPRING_MATERIAL, at, elastic=springy,
        surfaces=relief.relief_spring_surfaces(stack),
    )  # fmt: skip
    flange = relief.cap_flange_z(stack)
    cap = build.make(relief.make_relief_cap)
    build.add(
        "relief_cap", "relief_cap", cap, FASTENER_MATERIAL, at_face.moved(0, 0, flange),
        surfaces=relief.relief_cap_surfaces(stack),
    )  # fmt: skip
    thick = s.relief_cap_flange_thickness_mm
    made = (s.relief_screw_thread, s.relief_screw_reach_mm + thick)
    screw, named = fasteners.make_screw(*made), fasteners.screw_surfaces(*made)
    for n, (x, y) in enumerate(relief.relief_screw_points(stack), 1):
        place = at_face.moved(x, y, flange + thick)
        build.add(
            f"relief_screw_{n}", "relief_screw", screw, THREADED_MATERIAL, place, thread=True, surfaces=named
        )
