"""Named surfaces of a part of a user's own: where tools go on, and what is cleaned, lubricated or measured.

As :class:`...geometry.surfaces.Surface` has them, in the frame of the part's file.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated

from pydantic import Field

from ...geometry.surfaces import EVERYWHERE, Surface, SurfaceKind
from ..files.faults import Faults
from ..files.file_models import FileModel, Text
from ..files.yaml_files import YamlFile
from .turning_groups import Direction, direction

Point = Annotated[list[float], Field(min_length=3, max_length=3)]
Span = Annotated[list[float], Field(min_length=2, max_length=2)]


class SurfaceText(FileModel):
    """A surface of a part: what of its skin lies within a ring about an axis, or a sector of one."""

    name: Text = Field(description="what sequences call it by, once in the part")
    kind: SurfaceKind = Field(description="what sort of surface, which says what tools go on it")
    origin_mm: Point = Field(
        default_factory=lambda: [0.0, 0.0, 0.0], description="[x, y, z] of a point of its axis, part's file"
    )
    direction: Direction = Field("+z", description="way of its axis, away from the metal")
    size_mm: float = Field(
        0.0,
        ge=0,
        le=1000,
        description="what a tool is chosen by: width across flats, bore, width of a groove",
    )
    radius_mm: Span | None = Field(None, description="[least, greatest] distance from the axis")
    along_mm: Span = Field(
        default_factory=lambda: [-0.01, 0.01], description="[least, greatest] height over the origin"
    )
    across: Direction = Field("+x", description="middle of a sector")
    half_deg: float = Field(
        180.0, gt=0, le=180, description="half the angle of a sector; 180: the whole ring"
    )


def own_surfaces(texts: Iterable[SurfaceText], doc: YamlFile, faults: Faults) -> tuple[Surface, ...]:
    """Return the surfaces of a part; a name that stands twice, or a span the wrong way round, is a fault."""
    found: dict[str, Surface] = {}
    for text in texts:
        if not text.sound:
            continue
        if text.name in found:
            said = f"the surface '{text.name}' again"
            faults.add(doc.fault((*text.path, "name"), said, "each once in its part", "rename it"))
            continue
        for key, span in (("radius_mm", text.radius_mm), ("along_mm", text.along_mm)):
            if span is not None and span[0] >= span[1]:
                fix = f"write [{span[1]:g}, {span[0]:g}]" if span[0] > span[1] else "write two figures"
                faults.add(doc.fault((*text.path, key), str(span), "the least first, then the greatest", fix))
        x, y, z = text.origin_mm
        found[text.name] = Surface(
            text.name,
            text.kind,
            (x, y, z),
            direction(text.direction),
            text.size_mm,
            (text.radius_mm[0], text.radius_mm[1]) if text.radius_mm else EVERYWHERE,
            (text.along_mm[0], text.along_mm[1]),
            direction(text.across),
            text.half_deg,
        )
    return tuple(found.values())
