"""Colours of zones: one for each treatment, the same in pictures and in the keys beside them."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from ..engine.material_styles import PAPER, Rgb, mix, rgb
from .manifest import Treatment

TINTS: Mapping[Treatment, Rgb] = MappingProxyType(
    {
        "clean": rgb("#56B4E9"),
        "lubricate": rgb("#009E73"),
        "anti-seize": rgb("#CC79A7"),
        "look": rgb("#F0E442"),
        "measure": rgb("#000000"),
        "dress": rgb("#E69F00"),
    }
)
"""Colours of the Okabe-Ito set; none is that of what moves."""
GROUND, BLACK_GROUND = 0.42, 0.14
"""How much of its tint is in the ground of a zone; of black less."""
DARKENED = 0.52
"""How much black is in the pattern on it."""
BLACK_INK = rgb("#3A3F44")


def ground_of(treatment: Treatment) -> Rgb:
    """Return the colour under a zone's pattern, in full light."""
    return mix(PAPER, TINTS[treatment], BLACK_GROUND if treatment == "measure" else GROUND)


def ink_of(treatment: Treatment) -> Rgb:
    """Return the colour of its pattern, in full light."""
    return BLACK_INK if treatment == "measure" else mix(TINTS[treatment], (0.0, 0.0, 0.0), DARKENED)
