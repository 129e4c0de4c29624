"""The view of a section, chosen by measurement among those a reader finds natural."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from ..geometry.frame import Floats, Place
from .camera import View, fit_camera, sensible_views
from .measure import visible_outline
from .models import Models
from .scene import Stage
from .travel import Travel

MEASURE_WIDTH = 280
WELL_SEEN = 0.75
"""Share of the outline above which a part counts as seen well."""
ORDER_BONUS = 0.02
"""What each place earlier in the list of natural views is worth."""
HOLD_BONUS = 0.1
"""What it is worth to keep the view that the reader knows."""


@dataclass(frozen=True)
class StepScene:
    """What stands where in one step: everything shown, what the eye must find, and its travels.

    ``wanted`` are groups of parts; parts that move as one unit are one group.
    """

    places: Mapping[str, Place]
    wanted: tuple[tuple[str, ...], ...]
    travels: tuple[Travel, ...]

    @property
    def keys(self) -> tuple[str, ...]:
        """All wanted parts."""
        return tuple(k for group in self.wanted for k in group)


def scene_points(models: Models, scene: StepScene) -> Floats:
    """Return the points (n, 3) mm that the picture has to hold."""
    return np.concatenate([p.points(models.parts[k].mesh.joined_points) for k, p in scene.places.items()])


class ViewChooser:
    """Measures views for scenes and chooses among them; measures each pair once."""

    def __init__(self, stage: Stage, aspect: float) -> None:
        self._stage, self._aspect = stage, aspect
        self._known: dict[tuple[int, View], float] = {}
        self._scenes: list[StepScene] = []  # kept, so that no number below is used twice
        self.views = sensible_views(stage.models.front, stage.models.up)

    def visibility(self, scene: StepScene, view: View) -> float:
        """Return the share of the outline of the wanted groups that is seen in ``view``; the least of the groups."""
        key = (id(scene), view)
        if key not in self._known:
            self._scenes.append(scene)
            self._known[key] = self._measure(scene, view)
        return self._known[key]

    def _measure(self, scene: StepScene, view: View) -> float:
        if not scene.wanted:
            return 1.0
        camera = fit_camera(view, scene_points(self._stage.models, scene), self._aspect)
        ids = self._stage.ids(scene.places, camera, MEASURE_WIDTH)
        shares = []
        for group in scene.wanted:
            alone = self._stage.ids({k: scene.places[k] for k in group}, camera, MEASURE_WIDTH).mask(group)
            shares.append(visible_outline(ids, alone, group))
        return min(shares)

    def worth(self, scene: StepScene, view: View) -> float:
        """Return how well ``view`` shows the step, 0 to 1: unhidden outline, and travel that is seen at length.

        Above :data:`WELL_SEEN` nothing is gained: what is seen well enough is no reason to change the view.
        """
        seen = min(self.visibility(scene, view) / WELL_SEEN, 1.0)
        return 0.75 * seen + 0.25 * min(_travel_shown(scene, view) / 0.7, 1.0)

    def choose(self, scenes: Sequence[StepScene], preferred: View | None = None) -> View:
        """Return the view for ``scenes`` (a section): the one whose worst step is shown best.

        ``preferred`` (where the reader comes from) is kept if it serves; then natural views are favoured.
        """
        candidates = list(self.views)
        if preferred is not None:
            candidates = [preferred, *(v for v in candidates if v != preferred)]
        best, best_worth = candidates[0], -1.0
        for place, view in enumerate(candidates):
            bonus = HOLD_BONUS if view == preferred else -ORDER_BONUS * place
            if 1.0 + bonus <= best_worth:
                continue
            value = bonus
            value += min((self.worth(s, view) for s in scenes), default=1.0)
            if value > best_worth + 1e-9:
                best, best_worth = view, value
        return best


def _travel_shown(scene: StepScene, view: View) -> float:
    """Return how much of the travel's length the view shows (0 to 1), less where the part comes from behind."""
    shown = []
    for travel in scene.travels:
        out = np.array(travel.offset)
        length = float(np.linalg.norm(out))
        if length < 1e-9:
            continue
        x, y, towards = view.axes @ (out / length)
        shown.append(float(np.hypot(x, y)) * (1.0 if towards > -0.25 else 0.4))
    return min(shown) if shown else 1.0
