"""The look of parts: what moves stands out, in greyscale too; every material of the program has a style."""

from __future__ import annotations

import pytest
from benchleaf.geometry.engineering.materials import materials
from benchleaf.render.engine.hatching import FLUOROPLASTICS, SEAL_FACES
from benchleaf.render.engine.material_styles import (
    ELASTOMERS,
    MATERIALS,
    PAPER,
    STEEL,
    STRONG,
    Rgb,
    colour_bytes,
    material_style,
    mix,
    part_style,
    rgb,
)


def lightness(colour: Rgb) -> float:
    """Return CIE L* of an sRGB colour, 0 to 100."""
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in colour]
    y = 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
    return 116 * y ** (1 / 3) - 16 if y > 0.008856 else 903.3 * y


def test_colours_are_read_and_mixed() -> None:
    assert colour_bytes(rgb("#0072B2")) == (0, 0x72, 0xB2)
    assert mix((0.0, 0.5, 1.0), (1.0, 0.5, 0.0), 0.25) == (0.25, 0.5, 0.75)


@pytest.mark.parametrize("material", sorted(MATERIALS))
def test_what_moves_is_darker_than_its_surroundings_in_greyscale(material: str) -> None:
    context = part_style("context", material).surface.colour
    assert lightness(STRONG) == pytest.approx(46, abs=1)
    assert lightness(context) > lightness(STRONG) + 20
    assert part_style("moving", material).surface.colour == STRONG


def test_lines_of_what_moves_are_the_heaviest() -> None:
    widths = {role: part_style(role, "316L").outline for role in ("context", "plain", "focus", "moving")}
    assert widths["context"] <= widths["plain"] < widths["focus"] < widths["moving"]
    ghost = part_style("ghost", "316L")
    assert (ghost.surface.colour, ghost.edge) == (PAPER, 0.0)


def test_materials_of_the_program_have_a_style_and_unknown_ones_read_as_steel() -> None:
    assert set(materials()) <= set(MATERIALS) | {k for k in materials() if material_style(k) is STEEL}
    assert material_style("unheard-of") is STEEL
    assert set(MATERIALS) >= ELASTOMERS | FLUOROPLASTICS | SEAL_FACES, "hatched by family"
    elastomers = {k for k, m in materials().items() if getattr(m, "family", "") == "elastomer"}
    assert elastomers <= ELASTOMERS
