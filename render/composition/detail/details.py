"""Which details a picture needs: for what it does not show of its acts, the fewest close-ups that do.

In the first place the same view, nearer; then from another side; then the part by itself, from where its surface is
seen; then cut open, with the tool that is at work whole.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from ....geometry.frame import Floats, Place, Vec3
from ...acts.surface_sight import FACING, spots_of
from ...acts.tools_drawn import RUBBING, ToolDrawn
from ...engine.camera import Camera, View, bench_views, make_view, sensible_views
from ...engine.part_models import PartModels
from ...engine.stage import Stage
from ..hidden_seats import LARGEST, LEAST_REACH, ROUND, SUFFIX, HiddenSeat, cut_round, opened
from ..views import StepScene
from .targets import Looked, Name, Target, targets_of

GRID = 128
"""Width of the grid on which a detail is looked at."""
DRAWN_OVER = 0.29
"""Width of a detail as a share of the picture's, as small as it may become."""
MOST = 4
"""More close-ups than these leave no room for the picture itself."""
ROOMY = 1.25
"""Radius of what is taken in, as a multiple of that of what is meant."""
WIDER = 1.06
"""Radius of what is taken in of a whole part, as a multiple of the part's own."""
WHOLE = 2.6
"""A part is taken in whole where it reaches no farther than this multiple of what is meant on it."""
LEAST_RADIUS = 0.045
"""Least radius of what a detail takes in, as a share of the assembly's extent."""
FILLS = 0.8
"""A detail takes in no more than this multiple of its part's own extent."""
FULLY = 12.0
"""In sight so many times more than it has to be, nothing is gained."""
CONTACT_RADIUS = 0.11
"""Least radius round where a tool touches: of both parts that it is between something has to be seen."""
LAID_ABOVE_DEG = 17.0
"""What is laid on a part is looked at from so little above it that a gap under it is seen."""
STEEP, STEEP_COST = 0.75, 0.08
"""A view so much from above or below (sine) is hard to place, and what that costs."""


@dataclass(frozen=True)
class Detail:
    """A close-up: the part it is of, what it takes in, and how it is looked at.

    ``view`` is None where it is that of the picture. ``shown`` are the keys of what is drawn, None for all. ``seat`` is
    the cut that opens it. ``names`` are those of the targets that it shows.
    """

    part: str
    surface: str
    centre: Vec3
    radius_mm: float
    names: frozenset[Name]
    view: View | None = None
    shown: frozenset[str] | None = None
    seat: HiddenSeat | None = None
    tools: tuple[str, ...] = ()
    """Keys of the tools that are drawn: those that are at work there."""


@dataclass(frozen=True)
class _Tried:
    """A detail and what it is worth."""

    detail: Detail
    worth: float


class Looks:
    """What details of one scene that are not cut open show, remembered: the same are looked at again and again."""

    def __init__(self) -> None:
        self._known: dict[tuple[object, ...], tuple[Looked, dict[tuple[str, str, Name], float]]] = {}

    def best(
        self, stage: Stage, scene: StepScene, detail: Detail, camera: Camera, targets: Iterable[Target]
    ) -> dict[Name, float]:
        """Return how much of ``targets`` is in sight in ``detail`` of the picture taken with ``camera``."""
        close = camera_of(detail, camera)
        key = (close, detail.shown, detail.tools)
        if key not in self._known:
            places = drawn_in(scene, detail)
            self._known[key] = (
                Looked(stage, places, stage.ids(places, close, GRID), close, DRAWN_OVER),
                {},
            )
        looked, shares = self._known[key]
        found: dict[Name, float] = {}
        for target in targets:
            own = target.part, target.surface, target.name
            if own not in shares:
                shares[own] = looked.share(target)
            found[target.name] = max(found.get(target.name, 0.0), shares[own])
        return found


def details_of(
    stage: Stage,
    scene: StepScene,
    camera: Camera,
    short: Iterable[Name],
    cut_aways: bool = True,
    looks: Looks | None = None,
) -> list[Detail]:
    """Return the details that show the targets named ``short``, as far as any can; those that show most come first.

    ``looks`` remembers what was looked at of the scene before.
    """
    left, found, looks = set(short), list[Detail](), looks or Looks()
    targets = [t for t in targets_of(stage.models, scene) if t.name in left]
    while left and len(found) < MOST:
        tried = _tried(stage, scene, camera, targets, left, cut_aways, looks)
        best = max(tried, key=_worth, default=None)
        if best is None:
            break
        found.append(best.detail)
        left -= best.detail.names
    return found


def _worth(tried: _Tried) -> float:
    return tried.worth


def _tried(
    stage: Stage,
    scene: StepScene,
    camera: Camera,
    targets: Sequence[Target],
    left: set[Name],
    cut_aways: bool,
    looks: Looks,
) -> Iterator[_Tried]:
    """Yield the best detail of each part with what is meant on it, together and one by one."""
    by_part: dict[str, list[Target]] = {}
    for target in targets:
        if target.name in left:
            by_part.setdefault(target.part, []).append(target)
    for own in by_part.values():
        sets = [own] if len(own) == 1 else [own, *([t] for t in own)]
        for meant in sets:
            wanted = tuple(t for t in targets if t.name in left)
            looking = _Looking(stage, scene, camera, tuple(meant), wanted, looks)
            best = looking.best(cut_aways)
            if best is not None:
                yield best
                if {t.name for t in own} <= best.detail.names:
                    break


@dataclass(frozen=True)
class _Looking:
    """Ways to look at what is meant on one part."""

    stage: Stage
    scene: StepScene
    camera: Camera
    meant: tuple[Target, ...]
    left: tuple[Target, ...]
    """All that is still to be shown: what of it is seen beside what is meant counts too."""
    looks: Looks

    @property
    def part(self) -> str:
        return self.meant[0].part

    @property
    def models(self) -> PartModels:
        return self.stage.models

    def best(self, cut_aways: bool) -> _Tried | None:
        """Return the best way; what is as good and nearer to the picture itself comes first."""
        centre, radius = self._around()
        found: list[_Tried] = []
        tools = tuple({t.tool.key: None for t in self.meant if t.tool})
        plain = Detail(self.part, self.meant[0].surface, _vec(centre), radius, frozenset(), tools=tools)
        laid = [t for t in self.scene.laid if t.key in tools]
        if laid:
            return self._best_laid(plain, laid)
        found += self._looked([plain], 0.0)
        if not _all_shown(found, self.meant):
            views = [v for v in self._views() if self._may_show(v)]
            found += self._looked([replace(plain, view=v) for v in views], 0.12)
            if not _all_shown(found, self.meant) and not (set(tools) - self._rubbing):
                alone = frozenset({self.part, *tools})
                wide = self._wide(plain)
                found += self._looked([replace(wide, view=v, shown=alone) for v in views], 0.2)
        if cut_aways and not _all_shown(found, self.meant):
            found += self._cut(plain, 0.16)
        return max(found, key=_worth, default=None)

    def _best_laid(self, plain: Detail, laid: Sequence[ToolDrawn]) -> _Tried | None:
        """Return the best way to look at a part with a tool laid on it: by itself, from where the tool is."""
        alone = frozenset({self.part, *plain.tools})
        wide = self._wide(replace(plain, radius_mm=self.models.extent_mm))
        views = [
            make_view(
                "side on, as it lies",
                side,
                LAID_ABOVE_DEG,
                tool.place.direction((0.0, 1.0, 0.0)),
                _vec(tool.axis),
            )
            for tool in laid
            for side in (22.0, -22.0, 158.0, -158.0)
        ]
        found = self._looked([replace(wide, view=v, shown=alone) for v in views], 0.0)
        return max(found, key=_worth, default=None)

    def _around(self) -> tuple[Floats, float]:
        points = np.concatenate([t.points(self.models, self.scene.places) for t in self.meant])
        low, high = points.min(axis=0), points.max(axis=0)
        centre = (low + high) / 2
        radius = ROOMY * float(np.linalg.norm(points - centre, axis=1).max())
        if any(t.tool for t in self.meant):
            return centre, max(radius, min(CONTACT_RADIUS * self.models.extent_mm, self._most_mm))
        return centre, min(max(radius, LEAST_RADIUS * self.models.extent_mm), self._most_mm)

    @property
    def _rubbing(self) -> set[str]:
        """Return the tools that work on one part alone."""
        return {t.tool.key for t in self.meant if t.tool and t.tool.tool.tool in RUBBING}

    @cached_property
    def _most_mm(self) -> float:
        """Return the greatest radius in which the part still fills its close-up."""
        return FILLS * float(np.linalg.norm(np.ptp(self.models.parts[self.part].mesh.extreme_points, axis=0)))

    def _wide(self, detail: Detail) -> Detail:
        """Return ``detail`` with all of its part taken in, where that is not much larger than what is meant."""
        model, place = self.models.parts[self.part], self.scene.places[self.part]
        points = place.points(model.mesh.extreme_points)
        centre = (points.min(axis=0) + points.max(axis=0)) / 2
        radius = WIDER * float(np.linalg.norm(points - centre, axis=1).max())
        if radius > WHOLE * detail.radius_mm:
            return detail
        return replace(detail, centre=_vec(centre), radius_mm=radius)

    def _views(self) -> list[View]:
        """Return the other views that a detail may be looked at in: from all sides, the picture's up staying up."""
        held = self.camera.view
        front, up = self.models.front, self.models.up
        if self.scene.up is not None:
            right = np.cross(np.array(up), np.array(front))
            across = (float(right[0]), float(right[1]), float(right[2]))
            x, y, z = self.scene.up
            found = [*bench_views(self.scene.up, across), *bench_views((-x, -y, -z), across)]
        else:
            rear = (("rear, level", 172.0, 8.0), ("rear right, from below", 132.0, -24.0))
            low = (("from below", 20.0, -62.0), ("rear left, from below", -132.0, -24.0))
            steep = (("from above", 15.0, 66.0), ("front, level", 8.0, 6.0), ("left, level", -80.0, 8.0))
            more = [make_view(n, side, above, front, up) for n, side, above in (*rear, *low, *steep)]
            found = [*sensible_views(front, up), *more]
        return [v for v in found if v != held]

    def _may_show(self, view: View) -> bool:
        """Return whether anything of what is meant is turned to the eye in ``view``."""
        eye = view.axes[2]
        for target in self.meant:
            if target.zone is None:
                return True
            spots = spots_of(self.models.parts[target.part], target.zone.surface)
            turned = np.array(self.scene.places[target.part].rotation).T @ eye
            if float((spots.normals @ turned > FACING).mean()) > 0.1:
                return True
        return False

    def _looked(self, tried: Iterable[Detail], cost: float) -> list[_Tried]:
        found = []
        for detail in tried:
            best = self.looks.best(self.stage, self.scene, detail, self.camera, self.left)
            found += _judged(detail, best, cost)
        return found

    def _cut(self, plain: Detail, cost: float) -> list[_Tried]:
        """Return the detail cut open, in the picture's view and from the other sides."""
        found: list[_Tried] = []
        centre = np.array(plain.centre)
        radius = max(ROUND * plain.radius_mm / ROOMY, LEAST_REACH * self.models.extent_mm)
        if not plain.tools:
            radius = min(radius, self._most_mm)
        if radius > ROUND * LARGEST * self.models.extent_mm:
            return []
        there = {k: self.scene.places[k] for k in plain.tools}
        views = [self.camera.view, *(v for v in self._views() if float(v.axes[2] @ np.array(v.up)) > 0)]
        seen: set[tuple[float, ...]] = set()
        for view in views:
            seat = cut_round(self.models, self.scene.parts, (self.part,), centre, radius, view)
            if seat.plane.normal in seen:
                continue
            seen.add(seat.plane.normal)
            own = view if view != self.camera.view else None
            detail = replace(plain, radius_mm=radius, view=own, seat=seat)
            made = {m.key: m for m in opened(self.stage, seat)}
            places = {k: seat.places[k.removesuffix(SUFFIX)] for k in made} | there
            camera = camera_of(detail, self.camera)
            self.stage.add_models(made.values())
            try:
                ids = self.stage.ids(places, camera, GRID)
                looked = Looked(self.stage, places, ids, camera, DRAWN_OVER, SUFFIX)
                found += _judged(detail, looked.best(self.left), cost + 0.06 * (own is not None))
            finally:
                self.stage.remove_models()
            if _all_shown(found, self.meant):
                break
        return found


def _judged(detail: Detail, best: Mapping[Name, float], cost: float) -> list[_Tried]:
    shown = frozenset(n for n, share in best.items() if share >= 1.0)
    if not shown:
        return []
    well = float(np.mean([np.log(min(best[n], FULLY)) / np.log(FULLY) for n in shown]))
    if detail.view is not None and abs(float(detail.view.axes[2] @ np.array(detail.view.up))) > STEEP:
        cost += STEEP_COST
    return [_Tried(replace(detail, names=shown), len(shown) + 0.4 * well - cost)]


def _all_shown(found: Iterable[_Tried], meant: Iterable[Target]) -> bool:
    names = {t.name for t in meant}
    return any(names <= f.detail.names for f in found)


def drawn_in(scene: StepScene, detail: Detail) -> dict[str, Place]:
    """Return what a detail that is not cut open shows, and where: tools only if they are at work there."""
    parts = {k: p for k, p in scene.parts.items() if detail.shown is None or k in detail.shown}
    return parts | {t.key: t.place for t in (*scene.tools, *scene.laid) if t.key in detail.tools}


def camera_of(detail: Detail, camera: Camera) -> Camera:
    """Return the square camera of a detail of the picture taken with ``camera``."""
    return Camera(detail.view or camera.view, detail.centre, 2.0 * detail.radius_mm, 1.0)


def _vec(v: Floats) -> Vec3:
    return float(v[0]), float(v[1]), float(v[2])
