"""The strength of a head: what its parts bear of pressure and preload, each by formula, source and limit.

Loads come from the fleet file alone: highest working pressure, set pressure of the relief cover, torque of the rotor
nut, property class of the studs, yield of a rotor's metal that no standard states. Where one is missing there is a
blank, and no figure that would need it is worked out or judged.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from ...geometry.dimensions.stack_up import StackUp
from ...geometry.engineering.figures import Figure, Input, Limit
from ...geometry.engineering.materials import material
from ...geometry.engineering.orings import JACKETED
from ...geometry.engineering.preload import PROPERTY_CLASSES, Strength
from ...geometry.engineering.springs.disc_springs import force_figures, stress_figure
from ...geometry.engineering.strength.cantilevers import deflection_figure, gap_left_figure, rotor_load_figure
from ...geometry.engineering.strength.faces import face_figure
from ...geometry.engineering.strength.helical_springs import helical_figures, opening_force_figure
from ...geometry.engineering.strength.keys import drive_torque_figure, key_figures
from ...geometry.engineering.strength.plates import plate_figures
from ...geometry.engineering.strength.studs import pressed_area_figure, ring_force_figure, stud_figures
from ...geometry.engineering.strength.thread_shear import strip_figures
from ...geometry.engineering.strength.yields import Yield, yield_limit, yield_of
from ...geometry.engineering.topics import SIZE, Topic
from ...geometry.head.calculation_inputs import SHAFT_METAL, nut_spring
from ...geometry.head.strength_inputs import (
    KEY_METAL,
    NUT_METAL,
    cover_loop,
    cover_plate,
    engaged_mm,
    key_joint,
    nut_face_rings,
    overhang,
    relief_spring,
    shoulder_rings,
)
from ..values.sourced_values import ResolvedValue
from .calculation_sheets import Blank, Borne, CalculationSheet, Finding, blank_for
from .nut_calculations import preload_blank, stated_preload

if TYPE_CHECKING:
    from ..fleet.heads import FleetHead

BULGE_SHARE = 0.5
"""Share of the front clearance that the cover may bulge: slip grows with the cube of a gap, so half more is thrice as
much. A rule of this program, no standard's."""
COVER_SAFETY = 1.5
"""Yield over permissible stress of a plate that bears pressure (EN 13445-3, by 0.2 % yield)."""
PRESSURE = "pressure_limit"
CLASS = "stud_property_class"
ROTOR_YIELD = "rotor_yield_strength"
_NEEDS_PRESSURE = Topic("note.no_pressure")


def strength_sheets(head: FleetHead, stack: StackUp, displacement: Figure) -> Iterator[CalculationSheet]:
    """Return the sheets of a head's strength, in the order from the shaft outwards.

    Args:
        head: a row of the fleet.
        stack: its dimensions.
        displacement: what it moves in a turn, litres.
    """
    pressure = _pressure_input(head.values[PRESSURE])
    yield _shaft_sheet(head, stack, pressure)
    yield _key_sheet(head, stack, pressure, displacement)
    yield _nut_sheet(head, stack)
    yield _flat_sheet(stack)
    yield _cover_sheet(head, stack, pressure)
    yield _stud_sheet(head, stack, pressure)
    if head.options.cover == "relief":
        yield _relief_sheet(head, stack)


def _pressure_input(value: ResolvedValue) -> Input | None:
    """Return a pressure on file as input, bar: the greatest where it is a span."""
    if value.given is None or value.nominal is None:
        return None
    most = value.nominal if value.high is None else value.high
    return Input("p", Topic(f"input.{value.name}"), most, "bar", value.given.reference)


def _sheet(
    id: str, figures: Iterable[Figure], blanks: Iterable[Blank | None] = (), notes: tuple[Topic, ...] = ()
) -> CalculationSheet:
    """Return a sheet that tells of each figure that is judged, or would be if its limit were known."""
    worked = tuple(figures)
    findings: list[Finding] = [Borne(f) for f in worked if f.limit is not None or f.id in _JUDGED]
    missing = tuple(b for b in blanks if b is not None)
    return CalculationSheet(
        f"strength-{id}", Topic(f"sheet.strength_{id}"), worked, tuple(findings), missing, notes
    )


_JUDGED = (
    "strength.key_flank_hub", "strength.shoulder", "strength.nut_face", "strength.stud_stress", "strength.relief_shear",
)  # fmt: skip
"""Figures whose limit may be missing."""


def rotor_yield(head: FleetHead) -> Yield:
    """Return the yield of a head's rotors: the owner's own, else that of the standard's row."""
    value = head.values.get(ROTOR_YIELD)
    if value is not None and value.given is not None and value.nominal is not None:
        return Yield(value.low if value.low is not None else value.nominal, value.given.reference)
    return yield_of(head.options.rotor_metal)


def _rotor_yield_blank(head: FleetHead) -> Blank | None:
    value = head.values.get(ROTOR_YIELD)
    return None if value is None or rotor_yield(head).mpa is not None else blank_for(value)


def stud_strength(head: FleetHead) -> Strength | None:
    """Return the proof stress of the studs' property class, None where it is not on file or no strength is known."""
    given = head.values[CLASS].given
    return None if given is None else PROPERTY_CLASSES.get(str(given.value).strip().upper())


# ---- shaft, key, nut
def _shaft_sheet(head: FleetHead, stack: StackUp, pressure: Input | None) -> CalculationSheet:
    if pressure is None:
        return _sheet("shaft", (), (blank_for(head.values[PRESSURE]),), (_NEEDS_PRESSURE,))
    s = stack.size
    load = rotor_load_figure(pressure, s.rotor_diameter_mm, s.rotor_width_mm)
    limit = Limit(None, s.running_gap_mm, "mm", SIZE, Topic("limit.running_gap"))
    bent = deflection_figure(load, overhang(stack), material(SHAFT_METAL).youngs_input(), limit)
    left = gap_left_figure(bent, s.running_gap_mm)
    return _sheet("shaft", (load, bent, left), notes=(Topic("note.strength_shaft"),))


def _key_sheet(
    head: FleetHead, stack: StackUp, pressure: Input | None, displacement: Figure
) -> CalculationSheet:
    if pressure is None:
        return _sheet("key", (), (blank_for(head.values[PRESSURE]),), (_NEEDS_PRESSURE,))
    moved = Input(
        "V", displacement.topic, displacement.value, displacement.unit, Topic("source.displacement_sheet"),
        displacement.decimals,
    )  # fmt: skip
    torque = drive_torque_figure(pressure, moved)
    shaft, own = yield_of(SHAFT_METAL), yield_of(KEY_METAL)
    figures = key_figures(torque, key_joint(stack), shaft, own, rotor_yield(head))
    return _sheet("key", (torque, *figures), (_rotor_yield_blank(head),), (Topic("note.strength_key"),))


def _nut_sheet(head: FleetHead, stack: StackUp) -> CalculationSheet:
    preload = stated_preload(head, stack)
    if preload is None:
        return _sheet("nut", (), (preload_blank(head),), (Topic("note.no_preload"),))
    thread, shaft, nut, rotor = (
        stack.size.rotor_thread, yield_of(SHAFT_METAL), yield_of(NUT_METAL), rotor_yield(head),
    )  # fmt: skip
    return _sheet(
        "nut",
        (
            face_figure("shoulder", preload, shoulder_rings(stack), (shaft, rotor)),
            face_figure("nut_face", preload, nut_face_rings(stack), (nut, rotor)),
            *strip_figures(preload, thread.nominal_mm, thread.pitch_mm, engaged_mm(stack), shaft, nut),
        ),
        (_rotor_yield_blank(head),),
        (Topic("note.strength_nut"),),
    )


def _flat_sheet(stack: StackUp) -> CalculationSheet:
    """The disc spring pressed flat, as it may be when the nut goes home hard."""
    spring = nut_spring(stack)
    k1 = force_figures(spring, spring.cone_mm)[0]
    flat = stress_figure(spring, spring.cone_mm)
    figures = (
        replace(k1, id="strength.disc_spring_k1", topic=Topic("figure.flat_k1")),
        replace(
            flat, id="strength.disc_spring_flat", topic=Topic("figure.flat_stress"), inputs=_own_k1(flat)
        ),
    )
    return _sheet("spring", figures, notes=(Topic("note.strength_spring"),))


def _own_k1(flat: Figure) -> tuple[Input, ...]:
    """Return the inputs with the coefficient under the name that it has on this sheet."""
    return tuple(replace(i, topic=Topic("figure.flat_k1")) if i.symbol == "K₁" else i for i in flat.inputs)


# ---- cover, studs, relief
def _cover_sheet(head: FleetHead, stack: StackUp, pressure: Input | None) -> CalculationSheet:
    if pressure is None:
        return _sheet("cover", (), (blank_for(head.values[PRESSURE]),), (_NEEDS_PRESSURE,))
    metal = material(head.options.body_metal)
    bulge = Limit(
        None, BULGE_SHARE * stack.size.front_gap_mm, "mm", Topic("source.bulge_share"),
        Topic("limit.bulge", percent=100 * BULGE_SHARE),
    )  # fmt: skip
    stress = yield_limit([yield_of(metal.key)], 1 / COVER_SAFETY, "plate")
    figures = plate_figures(pressure, cover_plate(stack), metal.youngs_input(), stress, bulge)
    return _sheet("cover", figures, notes=(Topic("note.strength_cover"),))


def _stud_sheet(head: FleetHead, stack: StackUp, pressure: Input | None) -> CalculationSheet:
    value, strength = head.values[CLASS], stud_strength(head)
    blank = None if strength is not None else blank_for(value)
    if pressure is None:
        return _sheet("studs", (), (blank_for(head.values[PRESSURE]), blank), (_NEEDS_PRESSURE,))
    s, (outside, length) = stack.size, cover_loop(stack)
    area, ring = pressed_area_figure(s.c, outside), None
    notes = [Topic("note.strength_studs")]
    if head.options.cover_oring == JACKETED:
        notes.append(Topic("note.jacketed_force"))
    else:
        rubber = material(head.options.elastomer)
        squeeze = 1 - stack.face_gland_mm(s.cover_oring_section_mm) / s.cover_oring_section_mm
        ring = ring_force_figure(s.cover_oring_section_mm, squeeze, length, 1000 * rubber.youngs_high_gpa)
    if value.given is not None and strength is None:
        notes.append(Topic("note.class_unknown", designation=str(value.given.value)))
    thread = s.stud_thread
    stressed = stud_figures(pressure, area, ring, int(s.studs), thread.nominal_mm, thread.pitch_mm, strength)
    return _sheet("studs", (area, *([ring] if ring else ()), *stressed), (blank,), tuple(notes))


def _relief_sheet(head: FleetHead, stack: StackUp) -> CalculationSheet:
    value = head.values["relief_set_pressure"]
    pressure = _pressure_input(value)
    if pressure is None:
        return _sheet("relief", (), (blank_for(value),), (Topic("note.no_set_pressure"),))
    spring, room = relief_spring(stack)
    force = opening_force_figure(pressure, stack.size.relief_bore_mm)
    return _sheet(
        "relief", (force, *helical_figures(force, spring, room)), notes=(Topic("note.strength_relief"),)
    )
