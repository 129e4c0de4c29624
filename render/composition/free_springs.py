"""Springs that nothing presses: drawn as high as they are free, on their way and where they lie by themselves."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

import numpy as np

from ...geometry.frame import Place, Vec3
from ...geometry.meshes.raised_shapes import middle_surface, raised
from ..engine.part_models import PartModel, PartModels
from .drawn_travel import DrawnTravel


class FreeSprings:
    """Makes the free shapes of an assembly's springs, each once."""

    def __init__(self, models: PartModels) -> None:
        self._models = models
        self._made: dict[tuple[str, Vec3], PartModel | None] = {}

    def of_travels(self, travels: Iterable[DrawnTravel]) -> list[PartModel]:
        """Return the springs that travel by themselves, free, each standing on its seat once it is there.

        A spring that travels with what holds it is pressed, or held, by that.
        """
        found = []
        for travel in travels:
            if travel.length_mm > 0 and all(self._models.parts[k].free_rise != 1.0 for k in travel.seats):
                found += self.standing(travel.seats, travel.offset)
        return found

    def standing(self, places: Mapping[str, Place], out: Vec3) -> list[PartModel]:
        """Return the springs among ``places``, free, each on its seat; ``out`` points off the seats."""
        made = (self._free(key, place, out) for key, place in places.items())
        return [m for m in made if m is not None]

    def _free(self, key: str, place: Place, out: Vec3) -> PartModel | None:
        model = self._models.parts[key]
        if model.free_rise == 1.0:
            return None
        away = np.array(place.inverse().direction(out))
        away /= np.linalg.norm(away)
        x, y, z = np.round(away, 6).tolist()
        name = (key, (x, y, z))
        if name not in self._made:
            surface = middle_surface(model.mesh)
            self._made[name] = None
            if surface is not None:
                mesh = raised(model.mesh, surface, model.free_rise)
                sunk = float((model.mesh.points @ away).min() - (mesh.points @ away).min())
                shift = sunk * away
                self._made[name] = replace(
                    model,
                    mesh=replace(
                        mesh,
                        points=mesh.points + shift,
                        joined_points=mesh.joined_points + shift,
                        edges=tuple(e + shift for e in mesh.edges),
                        smooth_edges=tuple(e + shift for e in mesh.smooth_edges),
                    ),
                )
        return self._made[name]
