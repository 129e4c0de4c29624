"""The view of a section, chosen by measurement among those a reader finds natural."""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ...geometry.frame import Floats, Place, Vec3
from ..acts.surface_sight import sight_of
from ..acts.tools_drawn import NEAR, OrderMark, ToolDrawn, tool_points
from ..acts.zones import Aim, Zone
from ..drawing.measure import visible_outline
from ..engine.camera import Camera, View, bench_views, fit_camera, sensible_views
from ..engine.grid import Ids
from ..engine.line_work import silhouette
from ..engine.part_models import PartModel, PartModels
from ..engine.stage import Stage
from .drawn_travel import DrawnTravel

MEASURE_WIDTH = 240
SMALL_SHARE = 0.15
"""Parts that take up less than this share of the picture's width are small."""
CLOSE_WIDTH = 120
"""Width of the grid on which a small part is looked at by itself."""
WELL_SEEN = 0.75
"""Share of the outline above which a part counts as seen well."""
SEEN_WORTH = 0.65
"""What it is worth that a step's parts are seen; the rest is for a travel that is seen at length."""
ORDER_BONUS = 0.02
"""What each place earlier in the list of natural views is worth."""
HOLD_BONUS = 0.1
"""What it is worth to keep the view that the reader knows."""
HOME_BONUS = 0.08
"""What the most natural view is worth to come home to."""
BELOW_COST = 0.06
"""What it costs to look from below: nobody stands so at a bench."""
NEAR_MOVING = 0.12
"""As :data:`..acts.tools_drawn.NEAR` in a step in which parts move: their travel is what has to be in the picture."""
TURN_FACED = 0.05
"""A shaft is turned at an end that faces the eye: cosine of its axis to it."""
TURN_BONUS, TURN_ONLY = 0.3, 0.9
"""What that is worth where surfaces are looked at too, and where nothing else is done."""
OUT_OF_SIGHT, NUMBER_HIDDEN = 0.1, 0.5
"""A surface worth less is out of sight; where that one carries a number, a view is worth so much of what it is else."""
LOOK_BONUS = 0.25
"""The same where nothing moves."""


@dataclass(frozen=True)
class ShaftTurn:
    """A shaft that is turned by hand: a point of its axis at the end of what turns, and how far."""

    point: Vec3
    axis: Vec3
    radius_mm: float
    turn_deg: float
    other: Vec3 | None = None
    """The same at its other end."""

    def towards(self, eye: Floats) -> ShaftTurn:
        """Return it at the end that faces the ``eye`` (3,), or as it is where that is not known."""
        if self.other is None or float(np.array(self.axis) @ eye) > -TURN_FACED:
            return self
        x, y, z = self.axis
        return ShaftTurn(self.other, (-x, -y, -z), self.radius_mm, -self.turn_deg, self.point)


@dataclass(frozen=True)
class StepScene:
    """What stands where in one step: everything shown, what the eye must find, and its travels.

    ``places`` has tools among it, under keys of their own. ``wanted`` are groups of parts; parts that move as one unit
    are one group.
    """

    places: Mapping[str, Place]
    wanted: tuple[tuple[str, ...], ...]
    travels: tuple[DrawnTravel, ...]
    turns: tuple[ShaftTurn, ...] = ()
    zones: tuple[Zone, ...] = ()
    """Surfaces that are painted."""
    aims: tuple[Aim, ...] = ()
    """Surfaces that have to be in sight."""
    tools: tuple[ToolDrawn, ...] = ()
    laid: tuple[ToolDrawn, ...] = ()
    """Tools that are laid on parts on their way: shown with the part alone, in a close-up."""
    marks: tuple[OrderMark, ...] = ()
    """Numbers of parts that go in an order."""
    quiet: frozenset[str] = frozenset()
    """Wanted parts that keep their metal: a zone, a tool or their lines say that they are meant."""
    up: Vec3 | None = None
    """What looks up of it on a bench; None: it is shown as it sits on the assembly."""
    turned_over: tuple[str, ...] = ()
    """Parts that lie the other way round than their equals, to show their other side."""

    @property
    def tool_keys(self) -> frozenset[str]:
        """Keys of its tools."""
        return frozenset(t.key for t in self.tools)

    @cached_property
    def parts(self) -> Mapping[str, Place]:
        """What stands where without its tools."""
        tools = self.tool_keys
        return {k: p for k, p in self.places.items() if k not in tools} if tools else self.places

    @property
    def keys(self) -> tuple[str, ...]:
        """All wanted parts."""
        return tuple(k for group in self.wanted for k in group)

    @cached_property
    def standing(self) -> Hashable:
        """Key of what stands where and what the eye must find; equal in steps of which that is the same."""
        aims = tuple((*a.key, a.close_up) for a in self.aims)
        return tuple(self.places.items()), self.wanted, aims

    @cached_property
    def likeness(self) -> Hashable:
        """Key of all but which way parts travel, shafts are turned and tools are pulled."""
        travels = tuple((tuple(t.drawn.items()), tuple(t.seats.items())) for t in self.travels)
        zones = tuple(z.key for z in self.zones)
        return self.standing, travels, zones, tuple(sorted(self.quiet))

    @cached_property
    def teaching(self) -> Hashable:
        """Key of all that its picture says in one view: two steps of which it is equal have the same picture."""
        turns = tuple((t.point, t.axis, t.turn_deg) for t in self.turns)
        pulls = tuple((t.key, t.tool.swing_deg, t.travel) for t in self.tools)
        ways = tuple(t.move.into for t in self.travels), tuple(t.turn_deg for t in self.travels)
        return self.likeness, ways, turns, pulls, tuple((m.label, m.part) for m in self.marks)


def scene_points(models: PartModels, scene: StepScene) -> Floats:
    """Return the points (n, 3) mm that the picture has to hold: all parts, and tools near to where they touch."""
    points = [p.points(models.parts[k].mesh.extreme_points) for k, p in scene.parts.items()]
    if scene.tools:
        points.append(tool_points(models, scene.tools, NEAR_MOVING if scene.travels else NEAR))
    return np.concatenate(points)


class ViewChooser:
    """Measures views for scenes and chooses among them; what is measured is remembered by the stage."""

    def __init__(self, stage: Stage, aspect: float) -> None:
        self._stage, self._aspect = stage, aspect
        self.views = sensible_views(stage.models.front, stage.models.up)

    def views_of(self, scenes: Sequence[StepScene]) -> tuple[View, ...]:
        """Return the natural views of ``scenes``, of which all lie the same way."""
        up = scenes[0].up if scenes else None
        if up is None:
            return self.views
        models = self._stage.models
        right = np.cross(np.array(models.up), np.array(models.front))
        views = bench_views(up, (float(right[0]), float(right[1]), float(right[2])))
        # Units of the two sides look alike: that of the driven side is looked at from the other hand, so that their
        # pictures are told apart.
        if {models.parts[k].side for s in scenes for k in s.keys if k in models.parts} == {"driven"}:
            return tuple(v for v in views if float(v.axes[2] @ right) < 0.0)
        return views

    def visibility(self, scene: StepScene, view: View) -> float:
        """Return the share of the outline of the wanted groups that is seen in ``view``; the least of the groups."""
        numbered = tuple(m.part for m in scene.marks)
        key = ("visibility", scene.standing, numbered, view, self._aspect)
        return self._stage.memory.of(key, lambda: self._measure(scene, view))

    def _measure(self, scene: StepScene, view: View) -> float:
        if not scene.wanted:
            return 1.0
        models = self._stage.models
        camera = fit_camera(view, scene_points(models, scene), self._aspect)
        ids = self._stage.ids(scene.parts, camera, MEASURE_WIDTH)
        # Where surfaces are named, these are what has to be seen; the tool at work there is left out.
        if scene.aims and not scene.travels:
            return aims_worth(models, scene, ids, camera)
        shares = []
        for group in scene.wanted:
            share = outline_seen(models.parts, ids, scene.places, group, camera)
            if share > 0 and (near := _close_to(models, scene, group, camera)):
                # A few pixels say too little of a small part: it is looked at by itself.
                there = self._stage.ids(_in_frame(models, scene, near), near, CLOSE_WIDTH)
                alone = self._stage.mask({k: scene.places[k] for k in group}, near, CLOSE_WIDTH)
                share = min(share, visible_outline(there, alone, group))
            elif 0 < share < 1:
                # Lines inside a part's own outline, of a socket or a groove, say nothing of what others hide of it.
                alone = self._stage.mask({k: scene.places[k] for k in group}, camera, MEASURE_WIDTH)
                share = min(share, visible_outline(ids, alone, group))
            shares.append(share)
        least = min(shares)
        if (
            scene.aims
        ):  # parts on their way hide what they go onto: that is shown where they are out of the way
            least = 0.7 * least + 0.3 * aims_worth(models, scene, ids, camera)
        return least

    def score(self, scene: StepScene, view: View) -> float:
        """Return how well ``view`` shows the step, 0 to 1: unhidden outline, and travel that is seen at length.

        Above :data:`WELL_SEEN` nothing is gained: what is seen well enough is no reason to change the view.
        """
        seen = min(self.visibility(scene, view) / WELL_SEEN, 1.0)
        return SEEN_WORTH * seen + self._travel_worth(scene, view)

    @staticmethod
    def _turn_worth(scenes: Sequence[StepScene], view: View) -> float:
        """Return what it is worth that shafts are turned at ends that face the eye: so a person stands."""
        turned = [(s, t) for s in scenes for t in s.turns]
        worth = [
            TURN_BONUS if any(a.close_up for a in s.aims) else TURN_ONLY
            for s, t in turned
            if float(view.axes[2] @ np.array(t.axis)) > TURN_FACED
        ]
        return sum(worth) / len(turned) if turned else 0.0

    @staticmethod
    def _travel_worth(scene: StepScene, view: View) -> float:
        return (1.0 - SEEN_WORTH) * min(_travel_shown(scene, view) / 0.6, 1.0)

    def choose(
        self, scenes: Sequence[StepScene], preferred: View | None = None, hold_bonus: float = HOLD_BONUS
    ) -> View:
        """Return the view for ``scenes`` (a section): the best for its steps, the worst shown counting most.

        Steps in which parts move decide; without any, those that look at parts. ``preferred`` (where the reader comes
        from) has ``hold_bonus``; then natural views are favoured.
        """
        views = self.views_of(scenes)
        if preferred is not None and (
            preferred.up != views[0].up or (scenes[0].up is not None and preferred not in views)
        ):
            preferred = None  # what lies on a bench is turned over for that
        deciding = [s for s in scenes if s.travels]
        if not deciding:
            deciding = list(scenes)
            if not any(s.aims for s in scenes):
                hold_bonus = max(hold_bonus, LOOK_BONUS)
        candidates = list(views)
        if preferred is not None:
            candidates = [preferred, *(v for v in candidates if v != preferred)]
        best, best_score = candidates[0], -1.0
        for place, view in enumerate(candidates):
            bonus = hold_bonus if view == preferred else -ORDER_BONUS * place
            if view != preferred and float(view.axes[2] @ np.array(view.up)) < 0:
                bonus -= BELOW_COST
            bonus += self._turn_worth(deciding, view)
            if view == views[0]:
                bonus = max(bonus, HOME_BONUS)
            value = self._worth(deciding, view, bonus, best_score)
            if value > best_score + 1e-9:
                best, best_score = view, value
        return best

    def _worth(self, scenes: Sequence[StepScene], view: View, bonus: float, enough: float) -> float:
        """Return what ``view`` is worth; where it cannot be worth more than ``enough``, no less than it can be.

        What is still to be measured is taken to be seen in full, and no more is measured than it takes.
        """
        scores = [SEEN_WORTH + self._travel_worth(s, view) for s in scenes] or [1.0]
        for number, scene in enumerate(scenes):
            if _value(scores, bonus) <= enough:
                break
            scores[number] = self.score(scene, view)
        return _value(scores, bonus)

    def choose_for_step(self, scene: StepScene, held: View, hold_above: float) -> View:
        """Return ``held``, the view of the section, or another where that one hides what matters in this step."""
        seen = self.visibility(scene, held) >= hold_above and _from_in_front(scene, held)
        if seen and (not scene.turns or self._turn_worth([scene], held) > 0.0):
            return held
        return self.choose([scene], held)


def _value(scores: Sequence[float], bonus: float) -> float:
    return bonus + 0.5 * min(scores) + 0.5 * float(np.mean(scores))


def _close_to(models: PartModels, scene: StepScene, group: Sequence[str], camera: Camera) -> Camera | None:
    """Return the camera that holds just ``group``, None where it is large in the picture as it is."""
    points = np.concatenate([scene.places[k].points(models.parts[k].mesh.extreme_points) for k in group])
    close = fit_camera(camera.view, points, 1.0)
    return close if close.height_mm < SMALL_SHARE * camera.width_mm else None


def _in_frame(models: PartModels, scene: StepScene, camera: Camera) -> dict[str, Place]:
    """Return the places of the parts that may be seen in ``camera``."""
    found = {}
    for key, place in scene.parts.items():
        xy = camera.project(place.points(models.parts[key].mesh.extreme_points))[:, :2]
        if (xy.max(axis=0) > 0).all() and (xy.min(axis=0) < 1).all():
            found[key] = place
    return found


def aims_worth(models: PartModels, scene: StepScene, ids: Ids, camera: Camera) -> float:
    """Return how well the surfaces that a step names are seen, 0 to 1: of equal ones of several parts the best.

    What is worked in an order has to be seen one by one.
    """
    numbered = {m.part for m in scene.marks}
    best: dict[str, float] = {}
    for aim in scene.aims:
        if aim.part in scene.places:
            sight = sight_of(models.parts[aim.part], aim.surface, scene.places[aim.part], ids, camera)
            of = aim.part if aim.part in numbered else models.parts[aim.part].kind
            name = f"{of} {aim.surface.name}"
            best[name] = max(best.get(name, 0.0), sight.worth)
    if not best:
        return 1.0
    worth = 0.25 * min(best.values()) + 0.75 * sum(best.values()) / len(best)
    return worth if not numbered or min(best.values()) >= OUT_OF_SIGHT else worth * NUMBER_HIDDEN


def outline_seen(
    parts: Mapping[str, PartModel], ids: Ids, places: Mapping[str, Place], keys: Sequence[str], camera: Camera
) -> float:
    """Return about which share of the silhouettes of ``keys`` is seen: has a pixel of theirs beside it.

    A quick measure for choosing among views; what a part hides of itself counts as seen.
    """
    own = ids.mask(keys)
    height, width = own.shape
    near = np.pad(own, 1)
    near = near[:-2] | near[1:-1] | near[2:]
    near = near[:, :-2] | near[:, 1:-1] | near[:, 2:]
    seen = total = 0.0
    eye = camera.view.axes[2]
    for key in keys:
        place = places[key]
        turned = np.array(place.rotation).T @ eye
        lines = silhouette(parts[key].mesh, (float(turned[0]), float(turned[1]), float(turned[2])))
        if not len(lines):
            continue
        ends = camera.project(place.points(lines.reshape(-1, 3)))[:, :2] * (width, height)
        length = np.linalg.norm(ends[0::2] - ends[1::2], axis=1)
        x, y = np.floor((ends[0::2] + ends[1::2]) / 2).astype(int).T
        inside = (x >= 0) & (x < width) & (y >= 0) & (y < height)
        hit = inside & near[np.clip(y, 0, height - 1), np.clip(x, 0, width - 1)]
        seen += float(length[hit].sum())
        total += float(length.sum())
    return seen / total if total else 0.0


def _from_in_front(scene: StepScene, view: View) -> bool:
    """Return whether no part comes from behind what it goes onto."""
    return all(
        t.length_mm == 0 or float(view.axes[2] @ np.array(t.offset)) > -0.1 * t.length_mm
        for t in scene.travels
    )


def _travel_shown(scene: StepScene, view: View) -> float:
    """Return how much of the travel's length the view shows (0 to 1), 0 where a part comes from behind its seat."""
    shown = []
    for travel in scene.travels:
        out = np.array(travel.offset)
        length = float(np.linalg.norm(out))
        if length < 1e-9:
            continue
        x, y, towards = view.axes @ (out / length)
        shown.append(float(np.hypot(x, y)) if towards > -0.1 else 0.0)
    return min(shown) if shown else 1.0
