"""A size: a few measured dimensions, and documented proportions for all the others.

Proportions are those of the general trade (a fraction of the shaft centre distance C), not of any maker; each can be
overridden one by one. Nothing here needs the CAD kernel.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields

from .threads import Thread, nearest_thread, thread_table

ORING_SECTIONS_MM = (1.78, 2.62, 3.53, 5.33, 6.99)
"""Cross-sections of ISO 3601-1."""


@dataclass(frozen=True)
class SizeFault:
    """One dimension that cannot be built."""

    field: str
    found: str
    allowed: str
    fix: str


class SizeError(ValueError):
    """A size that cannot be built; ``faults`` lists every reason."""

    def __init__(self, name: str, faults: list[SizeFault]) -> None:
        self.name = name
        self.faults = faults
        lines = [f"{f.field}: found {f.found}, allowed {f.allowed}; {f.fix}" for f in faults]
        super().__init__(f"size {name} cannot be built:\n" + "\n".join(lines))

    def __reduce__(self) -> tuple[type[SizeError], tuple[str, list[SizeFault]]]:
        """Let it come back whole from another process."""
        return SizeError, (self.name, self.faults)


MEASURED: dict[str, tuple[str, float, float]] = {
    "shaft_centre_distance_mm": ("distance between the two shafts' axes, C", 55.0, 220.0),
    "rotor_diameter_mm": ("diameter over the rotor's tips", 66.0, 340.0),
    "rotor_width_mm": ("axial width of the rotor at its tips", 28.0, 220.0),
    "shaft_diameter_mm": ("diameter of the seal journal", 18.0, 90.0),
    "port_bore_mm": ("inner diameter of the ports", 15.0, 200.0),
}
"""Measured dimension: what it is, least and greatest value in mm."""


@dataclass(frozen=True)
class Size:
    """All dimensions of one pump size, in mm unless the name says otherwise.

    The five measured dimensions come first; see :data:`PROPORTIONS` for how the others follow.
    """

    name: str
    shaft_centre_distance_mm: float
    rotor_diameter_mm: float
    rotor_width_mm: float
    shaft_diameter_mm: float
    port_bore_mm: float
    # gaps
    running_gap_mm: float
    front_gap_mm: float
    rear_gap_mm: float
    fit_gap_mm: float
    # castings
    wall_mm: float
    front_wall_mm: float
    corner_radius_mm: float
    port_reach_mm: float
    gear_case_depth_mm: float
    cover_thickness_mm: float
    # shaft
    collar_length_mm: float
    collar_step_mm: float
    flats_step_mm: float
    bearing_step_mm: float
    journal_step_mm: float
    key_width_mm: float
    key_rise_mm: float
    key_depth_mm: float
    web_mm: float
    # seals
    seat_length_mm: float
    inner_seal_length_mm: float
    wave_spring_height_mm: float
    outer_seal_length_mm: float
    outer_spring_height_mm: float
    seal_pin_diameter_mm: float
    seal_pins: float
    # O-ring sections
    shaft_oring_section_mm: float
    seal_oring_section_mm: float
    hub_oring_section_mm: float
    nut_oring_section_mm: float
    retainer_oring_section_mm: float
    cover_oring_section_mm: float
    # threads and fasteners
    rotor_thread_mm: float
    stud_thread_mm: float
    body_screw_thread_mm: float
    studs: float
    large_dowel_mm: float
    small_dowel_mm: float
    # disc spring
    disc_spring_inner_mm: float
    disc_spring_outer_mm: float
    disc_spring_thickness_mm: float
    disc_spring_cone_mm: float
    disc_spring_deflection: float
    # rotor
    keyed_length_mm: float
    wing_half_angle_deg: float

    @property
    def c(self) -> float:
        """Shaft centre distance."""
        return self.shaft_centre_distance_mm

    @property
    def tip_radius_mm(self) -> float:
        """Radius over the rotor's tips."""
        return self.rotor_diameter_mm / 2

    @property
    def bore_radius_mm(self) -> float:
        """Radius of the body's bores."""
        return self.tip_radius_mm + self.running_gap_mm

    @property
    def boss_radius_mm(self) -> float:
        """Radius of boss and hub of the two-wing form: what the other rotor's tip leaves free."""
        return self.c - self.tip_radius_mm - self.running_gap_mm

    @property
    def shaft_radius_mm(self) -> float:
        """Radius of the seal journal."""
        return self.shaft_diameter_mm / 2

    @property
    def journal_radius_mm(self) -> float:
        """Radius of the rotor journal."""
        return self.shaft_radius_mm - self.journal_step_mm

    @property
    def rotor_thread(self) -> Thread:
        """Thread of the shaft's end."""
        return nearest_thread(self.rotor_thread_mm)

    @property
    def stud_thread(self) -> Thread:
        """Thread of the studs."""
        return nearest_thread(self.stud_thread_mm)

    @property
    def body_screw_thread(self) -> Thread:
        """Thread of the body retaining screws."""
        return nearest_thread(self.body_screw_thread_mm)

    @property
    def relief_screw_thread(self) -> Thread:
        """Metric thread of the screws that hold the relief cap of a vented cover."""
        return nearest_thread(0.07 * self.c)


@dataclass(frozen=True)
class Proportion:
    """How a dimension follows from those before it, and the factors of its value within which it may be overridden."""

    words: str
    rule: Callable[[Mapping[str, float]], float]
    least: float = 0.5
    most: float = 2.0


def _c(factor: float) -> Callable[[Mapping[str, float]], float]:
    return lambda d: factor * d["shaft_centre_distance_mm"]


def _section(factor: float) -> Callable[[Mapping[str, float]], float]:
    return lambda d: min(ORING_SECTIONS_MM, key=lambda s: abs(s - factor * d["shaft_centre_distance_mm"]))


def _thread(factor: float) -> Callable[[Mapping[str, float]], float]:
    return lambda d: nearest_thread(factor * d["shaft_centre_distance_mm"]).nominal_mm


def _rotor_thread(d: Mapping[str, float]) -> float:
    limit = 0.18 * d["shaft_centre_distance_mm"]
    return max((t.nominal_mm for t in thread_table() if t.nominal_mm <= limit), default=5.0)


PROPORTIONS: dict[str, Proportion] = {
    "running_gap_mm": Proportion("radial gap of rotor to bore, boss and mate: 0.001 C", _c(0.001), 0.4, 4),
    "front_gap_mm": Proportion(
        "rotor's front face below the body's front face: 0.0015 C", _c(0.0015), 0.3, 4
    ),
    "rear_gap_mm": Proportion("rotor's rear face to the cavity floor: 0.0015 C", _c(0.0015), 0.3, 4),
    "fit_gap_mm": Proportion(
        "radial clearance of sliding fits: 0.0004 C, at least 0.03 mm",
        lambda d: max(0.03, 0.0004 * d["shaft_centre_distance_mm"]),
        0.7,
        3,
    ),
    "wall_mm": Proportion("body wall round the bores: 0.2 C", _c(0.20), 0.95, 1.6),
    "front_wall_mm": Proportion("metal between seal chamber and cavity: 0.06 C", _c(0.06), 0.8, 3),
    "corner_radius_mm": Proportion("corner radius of body and cover: 0.3 C", _c(0.30), 0.3, 1.1),
    "port_reach_mm": Proportion("port face beyond the body's side: 0.3 C", _c(0.30), 0.6, 2),
    "gear_case_depth_mm": Proportion("depth of the gear case: 0.9 C", _c(0.90), 0.6, 2),
    "cover_thickness_mm": Proportion("cover: 0.18 C", _c(0.18), 0.8, 2),
    "collar_length_mm": Proportion(
        "shaft collar with the two flats, before the case: 0.05 C", _c(0.05), 0.8, 2
    ),
    "collar_step_mm": Proportion("collar above the seal journal, on radius: 0.03 C", _c(0.03), 0.9, 1.2),
    "flats_step_mm": Proportion("flats above the seal journal, half width: 0.012 C", _c(0.012), 0.6, 1.5),
    "bearing_step_mm": Proportion(
        "bearing seat above the seal journal, on radius: 0.045 C", _c(0.045), 0.9, 1.5
    ),
    "journal_step_mm": Proportion(
        "rotor journal below the seal journal, on radius: 0.04 C", _c(0.04), 0.95, 1.3
    ),
    "key_width_mm": Proportion(
        "key width: 0.07 C, to the half millimetre",
        lambda d: round(0.14 * d["shaft_centre_distance_mm"]) / 2,
        0.6,
        1.4,
    ),
    "key_rise_mm": Proportion("key above the rotor journal: 0.018 C", _c(0.018), 0.6, 1.3),
    "key_depth_mm": Proportion("key below the rotor journal: 0.028 C", _c(0.028), 0.6, 1.3),
    "web_mm": Proportion("rotor's web that the nut presses on: 0.05 C", _c(0.05), 0.8, 1.8),
    "seat_length_mm": Proportion(
        "seal seat before the collar: 0.12 C, at least the O-ring's groove and 0.05 C",
        lambda d: (
            max(0.12, 1.35 * _section(0.035)(d) / d["shaft_centre_distance_mm"] + 0.05)
            * d["shaft_centre_distance_mm"]
        ),
        0.95,
        1.6,
    ),
    "inner_seal_length_mm": Proportion(
        "inner seal: 0.13 C, at least the O-ring's groove and 0.09 C",
        lambda d: (
            max(0.13, 1.35 * _section(0.03)(d) / d["shaft_centre_distance_mm"] + 0.09)
            * d["shaft_centre_distance_mm"]
        ),
        0.95,
        1.6,
    ),
    "wave_spring_height_mm": Proportion("wave spring at working height: 0.045 C", _c(0.045), 0.8, 1.6),
    "outer_seal_length_mm": Proportion(
        "outer seal: 0.095 C, at least the O-ring's groove and 0.052 C",
        lambda d: (
            max(0.095, 1.35 * _section(0.03)(d) / d["shaft_centre_distance_mm"] + 0.052)
            * d["shaft_centre_distance_mm"]
        ),
        0.95,
        1.6,
    ),
    "outer_spring_height_mm": Proportion("outer seal's spring at working height: 0.04 C", _c(0.04), 0.8, 1.6),
    "seal_pin_diameter_mm": Proportion("seal drive pins: 0.03 C", _c(0.03), 0.7, 1.1),
    "seal_pins": Proportion("seal drive pins on each seal: 2", lambda d: 2.0, 0.5, 2),
    "shaft_oring_section_mm": Proportion("shaft O-ring section nearest to 0.035 C", _section(0.035)),
    "seal_oring_section_mm": Proportion("seal O-ring section nearest to 0.03 C", _section(0.03)),
    "hub_oring_section_mm": Proportion("hub O-ring section nearest to 0.03 C", _section(0.03)),
    "nut_oring_section_mm": Proportion("nut O-ring section nearest to 0.022 C", _section(0.022)),
    "retainer_oring_section_mm": Proportion("retainer O-ring section nearest to 0.018 C", _section(0.018)),
    "cover_oring_section_mm": Proportion("cover O-ring section nearest to 0.042 C", _section(0.042)),
    "rotor_thread_mm": Proportion("largest metric thread up to 0.18 C", _rotor_thread, 0.7, 1.2),
    "stud_thread_mm": Proportion("metric thread nearest to 0.12 C", _thread(0.12), 0.7, 1.2),
    "body_screw_thread_mm": Proportion("metric thread nearest to 0.09 C", _thread(0.09), 0.7, 1.2),
    "studs": Proportion("studs for the cover: 4 (or 6)", lambda d: 4.0, 1, 1.5),
    "large_dowel_mm": Proportion("large body dowel: 0.12 C", _c(0.12), 0.6, 1.2),
    "small_dowel_mm": Proportion("small body dowel: 0.10 C", _c(0.10), 0.6, 1.45),
    "disc_spring_inner_mm": Proportion(
        "disc spring bore: the rotor thread and 0.4 mm", lambda d: d["rotor_thread_mm"] + 0.4, 0.95, 1.1
    ),
    "disc_spring_outer_mm": Proportion(
        "disc spring outer diameter: 1.6 of its bore", lambda d: 1.6 * d["disc_spring_inner_mm"], 0.9, 1.15
    ),
    "disc_spring_thickness_mm": Proportion(
        "disc spring thickness: 0.065 of its outer diameter",
        lambda d: 0.065 * d["disc_spring_outer_mm"],
        0.6,
        1.5,
    ),
    "disc_spring_cone_mm": Proportion(
        "free cone height h0: 0.45 of the thickness", lambda d: 0.45 * d["disc_spring_thickness_mm"], 0.5, 1.6
    ),
    "disc_spring_deflection": Proportion(
        "share of h0 taken up when the nut is home: 0.75", lambda d: 0.75, 0.3, 1.2
    ),
    "keyed_length_mm": Proportion(
        "hub length on the shaft behind the web, two-wing form: 0.17 C", _c(0.17), 0.9, 3
    ),
    "wing_half_angle_deg": Proportion(
        "half angle of a wing, 0 for the widest that turns clear", lambda d: 0.0, 0, 60
    ),
}
"""Dimension: how it follows, in the order in which they are worked out."""

_COUNTS = {"studs": (4, 6), "seal_pins": (1, 2, 3, 4)}
_SECTIONS = tuple(n for n in PROPORTIONS if n.endswith("_section_mm"))


def measured_fields() -> dict[str, str]:
    """Return measured dimension to what it is."""
    return {name: words for name, (words, _, _) in MEASURED.items()}


def override_fields() -> dict[str, str]:
    """Return dimension that may be overridden to how it follows when it is not."""
    return {name: p.words for name, p in PROPORTIONS.items()}


def make_size(name: str, measured: Mapping[str, float], overrides: Mapping[str, float] | None = None) -> Size:
    """Return the size with all its dimensions.

    Args:
        name: what people call it.
        measured: the five fields of :data:`MEASURED`, mm.
        overrides: fields of :data:`PROPORTIONS` with a value of their own.

    Raises:
        SizeError: with every dimension that is missing, unknown, out of range or cannot be built together.

    >>> size = make_size("80", example_measures(80.0))
    >>> size.wall_mm, size.stud_thread.nominal_mm
    (16.0, 10.0)
    """
    overrides = dict(overrides or {})
    faults: list[SizeFault] = []
    d: dict[str, float] = {}
    for key, (words, least, most) in MEASURED.items():
        value = measured.get(key)
        allowed = f"{least:g} to {most:g} mm ({words})"
        if value is None:
            faults.append(SizeFault(key, "nothing", allowed, "measure it and add it"))
        elif not (math.isfinite(value) and least <= value <= most):
            faults.append(SizeFault(key, f"{value:g}", allowed, "check the measurement and its unit"))
        else:
            d[key] = float(value)
    for key in measured.keys() - MEASURED.keys():
        faults.append(
            SizeFault(key, f"{measured[key]:g}", ", ".join(MEASURED), "put it under overrides or drop it")
        )
    for key in overrides.keys() - PROPORTIONS.keys():
        faults.append(
            SizeFault(key, f"{overrides[key]:g}", ", ".join(PROPORTIONS), "correct the name or drop it")
        )
    if len(d) == len(MEASURED):
        for key, p in PROPORTIONS.items():
            default = p.rule(d)
            d[key] = float(overrides.get(key, default))
            if key in overrides:
                faults += _override_faults(key, d[key], default, p)
    if faults:
        raise SizeError(name, faults)
    size = Size(name, **{f.name: d[f.name] for f in fields(Size) if f.name != "name"})
    faults = _joint_faults(size)
    if faults:
        raise SizeError(name, faults)
    return size


def _override_faults(key: str, value: float, default: float, p: Proportion) -> list[SizeFault]:
    if key in _COUNTS:
        ok = value in _COUNTS[key]
        allowed = " or ".join(str(n) for n in _COUNTS[key])
    elif key in _SECTIONS:
        ok = value in ORING_SECTIONS_MM and abs(value - default) < 0.45 * default
        allowed = (
            ", ".join(f"{s:g}" for s in ORING_SECTIONS_MM if abs(s - default) < 0.45 * default)
            + " mm (ISO 3601-1)"
        )
    elif key in ("rotor_thread_mm", "stud_thread_mm", "body_screw_thread_mm"):
        steps = [
            t.nominal_mm for t in thread_table() if p.least * default <= t.nominal_mm <= p.most * default
        ]
        ok = value in steps
        allowed = ", ".join(f"{s:g}" for s in steps) + " mm (metric coarse)"
    elif key == "wing_half_angle_deg":
        ok = value == 0 or 20 <= value <= 60
        allowed = "0, or 20 to 60 degrees"
    else:
        ok = math.isfinite(value) and p.least * default - 1e-9 <= value <= p.most * default + 1e-9
        allowed = f"{p.least * default:.4g} to {p.most * default:.4g}"
    if ok:
        return []
    return [SizeFault(key, f"{value:g}", allowed, f"leave it out for the usual {default:.4g} ({p.words})")]


def _joint_faults(s: Size) -> list[SizeFault]:
    """What no dimension is guilty of alone."""
    c = s.c
    faults: list[SizeFault] = []

    def within(field: str, value: float, least: float, most: float, fix: str) -> None:
        if not least - 1e-9 <= value <= most + 1e-9:
            faults.append(
                SizeFault(field, f"{value:g}", f"{least:.4g} to {most:.4g} mm at C = {c:g} mm", fix)
            )

    within("rotor_diameter_mm", s.rotor_diameter_mm, 1.30 * c, 1.53 * c, "measure over the tips of one rotor")
    within("rotor_width_mm", s.rotor_width_mm, 0.5 * c, 1.0 * c, "measure one rotor along its shaft")
    within(
        "shaft_diameter_mm",
        s.shaft_diameter_mm,
        0.34 * c,
        0.41 * c,
        "measure the seal journal, not the rotor's",
    )
    within(
        "port_bore_mm",
        s.port_bore_mm,
        0.25 * c,
        min(s.rotor_width_mm - 0.085 * c, 0.85 * c),
        "check the port's size",
    )
    return faults


def example_measures(centre_mm: float, rotor: str = "two-wing") -> dict[str, float]:
    """Return measured dimensions of usual proportions for one centre distance (mm): for tests and new fleets."""
    # Lobes: the cycloidal tip circle less half the usual running gap.
    tip = {"two-wing": 0.71, "two-lobe": 0.75 - 0.0005, "three-lobe": 2 / 3 - 0.0005}[rotor]
    return {
        "shaft_centre_distance_mm": centre_mm,
        "rotor_diameter_mm": 2 * tip * centre_mm,
        "rotor_width_mm": 0.7 * centre_mm,
        "shaft_diameter_mm": 0.38 * centre_mm,
        "port_bore_mm": 0.6 * centre_mm,
    }
