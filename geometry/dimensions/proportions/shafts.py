"""Shafts and the section of the key under the rotor."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..shaft_stock import SHAFTS_MM, key_for, nearest_bearing
from .rules import Dimensions, by_rule, fixed, of_c

KEYWAY_IN_PILOT_MM = 0.13
"""Least room of the usual key's keyway, with its play, below the seal journal that the hub's O-ring slides over."""


def _largest_fit(d: Dimensions) -> float:
    """Return the largest usual diameter whose keyway stays within the seal journal: the hub O-ring passes the key."""
    seal = d["shaft_diameter_mm"] / 2

    def corner(fit_mm: float) -> float:
        key = key_for(fit_mm)
        return math.hypot(fit_mm / 2 + key.hub_depth_mm, key.width_mm / 2)

    fits = [fit for fit in SHAFTS_MM if corner(fit) + KEYWAY_IN_PILOT_MM <= seal]
    return max(fits, default=SHAFTS_MM[0])


def _bearing(d: Dimensions) -> float:
    c, seal = d["shaft_centre_distance_mm"], d["shaft_diameter_mm"]
    return nearest_bearing(seal + 0.09 * c, seal + 2 * d["collar_step_mm"] + 0.1)


@dataclass(frozen=True, kw_only=True)
class ShaftDimensions:
    """Steps of a shaft from the gear case outwards, its ends, and the key under the rotor."""

    # collar and steps
    collar_length_mm: float = of_c("shaft collar with the two flats, before the case", 0.05, 0.8, 2)
    collar_setback_mm: float = of_c("shaft collar's rear behind the gear case's front face", 0.01)
    collar_step_mm: float = of_c("collar above the seal journal, on radius", 0.03, 0.9, 1.2)
    flats_step_mm: float = of_c("flats above the seal journal, half width", 0.012, 0.6, 1.5)
    bearing_bore_mm: float = by_rule(
        "locating bearing: bore of ISO 15 nearest to the seal journal and 0.09 C, wider than the collar",
        _bearing,
        0.8,
        1.5,
    )
    rotor_fit_mm: float = by_rule(
        "rotor fit (H7/g6): largest usual diameter whose key of DIN 6885-1 stays within the seal journal",
        _largest_fit,
        0.6,
        1.4,
    )
    journal_setback_mm: float = of_c("end of the rotor journal behind the rotor's web", 0.008)
    thread_relief_mm: float = fixed("relief before the shaft's thread below its root, on radius", 0.1, " mm")
    shaft_bevel_mm: float = of_c("bevels of the shaft's ends", 0.012)
    # section of the key
    key_width_mm: float = by_rule(
        "key width (DIN 6885-1 for the rotor fit)", lambda d: key_for(d["rotor_fit_mm"]).width_mm
    )
    key_height_mm: float = by_rule(
        "key height (DIN 6885-1 for the rotor fit)", lambda d: key_for(d["rotor_fit_mm"]).height_mm
    )
    key_depth_mm: float = by_rule(
        "keyway in the shaft, t1 (DIN 6885-1 for the rotor fit)",
        lambda d: key_for(d["rotor_fit_mm"]).shaft_depth_mm,
    )
    hub_keyway_mm: float = by_rule(
        "keyway in the hub beyond the rotor fit, t2 (DIN 6885-1 for the rotor fit)",
        lambda d: key_for(d["rotor_fit_mm"]).hub_depth_mm,
    )
    # ends in and behind the gear case
    bearing_reach_mm: float = of_c("drive shaft's bearing seat behind the gear case", 0.02)
    drive_end_mm: float = of_c("drive shaft's end behind the gear case", 0.75)
    drive_end_share: float = fixed("radius of the drive shaft's end, share of the seal journal's", 0.9)
    driven_end_mm: float = of_c("driven shaft's end before the gear case's rear", 0.12)
    drive_key_width_mm: float = by_rule(
        "keyway in the drive shaft's end: width of DIN 6885-1", lambda d: key_for(_drive_end(d)).width_mm
    )
    drive_key_depth_mm: float = by_rule(
        "keyway in the drive shaft's end: depth t1 of DIN 6885-1",
        lambda d: key_for(_drive_end(d)).shaft_depth_mm,
    )
    drive_key_start_mm: float = of_c("keyway from the drive shaft's end", 0.08)
    drive_key_stop_mm: float = of_c("far end of the keyway from the drive shaft's end", 0.6)

    @property
    def key_rise_mm(self) -> float:
        """Key above the rotor fit."""
        return self.key_height_mm - self.key_depth_mm


def _drive_end(d: Dimensions) -> float:
    return d["drive_end_share"] * d["shaft_diameter_mm"]
