"""Fleets whose values are missing, impossible, contradictory or in doubt, as files; the plant is invented."""

from __future__ import annotations

SIZE = """\
    shaft_centre_distance_mm: 80
    rotor_diameter_mm: 113.6
    rotor_width_mm: 56
    shaft_diameter_mm: 30.4
    port_bore_mm: 48
"""


def value(
    name: str,
    text: str,
    source: str = "source: {document: Manual, table: 7}, date: 2031-01-01",
    deep: int = 6,
) -> str:
    return f"{' ' * deep}{name}: {{{text}, {source}}}\n" if source else f"{' ' * deep}{name}: {{{text}}}\n"


def fleet(*heads: str) -> str:
    top = "plant: Test plant\nbooklet: {revision: 1, date: 2031-02-03}\nsizes:\n  80:\n"
    return f"{top}{SIZE}heads:\n{''.join(heads)}"


def head(tag: str, *lines: str, **options: str) -> str:
    more = "".join(f"    {k}: {v}\n" for k, v in options.items())
    values = "    values:\n" + "".join(lines) if lines else ""
    return f"  - tag: {tag}\n    size: 80\n{more}{values}"


LOW = value("rotor_nut_torque", "value: 2, unit: N·m, threads: dry")
HIGH = value("rotor_nut_torque", "value: 900, unit: N·m, threads: anti-seize")
SCREW = value("body_screw_torque", "value: 1900, unit: N·m")
GAP = value("front_face_clearance", "range: [0.30, 0.40], unit: mm")
NARROW = value("radial_clearance", "range: [0.075, 0.085], unit: mm")
SPRING = value("disc_spring_free_height", "value: 9.5, unit: mm")
WAVE = value("wave_spring_free_height", "value: 2.0, unit: mm")
WEAK = value("pressure_limit", "value: 90, unit: bar")
GREASE = value("assembly_lubricant", "value: mineral grease, medium: mineral-grease")
DOUBTED = (
    head("LOW", LOW),
    head("HIGH", HIGH, SCREW),
    head("GAP", GAP, NARROW),
    head("SPRING", SPRING, WAVE),
    head("MEDIA", GREASE, elastomer="EPDM", process_temperature_c="160"),
    head("WEAK", WEAK),
    head("TOUCH", elastomer="FFKM", rotor_metal="316L", process_temperature_c="390"),
)
"""Heads with values in doubt, and with what brings the doubt."""

FAULTY = fleet(
    head("IMPOSSIBLE", value("rotor_nut_torque", "value: 90000, unit: N·m")),
    head("UNIT", value("rotor_nut_torque", "value: 50, unit: mm")),
    head("NEGATIVE", value("shaft_runout_limit", "value: -0.03, unit: mm")),
    head("BACKWARDS", value("rear_clearance", "range: [0.2, 0.1], unit: mm")),
    head("UNSOURCED", value("cover_nut_torque", "value: 30, unit: N·m", "date: 2031-01-01")),
    head("UNDATED", value("mesh_clearance", "range: [0.05, 0.09], unit: mm", "source: {document: M}")),
    head("NO_UNIT", value("pressure_limit", "value: 12")),
    head(
        "CONTRADICTION",
        value("relief_set_pressure", "value: 14, unit: bar"),
        value("pressure_limit", "value: 12, unit: bar"),
        cover="relief",
    ),
    head("TOO_HOT", value("temperature_limit", "value: 90, unit: °C"), process_temperature_c="120"),
    head("NOT_THERE", value("flush_pressure", "value: 1, unit: bar")),
    head("IN_WORDS", value("rotor_nut_torque", "value: 50 N·m, unit: N·m")),
    head("WIDE", value("rotor_nut_torque", "value: 50, unit: N·m, tolerance: 60")),
    head("BESIDE_ITSELF", value("radial_clearance", "value: 0.3, range: [0.05, 0.1], unit: mm")),
    head("MISSPELT", value("rotor_nut_torqe", "value: 50, unit: N·m")),
    head("NO_CLASS", value("assembly_lubricant", "value: grease, medium: gravy")),
    head(
        "NO_DAY", value("rotor_nut_torque", "value: 50, unit: N·m", "source: {document: M}, date: 2031-02-30")
    ),
    head("NO_NAME", value("rotor_nut_torque", "value: 50, unit: N·m", "source: {page: 3}, date: 2031-01-01")),
    head("NO_FIGURE", value("rotor_nut_torque", "unit: N·m")),
    head("NO_NUMBER", value("rotor_nut_torque", "value: .nan, unit: N·m")),
    head("ENDLESS", value("radial_clearance", "range: [0.05, 1e999], unit: mm")),
    *DOUBTED,
)
FOUND = (
    "90000 N·m",
    "mm",
    "-0.03",
    "[0.2, 0.1]",
    "source",
    "date",
    "unit",
    "relief_set_pressure 14 bar",
    "120 °C",
    "flush_pressure on a head without it",
    "'50 N·m'",
    "60",
    "0.3",
    "the key rotor_nut_torqe",
    "the medium 'gravy'",
    "'2031-02-30'",
    "no document",
    "neither value nor range",
    "'.nan'",
    "'1e999'",
)
"""What is found in the heads of :data:`FAULTY`, in their order; the doubted ones have no mistake."""
