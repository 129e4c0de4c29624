"""Hatching of cut faces: a pattern for each family of materials, and its lines clipped to a face.

Patterns follow drawing practice (ISO 128-3: inclined parallel lines, neighbours told apart by direction or spacing);
which family has which pattern is our own choice.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from ...geometry.frame import Floats
from .material_styles import ELASTOMERS

FLUOROPLASTICS = frozenset({"ptfe", "ptfe-encapsulated"})
SEAL_FACES = frozenset({"carbon", "silicon-carbide", "ceramic"})
_METAL_SPACINGS = (1.0, 0.8, 1.25)
_SHORTEST_MM = 1e-9


@dataclass(frozen=True)
class Hatch:
    """How a cut face is hatched: directions in degrees, spacing as a multiple of the common one."""

    angles_deg: tuple[float, ...]
    spacing: float


def hatch_of(material: str, number: int) -> Hatch:
    """Return the hatch of a material; ``number`` counts parts so that neighbours of one metal differ."""
    if material in ELASTOMERS:
        return Hatch((45.0, 135.0), 0.55)
    if material in FLUOROPLASTICS:
        return Hatch((45.0, 135.0), 1.2)
    if material in SEAL_FACES:
        return Hatch((90.0,), 0.6)
    return Hatch((45.0,) if number % 2 == 0 else (135.0,), _METAL_SPACINGS[number // 2 % 3])


def hatch_lines(face: Any, hatch: Hatch, spacing_mm: float) -> Floats:
    """Return the hatch of ``face`` (a plane shape of the geometry library), (k, 2, 2) float64 mm in its plane.

    The lines lie on a fixed raster of the plane, so that faces of one hatch that meet line up.
    """
    if face.is_empty:
        return np.empty((0, 2, 2))
    step = spacing_mm * hatch.spacing
    found = [line for angle in hatch.angles_deg for line in _clipped(face, angle, step)]
    return np.array([[line[0], line[-1]] for line in found], dtype=float).reshape(-1, 2, 2)


def _clipped(face: Any, angle_deg: float, step_mm: float) -> list[Sequence[Sequence[float]]]:
    """Return the parallel lines of one direction inside ``face``, as coordinates of their ends."""
    from shapely.geometry import MultiLineString

    x0, y0, x1, y1 = face.bounds
    centre, reach = np.array([(x0 + x1) / 2, (y0 + y1) / 2]), float(np.hypot(x1 - x0, y1 - y0)) / 2
    along = np.array([np.cos(np.radians(angle_deg)), np.sin(np.radians(angle_deg))])
    across = np.array([-along[1], along[0]])
    first = np.ceil((float(centre @ across) - reach) / step_mm)
    last = np.floor((float(centre @ across) + reach) / step_mm)
    lines = []
    for n in np.arange(first, last + 1):
        foot = across * n * step_mm + along * float(centre @ along)
        lines.append([tuple(foot - along * reach), tuple(foot + along * reach)])
    if not lines:
        return []
    clipped = face.intersection(MultiLineString(lines))
    # A line that only grazes a corner comes back as a point, or as a line of no length.
    pieces = getattr(clipped, "geoms", [clipped])
    return [list(g.coords) for g in pieces if g.geom_type == "LineString" and g.length > _SHORTEST_MM]
