"""The view of a section, chosen by measurement among those a reader finds natural."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from ..geometry.frame import Place
from .camera import View, fit_camera, sensible_views
from .measure import outline
from .models import Models
from .scene import Stage
from .travel import Travel

MEASURE_WIDTH = 280
ORDER_BONUS = 0.03
"""What each place earlier in the list of natural views is worth, in shares of visible outline."""


@dataclass(frozen=True)
class StepScene:
    """What stands where in one step: everything shown, what the eye must find, and its travels."""

    places: Mapping[str, Place]
    wanted: tuple[str, ...]
    travels: tuple[Travel, ...]


def visibility(stage: Stage, scene: StepScene, view: View, aspect: float) -> float:
    """Return the share of the outline of the wanted parts that is seen in ``view``; the least of the parts."""
    if not scene.wanted:
        return 1.0
    camera = fit_camera(view, scene_points(stage.models, scene), aspect)
    ids = stage.ids(scene.places, camera, MEASURE_WIDTH)
    shares = []
    for key in scene.wanted:
        alone = outline(stage.ids({key: scene.places[key]}, camera, MEASURE_WIDTH).mask([key]))
        total = int(alone.sum())
        shares.append(float((alone & ids.mask([key])).sum() / total) if total else 0.0)
    return min(shares)


def scene_points(models: Models, scene: StepScene) -> np.ndarray:
    """Return the points (n, 3) mm that the picture has to hold: all parts and their travel."""
    points = [place.points(models.parts[k].mesh.joined_points) for k, place in scene.places.items()]
    return np.concatenate(points)


def worth(stage: Stage, scene: StepScene, view: View, aspect: float) -> float:
    """Return how well ``view`` shows the step: unhidden outline, and travel that is seen at length."""
    return visibility(stage, scene, view, aspect) + 0.25 * _travel_shown(scene, view)


def _travel_shown(scene: StepScene, view: View) -> float:
    """Return how much of the travel's length the view shows (0 to 1), halved where it comes from behind."""
    shown = []
    for travel in scene.travels:
        out = np.array(travel.offset)
        length = float(np.linalg.norm(out))
        if length < 1e-9:
            continue
        x, y, towards = view.axes @ (out / length)
        shown.append(float(np.hypot(x, y)) * (1.0 if towards > -0.25 else 0.5))
    return min(shown) if shown else 1.0


def choose_view(
    stage: Stage, scenes: Sequence[StepScene], aspect: float, preferred: View | None = None
) -> View:
    """Return the view for ``scenes`` (a section): the one whose worst step is shown best.

    Natural views are favoured, and ``preferred`` (the view the reader comes from) a little more.
    """
    candidates = list(sensible_views(stage.models.front, stage.models.up))
    best, best_worth = candidates[0], -1.0
    for place, view in enumerate(candidates):
        value = -ORDER_BONUS * place
        if preferred is not None and view == preferred:
            value = 2 * ORDER_BONUS
        if value + 1.25 <= best_worth:
            continue
        value += min((worth(stage, s, view, aspect) for s in scenes), default=1.0)
        if value > best_worth + 1e-9:
            best, best_worth = view, value
    return best
