"""O-ring sections and their glands.

Widths and depths of glands are usual static values of the trade, not a maker's; thick sections take less squeeze.
"""

from __future__ import annotations

from dataclasses import dataclass

from .rules import Dimensions, fixed, oring_section

THICK_SECTION_MM = 5.0
"""Sections above it lie in glands of :attr:`OringDimensions.thick_radial_gland_share`."""


def radial_gland_mm(d: Dimensions, section_mm: float) -> float:
    """Return the depth of a radial gland; thick sections take less squeeze."""
    thick = section_mm > THICK_SECTION_MM
    return d["thick_radial_gland_share" if thick else "radial_gland_share"] * section_mm


@dataclass(frozen=True, kw_only=True)
class OringDimensions:
    """Sections of the O-rings, and their glands in sections."""

    shaft_oring_section_mm: float = oring_section("shaft", 0.035)
    seal_oring_section_mm: float = oring_section("seal", 0.03)
    hub_oring_section_mm: float = oring_section("hub", 0.022)
    nut_oring_section_mm: float = oring_section("nut", 0.022)
    spring_retaining_oring_section_mm: float = oring_section("retainer", 0.018)
    cover_oring_section_mm: float = oring_section("cover", 0.042)
    radial_gland_share: float = fixed("depth of a radial gland, in sections", 0.80, least=0.9, most=1.12)
    thick_radial_gland_share: float = fixed(
        "depth of a radial gland for sections above 5 mm, in sections", 0.83, least=0.9, most=1.12
    )
    sliding_gland_share: float = fixed(
        "depth of a radial gland whose ring slides in service, in sections", 0.87, least=0.9, most=1.1
    )
    face_gland_share: float = fixed("depth of a face gland, in sections", 0.76, least=0.9, most=1.2)
    gland_width_share: float = fixed(
        "width of a gland, in sections: room for the ring to widen when pressed", 1.35, least=0.9, most=1.2
    )
    cover_gland_width_share: float = fixed(
        "width of the cover O-ring's groove, in sections", 1.3, least=0.9, most=1.2
    )
