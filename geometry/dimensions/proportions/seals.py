"""Mechanical seals: the stationary rings, their springs and pins, and the rotating ring that runs against them.

Steps are measured from the seal journal, on radius. Product stands inside the faces: it gets to them along the shaft,
and behind a stationary ring as far as the bore that its O-ring slides in. With the outside of the lapped nose at that
bore, closing area and face are alike: a balance ratio of about 1 (``geometry/engineering/seal_faces.py``).
"""

from __future__ import annotations

from dataclasses import dataclass

from ..stock_sizes import PINS_MM, STRIP_MM
from .rules import Dimensions, Rule, by_rule, count, fixed, of_c, of_dimension, stock_of_c

RING_WALL_MM, LEAST_RING_WALL, MOST_RING_WALL = 4.0, 0.08, 0.045
"""Wall of a seal ring at its notches, mm, and that of small and large sizes as shares of C."""
BETWEEN_CHAMBERS = 0.02
"""Half the metal that a double seal leaves between the chambers of the two shafts, as a share of C."""
BAND_BEYOND_NOSE, RING_BEYOND_BAND, CHAMBER_GAP = 0.006, 0.008, 0.012
"""How far the rotating ring's lapped band lies beyond a nose, the ring beyond the band and its chamber beyond the ring,
on radius, as shares of C."""


def _with_groove(factor: float, section: str, metal: float) -> Rule:
    """A length that is a fraction of C, yet takes an O-ring's groove and a fraction of C beside it."""

    def rule(d: Dimensions) -> float:
        c = d["shaft_centre_distance_mm"]
        return max(factor, d["gland_width_share"] * d[section] / c + metal) * c

    return rule


def _round(inside: str, room: float) -> Rule:
    """A radius that leaves a room, a fraction of C, round what lies in it."""
    return lambda d: d[inside] + room * d["shaft_centre_distance_mm"]


def _notch(d: Dimensions) -> float:
    """Return how deep a ring's notches reach from its outside, on radius."""
    return d["seal_pin_inset_mm"] + d["seal_pin_diameter_mm"] / 2 + d["seal_notch_gap_mm"]


def _ring_wall(d: Dimensions) -> float:
    """Return the wall of the stationary rings: the usual one, or what two rings round this shaft leave room for."""
    c = d["shaft_centre_distance_mm"]
    usual = min(LEAST_RING_WALL * c, max(RING_WALL_MM, MOST_RING_WALL * c))
    beyond = BETWEEN_CHAMBERS + BAND_BEYOND_NOSE + RING_BEYOND_BAND + CHAMBER_GAP
    room = (0.5 - beyond) * c - d["shaft_diameter_mm"] / 2
    gaps = d["stationary_ring_bore_step_mm"] + d["atmosphere_ring_bore_gap_mm"]
    return min(usual, (room - gaps - 2 * _notch(d)) / 2)


def _rotating_ring_step(d: Dimensions) -> float:
    """Return the outside of a single seal's rotating ring: beyond its band, with a wall round the collar."""
    beyond_band = d["rotating_ring_band_outer_step_mm"] + RING_BEYOND_BAND * d["shaft_centre_distance_mm"]
    return max(beyond_band, d["collar_step_mm"] + d["seal_wall_mm"])


@dataclass(frozen=True, kw_only=True)
class StationaryRingDimensions:
    """Inner and outer stationary seal with their springs and pins."""

    # pins, and the notches over them
    seal_pins: float = count("anti-rotation pins on each stationary ring: 2", 2, (1, 2, 3, 4))
    seal_pin_diameter_mm: float = stock_of_c("anti-rotation pins (ISO 8734)", 0.03, PINS_MM)
    seal_pin_inset_mm: float = by_rule(
        "circle of the pins within a ring's outside, on radius: 0.5 of a pin and 0.004 C",
        lambda d: 0.5 * d["seal_pin_diameter_mm"] + 0.004 * d["shaft_centre_distance_mm"],
    )
    atmosphere_pin_angle_deg: float = fixed(
        "atmosphere-side ring's pins from the stationary ring's, about the shaft", 45.0, " degrees"
    )
    seal_pin_hole_mm: float = of_c("depth of an anti-rotation pin's hole", 0.042)
    atmosphere_pin_hole_mm: float = of_c("depth of an atmosphere-side anti-rotation pin's hole", 0.05)
    seal_notch_mm: float = of_c("depth of the stationary ring's notches", 0.034)
    atmosphere_ring_notch_mm: float = of_c("depth of the atmosphere-side ring's notches", 0.024)
    seal_notch_gap_mm: float = of_c("play of a pin in its notch, to each side", 0.004)
    seal_pin_share: float = fixed("pin in its notch, share of the notch's depth", 0.75, most=1.2)
    seal_groove_wall_mm: float = of_c(
        "metal between the stationary ring's notches and its O-ring's groove", 0.02
    )
    atmosphere_ring_groove_wall_mm: float = of_c(
        "metal between the atmosphere-side ring's notches and its O-ring's groove", 0.018
    )
    # rings
    stationary_ring_bore_step_mm: float = of_c("bore of the stationary ring", 0.01)
    atmosphere_ring_bore_gap_mm: float = of_c(
        "bore of the atmosphere-side ring round the stationary ring, on radius", 0.013
    )
    seal_wall_mm: float = by_rule(
        "wall of the stationary rings inside their notches, and of the rotating ring round the shaft's collar: 4 mm; "
        "0.08 C where that is less, 0.045 C where that is more, and no more than two rings leave room for",
        _ring_wall,
        0.4,
        1.6,
    )
    stationary_ring_step_mm: float = by_rule(
        "outside of the stationary ring: 1 wall and 1 notch round its bore",
        lambda d: d["stationary_ring_bore_step_mm"] + d["seal_wall_mm"] + _notch(d),
        0.6,
        1.6,
    )
    atmosphere_ring_step_mm: float = by_rule(
        "outside of the atmosphere-side ring: 1 wall and 1 notch round its bore",
        lambda d: (
            d["stationary_ring_step_mm"] + d["atmosphere_ring_bore_gap_mm"] + d["seal_wall_mm"] + _notch(d)
        ),
        0.6,
        1.6,
    )
    stationary_ring_length_mm: float = by_rule(
        "stationary ring: 0.155 C, at least the O-ring's groove and 0.11 C",
        _with_groove(0.155, "seal_oring_section_mm", 0.11),
        0.7,
        2.0,
    )
    stationary_ring_setback_mm: float = of_c(
        "stationary ring's front behind the atmosphere-side ring's spring step, double seal", 0.03
    )
    atmosphere_ring_length_mm: float = by_rule(
        "atmosphere-side ring: 0.13 C, at least the O-ring's groove and 0.085 C",
        _with_groove(0.13, "seal_oring_section_mm", 0.085),
        0.7,
        2.0,
    )
    # lapped noses
    face_width_mm: float = by_rule(
        "width of the lapped noses: 1.95 mm and 0.009 C",
        lambda d: 1.95 + 0.009 * d["shaft_centre_distance_mm"],
    )
    stationary_nose_mm: float = of_c("length of the stationary ring's nose", 0.03)
    stationary_nose_outer_step_mm: float = of_dimension(
        "outside of the stationary ring's nose", 1.0, "stationary_ring_step_mm", "that of the ring", 0.6, 1.2
    )
    stationary_nose_inner_step_mm: float = by_rule(
        "inside of the stationary ring's nose: 1 width of the noses within its outside",
        lambda d: d["stationary_nose_outer_step_mm"] - d["face_width_mm"],
    )
    atmosphere_nose_mm: float = of_c("length of the atmosphere-side ring's nose", 0.02)
    atmosphere_nose_outer_step_mm: float = of_dimension(
        "outside of the atmosphere-side ring's nose",
        1.0,
        "atmosphere_ring_step_mm",
        "that of the ring",
        0.6,
        1.2,
    )
    atmosphere_nose_inner_step_mm: float = by_rule(
        "inside of the atmosphere-side ring's nose: 1 width of the noses within its outside",
        lambda d: d["atmosphere_nose_outer_step_mm"] - d["face_width_mm"],
    )
    # springs
    wave_spring_height_mm: float = of_c("wave spring at working height", 0.05, 0.6, 2.5)
    atmosphere_spring_height_mm: float = of_c(
        "atmosphere-side ring's spring at working height", 0.05, 0.6, 2.5
    )
    wave_spring_free_share: float = fixed(
        "height of a wave spring that nothing presses, of its working height", 1.8, " times", 0.7, 3.0
    )
    wave_spring_waves: float = count("waves of the stationary ring's spring: 6", 6, (3, 4, 5, 6, 7, 8))
    atmosphere_spring_waves: float = count(
        "waves of the atmosphere-side ring's spring: 8", 8, (3, 4, 5, 6, 7, 8, 9, 10)
    )
    wave_spring_strip_mm: float = stock_of_c("strip of a wave spring", 0.0028, STRIP_MM)
    wave_spring_pin_gap_mm: float = of_c("wave spring within the pins, on radius", 0.004)
    wave_spring_step_mm: float = of_c("inside of the wave spring", 0.016)
    atmosphere_spring_bore_gap_mm: float = of_c(
        "inside of the atmosphere-side ring's spring round that ring's bore, on radius", 0.004
    )


@dataclass(frozen=True, kw_only=True)
class RotatingRingDimensions:
    """The rotating ring on its collar, and its chamber in the body's rear."""

    rotating_ring_length_mm: float = by_rule(
        "rotating ring before the collar: 0.12 C, at least the O-ring's groove and 0.05 C",
        _with_groove(0.12, "shaft_oring_section_mm", 0.05),
        0.8,
        2.0,
    )
    rotating_ring_rear_share: float = fixed("rear of the rotating ring, share of the collar's length", 0.25)
    # lapped bands
    rotating_ring_band_inner_step_mm: float = by_rule(
        "inside of the rotating ring's lapped band: 0.006 C within the stationary ring's nose",
        _round("stationary_nose_inner_step_mm", -BAND_BEYOND_NOSE),
    )
    rotating_ring_band_outer_step_mm: float = by_rule(
        "outside of the rotating ring's lapped band: 0.006 C beyond the stationary ring's nose",
        _round("stationary_nose_outer_step_mm", BAND_BEYOND_NOSE),
    )
    atmosphere_band_inner_step_mm: float = by_rule(
        "inside of the rotating ring's lapped band for the atmosphere-side ring: 0.006 C within that ring's nose",
        _round("atmosphere_nose_inner_step_mm", -BAND_BEYOND_NOSE),
    )
    atmosphere_band_outer_step_mm: float = by_rule(
        "outside of the rotating ring's lapped band for the atmosphere-side ring: 0.006 C beyond that ring's nose",
        _round("atmosphere_nose_outer_step_mm", BAND_BEYOND_NOSE),
    )
    # ring and chamber
    rotating_ring_step_mm: float = by_rule(
        "rotating ring, single seal: 0.008 C beyond its lapped band, at least a wall round the collar",
        _rotating_ring_step,
    )
    double_rotating_ring_step_mm: float = by_rule(
        "rotating ring, double seal: 0.008 C beyond its outer lapped band",
        _round("atmosphere_band_outer_step_mm", RING_BEYOND_BAND),
    )
    rotating_ring_chamber_step_mm: float = by_rule(
        "chamber round the rotating ring, single seal: 0.012 C round it",
        _round("rotating_ring_step_mm", CHAMBER_GAP),
    )
    double_rotating_ring_chamber_step_mm: float = by_rule(
        "chamber round the rotating ring, double seal: 0.012 C round it",
        _round("double_rotating_ring_step_mm", CHAMBER_GAP),
    )
    rotating_ring_chamber_reach_mm: float = of_c(
        "chamber round the rotating ring past the lapped faces, single seal", 0.01
    )
    double_rotating_ring_chamber_setback_mm: float = of_c(
        "chamber round the rotating ring short of the lapped faces, double seal", 0.004
    )
