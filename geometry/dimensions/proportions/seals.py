"""Mechanical seals: the turning seat, inner and outer stationary seal, their springs and pins.

Steps are measured from the seal journal, on radius.
"""

from __future__ import annotations

from dataclasses import dataclass

from .rules import Dimensions, Rule, by_rule, count, fixed, of_c


def _with_groove(factor: float, section: str, metal: float) -> Rule:
    """A length that is a fraction of C, yet takes an O-ring's groove and a fraction of C beside it."""

    def rule(d: Dimensions) -> float:
        c = d["shaft_centre_distance_mm"]
        return max(factor, d["gland_width_share"] * d[section] / c + metal) * c

    return rule


def _round(factor: float, inside: str, room: float) -> Rule:
    """A radius that is a fraction of C, yet leaves room, a fraction of C, round what lies in it."""

    def rule(d: Dimensions) -> float:
        c = d["shaft_centre_distance_mm"]
        return max(factor * c, d[inside] + room * c)

    return rule


@dataclass(frozen=True, kw_only=True)
class SeatDimensions:
    """The turning seat on its collar, and its chamber in the body's rear."""

    seat_length_mm: float = by_rule(
        "seal seat before the collar: 0.12 C, at least the O-ring's groove and 0.05 C",
        _with_groove(0.12, "shaft_oring_section_mm", 0.05),
        0.95,
        1.6,
    )
    seat_rear_share: float = fixed("rear of the seal seat, share of the collar's length", 0.25)
    seat_step_mm: float = of_c("seal seat, single seal", 0.062)
    double_seat_step_mm: float = of_c("seal seat, double seal", 0.145)
    seat_chamber_step_mm: float = by_rule(
        "chamber round the seat, single seal: 0.09 C, at least 0.012 C round it",
        _round(0.09, "seat_step_mm", 0.012),
    )
    double_seat_chamber_step_mm: float = by_rule(
        "chamber round the seat, double seal: 0.165 C, at least 0.012 C round it",
        _round(0.165, "double_seat_step_mm", 0.012),
    )
    seat_chamber_reach_mm: float = of_c("chamber round the seat past the lapped faces, single seal", 0.01)
    double_seat_chamber_setback_mm: float = of_c(
        "chamber round the seat short of the lapped faces, double seal", 0.004
    )
    # lapped bands
    seat_band_inner_step_mm: float = of_c("inside of the seat's lapped band", 0.014)
    seat_band_outer_step_mm: float = of_c("outside of the seat's lapped band", 0.046)
    outer_band_inner_step_mm: float = of_c("inside of the seat's lapped band for the outer seal", 0.096)
    outer_band_outer_step_mm: float = of_c("outside of the seat's lapped band for the outer seal", 0.13)


@dataclass(frozen=True, kw_only=True)
class StationarySealDimensions:
    """Inner and outer stationary seal with their springs and pins."""

    inner_seal_length_mm: float = by_rule(
        "inner seal: 0.13 C, at least the O-ring's groove and 0.09 C",
        _with_groove(0.13, "seal_oring_section_mm", 0.09),
        0.95,
        1.6,
    )
    inner_seal_setback_mm: float = of_c(
        "inner seal's front behind the outer seal's spring step, double seal", 0.03
    )
    outer_seal_length_mm: float = by_rule(
        "outer seal: 0.095 C, at least the O-ring's groove and 0.052 C",
        _with_groove(0.095, "seal_oring_section_mm", 0.052),
        0.95,
        1.6,
    )
    inner_seal_step_mm: float = of_c("outside of the inner seal", 0.072)
    outer_seal_step_mm: float = of_c("outside of the outer seal", 0.152)
    inner_seal_bore_step_mm: float = of_c("bore of the inner seal", 0.008)
    outer_seal_bore_gap_mm: float = of_c("bore of the outer seal round the inner one, on radius", 0.013)
    # lapped noses
    inner_nose_mm: float = of_c("length of the inner seal's nose", 0.03)
    inner_nose_inner_step_mm: float = of_c("inside of the inner seal's nose", 0.018)
    inner_nose_outer_step_mm: float = of_c("outside of the inner seal's nose", 0.04)
    outer_nose_mm: float = of_c("length of the outer seal's nose", 0.014)
    outer_nose_inner_step_mm: float = of_c("inside of the outer seal's nose", 0.1)
    outer_nose_outer_step_mm: float = of_c("outside of the outer seal's nose", 0.126)
    # pins and their notches
    seal_pins: float = count("seal drive pins on each seal: 2", 2, (1, 2, 3, 4))
    seal_pin_diameter_mm: float = of_c("seal drive pins", 0.03, 0.7, 1.1)
    seal_pin_inset_mm: float = of_c("circle of the pins within a seal's outside, on radius", 0.019)
    outer_pin_angle_deg: float = fixed(
        "outer seal's pins from the inner seal's, about the shaft", 45.0, " degrees"
    )
    seal_pin_hole_mm: float = of_c("depth of a seal pin's hole", 0.042)
    outer_seal_pin_hole_mm: float = of_c("depth of an outer seal pin's hole", 0.05)
    seal_notch_mm: float = of_c("depth of the inner seal's notches", 0.034)
    outer_seal_notch_mm: float = of_c("depth of the outer seal's notches", 0.022)
    seal_notch_gap_mm: float = of_c("play of a pin in its notch, to each side", 0.004)
    seal_pin_share: float = fixed("pin in its notch, share of the notch's depth", 0.75)
    seal_groove_wall_mm: float = of_c("metal between the inner seal's notches and its O-ring's groove", 0.008)
    outer_seal_groove_wall_mm: float = of_c(
        "metal between the outer seal's notches and its O-ring's groove", 0.006
    )
    # springs
    wave_spring_height_mm: float = of_c("wave spring at working height", 0.045, 0.8, 1.6)
    outer_spring_height_mm: float = of_c("outer seal's spring at working height", 0.04, 0.8, 1.6)
    wave_spring_strip_mm: float = of_c("thickness of a wave spring's strip", 0.006)
    wave_spring_pin_gap_mm: float = of_c("wave spring within the pins, on radius", 0.004)
    wave_spring_step_mm: float = of_c("inside of the wave spring", 0.016)
    outer_spring_bore_gap_mm: float = of_c(
        "inside of the outer seal's spring round that seal's bore, on radius", 0.004
    )
