"""Gaps that let parts run and slide."""

from __future__ import annotations

from dataclasses import dataclass

from .rules import of_c


@dataclass(frozen=True, kw_only=True)
class FitDimensions:
    """Running gaps of the rotors, clearance of sliding fits."""

    running_gap_mm: float = of_c("radial gap of rotor to bore, boss and mate", 0.001, 0.4, 4)
    front_gap_mm: float = of_c("rotor's front face below the body's front face", 0.0015, 0.3, 4)
    rear_gap_mm: float = of_c("rotor's rear face to the cavity floor", 0.0015, 0.3, 4)
    fit_gap_mm: float = of_c("radial clearance of sliding fits", 0.0004, 0.7, 3, at_least_mm=0.03)
