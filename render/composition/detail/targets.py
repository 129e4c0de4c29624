"""Targets: what a picture has to show of an act, and how much of each is in sight in a camera."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from ....geometry.frame import Floats, Place
from ...acts.surface_sight import sight_of, spots_of
from ...acts.tools_drawn import ToolDrawn, tools_seen
from ...acts.zones import Zone
from ...drawing.review import HUNG, LEAST_ZONE, shared_names
from ...engine.camera import Camera
from ...engine.grid import Ids
from ...engine.part_models import PartModels
from ...engine.stage import Stage
from ..views import StepScene

Name = tuple[str, str, str]
"""What equal targets share: kind of part, surface or tool, treatment."""
PICTURE = 1600.0 * 1200.0
"""Pixels of a picture of the usual size, for which :data:`..review.LEAST_ZONE` is told in pixels."""
MARGIN = 1.5
"""How many times as much of a surface as it has to be is wanted in sight: it is measured coarsely here."""
LEAST_SPOTS = 3
"""A surface is in sight by so many of the points spread over it: one alone is seen or not by the grid's luck."""
CONTACT_CELLS = 3
"""So many cells of the measuring grid a tool has to be seen in near where it touches."""


@dataclass(frozen=True)
class Target:
    """A painted surface of a part, or where a tool touches it; of equal ones the one seen best counts."""

    part: str
    name: Name
    zone: Zone | None
    tool: ToolDrawn | None

    @property
    def surface(self) -> str:
        """Name of the surface that it is or is at."""
        return self.zone.name if self.zone else self.tool.tool.at.surface if self.tool else ""

    def points(self, models: PartModels, places: Mapping[str, Place]) -> Floats:
        """Return points of it (n, 3), mm."""
        if self.zone is not None:
            return places[self.part].points(spots_of(models.parts[self.part], self.zone.surface).points)
        return np.array([self.tool.place.shift]) if self.tool else np.empty((0, 3))


def targets_of(models: PartModels, scene: StepScene) -> list[Target]:
    """Return what the picture of ``scene`` has to show of its acts."""
    found = []
    named = shared_names((z.part, z.name) for z in scene.zones)
    for zone in scene.zones:
        if zone.part in scene.places:
            name = (models.parts[zone.part].kind, named[zone.name], zone.treatment)
            found.append(Target(zone.part, name, zone, None))
    for tool in (*scene.tools, *scene.laid):
        at = tool.tool.at
        if tool.tool.tool not in HUNG and at.part in models.parts:
            found.append(Target(at.part, (tool.key, at.part, "tool"), None, tool))
    return found


@dataclass(frozen=True)
class Looked:
    """A camera on what stands on the stage: places by key, what is seen where, and how wide it is drawn.

    ``width`` is the share of the usual picture's width that the frame is drawn over. ``suffix`` ends the keys of parts
    that are cut open.
    """

    stage: Stage
    places: Mapping[str, Place]
    ids: Ids
    camera: Camera
    width: float
    suffix: str = ""

    def share(self, target: Target) -> float:
        """Return how much of ``target`` is in sight, in multiples of what is wanted."""
        if target.tool is not None:
            (seen,) = tools_seen(self.ids, [target.tool], self.camera)
            return min(seen.visible_px, seen.contact_px) / CONTACT_CELLS
        key = target.part + self.suffix
        if target.zone is None or key not in self.places:
            return 0.0
        model = self.stage.model(key)
        sight = sight_of(model, target.zone.surface, self.places[key], self.ids, self.camera)
        pixel_mm = self.camera.width_mm / (self.width * 1600.0)
        area = sight.area_mm2 / pixel_mm**2 / (MARGIN * LEAST_ZONE * PICTURE)
        return area * min(1.0, sight.spots / LEAST_SPOTS)

    def best(self, targets: Iterable[Target]) -> dict[Name, float]:
        """Return how much of targets of each name is in sight, the most of equal ones."""
        found: dict[Name, float] = {}
        for target in targets:
            found[target.name] = max(found.get(target.name, 0.0), self.share(target))
        return found
