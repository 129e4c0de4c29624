"""Rows of an invented fleet, made without its file: for tests of what is worked out of a head."""

from __future__ import annotations

from decimal import Decimal

from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.dimensions.parts_list import part_kinds
from benchleaf.geometry.dimensions.size import example_measures, make_size
from benchleaf.sequences.calculations.calculation_sheets import PartWeight
from benchleaf.sequences.fleet.heads import FleetHead
from benchleaf.sequences.values.head_values import resolve_values
from benchleaf.sequences.values.sourced_values import Source, SourcedValue

SOURCE = Source("Invented manual", "C", "7", "31")


def sourced(value: str | None, unit: str, **more: object) -> SourcedValue:
    figure = None if value is None else Decimal(value)
    return SourcedValue(figure, unit, SOURCE, "2031-01-01", **more)  # type: ignore[arg-type]


def span(low: str, high: str) -> SourcedValue:
    return sourced(None, "mm", span=(Decimal(low), Decimal(high)))


def make_fleet_head(
    c: float = 80.0, given: dict[str, SourcedValue] | None = None, hot: float | None = 95.0, **options: object
) -> FleetHead:
    o = Options(**options)  # type: ignore[arg-type]
    size = make_size(f"{c:g}", example_measures(c, o.rotor))
    parts = part_kinds(o, studs=int(size.studs), seal_pins=int(size.seal_pins))
    return FleetHead(
        "P-1", "p-1", "", size, o, resolve_values(given or {}, o), parts, process_temperature_c=hot
    )


def full_values(c: float) -> dict[str, SourcedValue]:
    size = make_size("x", example_measures(c, "two-wing"))
    g = size.running_gap_mm
    torque = f"{0.15 * size.rotor_thread_mm * 30:.0f}"
    return {
        "rotor_nut_torque": sourced(torque, "N·m", tolerance=Decimal(2), threads="anti-seize"),
        "front_face_clearance": span(f"{0.7 * size.front_gap_mm:.3f}", f"{1.4 * size.front_gap_mm:.3f}"),
        "rear_clearance": span(f"{0.7 * size.rear_gap_mm:.3f}", f"{1.4 * size.rear_gap_mm:.3f}"),
        "radial_clearance": span(f"{0.7 * g:.3f}", f"{1.5 * g:.3f}"),
        "mesh_clearance": span(f"{0.7 * g:.3f}", f"{1.5 * g:.3f}"),
        "shaft_runout_limit": sourced("0.03", "mm"),
        "mass_limit": sourced("15", "kg"),
        "pressure_limit": sourced("8", "bar"),
        "relief_set_pressure": sourced("6", "bar"),
        "rotor_yield_strength": sourced("180", "MPa"),
        "stud_property_class": SourcedValue("A4-70", "", SOURCE, "2031-01-01"),
    }


WEIGHTS = (
    PartWeight("body", "316L", 1.5e6),
    PartWeight("key", "316L", 900.0),
    PartWeight("cover", "316L", 4.0e6),
)
