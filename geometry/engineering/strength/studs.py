"""Studs that hold a cover: pressure within its O-ring and the force that presses the ring, against their proof stress.

Method: pressure on the whole area within the groove's outer edge; force of a pressed ring for each millimetre by
Lindley (Journal of the Institution of the Rubber Industry 1, 1967): E·d·(1.25·c^1.5 + 50·c^6), c the squeeze; both
shared evenly by the studs.

Not verified: the ring's modulus is the high end of a span by hardness; sharing is even only where nuts are tightened
evenly; the studs' own preload, which is more than this load, is for the torque on file to give.
"""

from __future__ import annotations

from ..figures import Figure, Input, Limit, make_figure
from ..preload import Strength, stress_area_mm2
from ..topics import SIZE, Topic

LOAD_SOURCE = Topic("source.pressure_load")
RING_SOURCE = Topic("source.ring_force", work="Lindley 1967")


def ring_force_figure(section_mm: float, squeeze: float, length_mm: float, youngs_mpa: float) -> Figure:
    """Return the force that presses a solid rubber ring home, N.

    Args:
        section_mm: section of the free ring.
        squeeze: share by which it is pressed, 0 to 0.5.
        length_mm: length of its middle line.
        youngs_mpa: elastic modulus of the rubber.

    Raises:
        ValueError: if the squeeze is outside what the formula holds for.
    """
    if not 0 <= squeeze <= 0.5:
        raise ValueError(f"the formula holds for a squeeze of 0 to 0.5, got {squeeze:g}")
    inputs = (
        Input("E", Topic("input.rubber_modulus"), youngs_mpa, "MPa", Topic("source.rubber_modulus"), 1),
        Input("d", Topic("input.ring_section"), section_mm, "mm", SIZE, 2),
        Input("L", Topic("input.ring_length"), length_mm, "mm", SIZE),
        Input("c", Topic("input.squeeze_share"), squeeze, "", SIZE, 4),
    )
    return make_figure(
        "strength.ring_force", Topic("figure.ring_force"), "Fᵣ", "N", "E·d·L·(1.25·c·√(c) + 50·c²·c²·c²)", inputs,
        RING_SOURCE,
    )  # fmt: skip


def pressed_area_figure(centre_mm: float, radius_mm: float) -> Figure:
    """Return the area that pressure acts on, mm²: two half circles of ``radius_mm`` a distance ``centre_mm`` apart."""
    inputs = (
        Input("R", Topic("input.groove_outside"), radius_mm, "mm", SIZE),
        Input("C", Topic("input.shaft_distance"), centre_mm, "mm", SIZE),
    )
    return make_figure(
        "strength.pressed_area", Topic("figure.pressed_area"), "A", "mm²", "π·R² + 2·R·C", inputs, LOAD_SOURCE
    )


def stud_figures(
    pressure: Input, area: Figure, ring: Figure | None, studs: int, nominal_mm: float, pitch_mm: float,
    proof: Strength | None,
) -> tuple[Figure, Figure]:  # fmt: skip
    """Return the load on one stud, N, and the stress that it makes, MPa.

    Args:
        pressure: bar, symbol p.
        area: what it acts on, mm².
        ring: force of the O-ring, None where none can be worked out.
        studs: how many share the load.
        nominal_mm: nominal diameter of their thread.
        pitch_mm: its pitch.
        proof: proof stress of their property class; without it the stress is not judged.
    """
    count = Input("n", Topic("input.studs"), studs, "", SIZE, 0)
    sealing = () if ring is None else (ring.as_input("Fᵣ"),)
    load = make_figure(
        "strength.stud_load", Topic("figure.stud_load"), "F", "N", f"(0.1·p·A{' + Fᵣ' if sealing else ''})/n",
        (pressure, area.as_input("A"), *sealing, count), LOAD_SOURCE,
    )  # fmt: skip
    section = Input(
        "Aₛ", Topic("input.stud_area"), stress_area_mm2(nominal_mm, pitch_mm), "mm²",
        Topic("source.standard", standard="ISO 898-1"),
    )  # fmt: skip
    limit = (
        None if proof is None else Limit(None, proof.mpa, "MPa", proof.source, None, Topic("caveat.typed"))
    )
    return load, make_figure(
        "strength.stud_stress", Topic("figure.stud_stress"), "σ", "MPa", "F/Aₛ", (load.as_input("F"), section),
        Topic("source.stress_area", standard="ISO 898-1", diameters="ISO 724"), limit=limit,
    )  # fmt: skip
