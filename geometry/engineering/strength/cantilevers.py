"""An overhung shaft: how far pressure on its rotor bends it, from the locating bearing outwards.

Method: a stepped cantilever (Euler and Bernoulli) held where the locating bearing has its middle; pressure acts on the
rotor's whole projected area and is drawn as one force at its middle, with the rotor stiff on its fit. The thinner rotor
fit counts from the shoulder on.

Not verified: play and give of the bearings and the shaft between them add to it; pressure acts on less than the whole
side, and the rotor stiffens its fit, which takes from it. No pump was measured.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..figures import Figure, Input, Limit, make_figure
from ..topics import SIZE, Topic

BEAM_SOURCE = Topic("source.cantilever")


@dataclass(frozen=True)
class Overhang:
    """A stepped shaft, mm: seal diameter from the bearing to the shoulder, rotor fit from there to the load."""

    seal_mm: float
    fit_mm: float
    to_shoulder_mm: float
    to_load_mm: float


def gap_left_figure(bent: Figure, running_gap_mm: float) -> Figure:
    """Return what a deflection (mm) leaves of the nominal running gap, mm; below 0 the rotor touches its bore."""
    gap = Input("g", Topic("input.running_gap"), running_gap_mm, "mm", SIZE)
    left = (gap, bent.as_input("y"))
    return make_figure(
        "strength.gap_left", Topic("figure.gap_left"), "s", "mm", "g - y", left, SIZE,
        not_verified=Topic("caveat.gap_left"),
    )  # fmt: skip


def rotor_load_figure(pressure: Input, diameter_mm: float, width_mm: float) -> Figure:
    """Return the force of a pressure (bar, symbol p) on a rotor's projected area, N."""
    return make_figure(
        "strength.rotor_load", Topic("figure.rotor_load"), "F", "N", "0.1·p·D·W",
        (
            pressure,
            Input("D", Topic("input.rotor_diameter"), diameter_mm, "mm", SIZE),
            Input("W", Topic("input.rotor_width"), width_mm, "mm", SIZE),
        ),
        Topic("source.pressure_load"),
    )  # fmt: skip


def deflection_figure(load: Figure, shaft: Overhang, modulus: Input, limit: Limit) -> Figure:
    """Return the deflection at the rotor's middle, mm.

    Args:
        load: force there, N.
        shaft: its steps.
        modulus: elastic modulus, MPa, symbol E.
        limit: what it may come to.

    Raises:
        ValueError: if the load lies before the bearing.
    """
    if shaft.to_load_mm <= 0:
        raise ValueError(f"an overhung load lies before its bearing, got {shaft.to_load_mm:g} mm")
    fit_length = min(max(shaft.to_load_mm - shaft.to_shoulder_mm, 0.0), shaft.to_load_mm)
    inputs = (
        load.as_input("F"),
        modulus,
        Input("L", Topic("input.overhang"), shaft.to_load_mm, "mm", SIZE),
        Input("m", Topic("input.fit_overhang"), fit_length, "mm", SIZE),
        Input("d₁", Topic("input.shaft_diameter"), shaft.seal_mm, "mm", SIZE),
        Input("d₂", Topic("input.rotor_fit"), shaft.fit_mm, "mm", SIZE),
    )
    return make_figure(
        "strength.deflection", Topic("figure.deflection"), "y", "mm",
        "64·F/(3·π·E)·((L³ - m³)/d₁⁴ + m³/d₂⁴)", inputs, BEAM_SOURCE, limit=limit,
        not_verified=Topic("caveat.deflection"),
    )  # fmt: skip
