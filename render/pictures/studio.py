"""The studio: one assembly's models, their stage, what stands where in a step, and the cache of pictures taken."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from itertools import combinations
from typing import Self

import numpy as np

from ...geometry.assembly import Assembly
from ...geometry.frame import Floats, Place, Vec3, unit
from ...sequences.steps.plan import Step
from ...sequences.work.keys import TaskKey
from ...sequences.work.store import Store
from ..acts.surface_sight import spots_of
from ..acts.tools_drawn import (
    HIDES,
    MOST_TOOLS,
    RUBBING,
    Carried,
    ToolDrawn,
    chosen_tools,
    drawn_tool,
    laid_tools,
    order_marks,
)
from ..acts.turned_over import turned_over
from ..acts.zones import Zone, aims_of, is_casting, turned_at, zones_of
from ..composition.bench_layout import arrange_parts, arrange_units
from ..composition.drawn_travel import DrawnTravel, Neighbours, drawn_travels
from ..composition.free_springs import FreeSprings
from ..composition.views import ShaftTurn, StepScene
from ..drawing.manifest import CameraSeen
from ..drawing.settings import PictureSettings
from ..engine.camera import Camera
from ..engine.part_models import PartModels, make_part_models
from ..engine.stage import Stage
from .kept_pictures import Picture, kept_picture
from .picture_keys import ToolsInPlace, models_key
from .tool_models import ToolMaker, tool_model


def models_of(assembly: Assembly, settings: PictureSettings) -> PartModels:
    """Return the models of ``assembly`` as its pictures need them.

    Raises:
        MeshError: if a solid does not give a closed mesh.
    """
    made_from = models_key(assembly.made_from, settings.detail).digest if assembly.made_from else ""
    return make_part_models(assembly, settings.detail, made_from)


GAP_SHARE = 0.05
"""What presses or taps a part that is drawn out stands so far off it, as a share of the assembly's extent."""
CASTING = 20.0
"""What holds pins or dowels pressed in has this many times the volume of each, at least."""
Drawn = Callable[[], Picture]
"""A picture that is drawn: called, on whatever thread, it puts it into files' content and returns it."""


class Studio:
    """Everything needed to take the pictures of one assembly; use as a context manager."""

    def __init__(
        self,
        assembly: Assembly | PartModels,
        settings: PictureSettings | None = None,
        cache: Store | None = None,
        make_tool: ToolMaker | None = None,
    ) -> None:
        """Take up an assembly; ``make_tool`` makes the tools of steps that are given such."""
        self.cache, self.make_tool = cache, make_tool
        self.settings = settings or PictureSettings()
        self.models = assembly if isinstance(assembly, PartModels) else models_of(assembly, self.settings)
        self._stage: Stage | None = None
        self._neighbours = Neighbours(self.models)
        self.free_springs = FreeSprings(self.models)
        self._scenes: dict[int, tuple[Step, ToolsInPlace, StepScene]] = {}

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Free the windows; the next picture opens them again."""
        if self._stage is not None:
            self._stage.close()
            self._stage = None

    @property
    def stage(self) -> Stage:
        """The stage on which all pictures are drawn, opened when first asked for."""
        if self._stage is None:
            self._stage = self.make_stage()
        return self._stage

    def make_stage(self) -> Stage:
        """Return a new stage for these models and settings."""
        s = self.settings
        return Stage(self.models, s.width, s.height, s.supersample)

    def cached(self, draw: Callable[[], Drawn], key: TaskKey) -> Drawn:
        """Return the picture that ``draw`` draws, from the store where it is kept under ``key``."""
        cache = self.cache
        if cache is None:
            return draw()
        known = kept_picture(cache, key)
        if known is not None:
            return lambda: known
        drawn = draw()

        def kept() -> Picture:
            picture = drawn()
            cache.put(key.digest, picture.as_entry())
            return picture

        return kept

    def turned(self, keys: Iterable[str], angle_deg: float) -> dict[str, Place]:
        """Return the places of those of ``keys`` that turn with the shafts, at this angle of them."""
        wanted = {k for group in self.models.turning for k in group.parts}.intersection(keys)
        return {k: p for k, p in self.models.places_at(angle_deg).items() if k in wanted}

    def travels(self, step: Step) -> tuple[DrawnTravel, ...]:
        """Return the travels of ``step`` on the assembly."""
        return drawn_travels(self.models, step, self._seats(step), self._neighbours)

    def _seats(self, step: Step) -> dict[str, Place]:
        """Return where every part stands, or is to stand, in ``step``."""
        return self.models.places_at(step.stands_at_deg)

    def scene(self, step: Step, tools: ToolsInPlace = ()) -> StepScene:
        """Return what stands where in ``step``, its ``tools`` among it.

        What lies by itself on a bench lies there as is best seen. Remembered: the views are chosen by it before the
        picture is taken.
        """
        return self.scene_known(step, tools) or self.know_scene(step, tools, self._scene(step, tools))

    def scene_known(self, step: Step, tools: ToolsInPlace = ()) -> StepScene | None:
        """Return the scene of ``step`` where it is remembered."""
        known = self._scenes.get(id(step))
        return known[2] if known and known[0] is step and known[1] == tools else None

    def know_scene(self, step: Step, tools: ToolsInPlace, scene: StepScene) -> StepScene:
        """Remember ``scene`` as that of ``step``, and return it; its tools are there to be drawn."""
        for drawn in (*scene.tools, *scene.laid):
            self._know_tool(drawn)
        self._scenes[id(step)] = (step, tools, scene)
        return scene

    def _scene(self, step: Step, tools: ToolsInPlace) -> StepScene:
        seats, travels = self._seats(step), self.travels(step)
        shown = {k: seats[k] for k in step.present}
        for travel in travels:
            shown.update(travel.drawn)
        for key in step.focus:
            shown.setdefault(key, seats[key])
        order = {k: shown[k] for k in self.models.parts if k in shown}
        aims = aims_of(step.operations, self.models)
        alone = not step.moves and set(order) <= set(step.focus)  # nothing stands round them
        alone = alone and not any(
            o.between for o in step.operations
        )  # what stands between them tells of both
        over: dict[str, Place] = {}
        if alone and not self._pressed_in(order):
            order = arrange_parts(self.models, order)
            over = turned_over(self.models, order, aims)
            order.update(over)
        elif step.bench:
            order, travels = arrange_units(self.models, order, travels)
        wanted = tuple(g for m in step.moves for g in ([m.parts] if m.group else [(k,) for k in m.parts]))
        if not wanted:
            wanted = tuple((k,) for k in step.focus)

        def carried(part: str) -> Place | None:
            return order[part] @ seats[part].inverse() if part in order else None

        zones = zones_of(step.operations, self.models, bool(step.moves))
        drawn = self._tools(step, tools, carried)
        return StepScene(
            {**order, **{t.key: t.place for t in drawn}},
            wanted,
            travels,
            self._turns(order, step),
            zones,
            aims,
            drawn,
            self._laid(step, tools, carried),
            order_marks(tools, step.operations, carried),
            self._quiet(step, zones),
            self._up(step),
            tuple(over),
        )

    def _tools(self, step: Step, tools: ToolsInPlace, carried: Carried) -> tuple[ToolDrawn, ...]:
        """Return the tools of a step that its picture shows; they are there to be drawn."""
        front, up = np.array(self.models.front), np.array(self.models.up)
        towards = front + 0.4 * up
        there = [t for t in tools if carried(t.at.part) is not None]
        found: list[ToolDrawn] = []
        for tool in chosen_tools(there, step.operations, step.moving, tuple(towards.tolist())):
            gap_mm = GAP_SHARE * self.models.extent_mm if tool.at.part in step.moving else 0.0
            drawn = drawn_tool(tool, step.operations, carried, gap_mm)
            self._know_tool(drawn)
            if tool.tool in RUBBING and (found or self._hides(drawn)):
                continue
            found.append(drawn)
        return tuple(found[:MOST_TOOLS])

    def _laid(self, step: Step, tools: ToolsInPlace, carried: Carried) -> tuple[ToolDrawn, ...]:
        """Return the tools of a step that are laid on parts on their way; they are there to be drawn."""
        there = (t for t in tools if carried(t.at.part) is not None)
        found = [
            drawn_tool(t, step.operations, carried, 0.0)
            for t in laid_tools(there, step.operations, step.moving)
        ]
        for drawn in found:
            self._know_tool(drawn)
        return tuple(found)

    def _know_tool(self, drawn: ToolDrawn) -> None:
        if drawn.key not in self.models.tools:
            model = tool_model(drawn.key, drawn.tool, self.make_tool, self.cache)
            self.models.tools[drawn.key] = model

    def _hides(self, drawn: ToolDrawn) -> bool:
        """Return whether a tool that goes over a surface is too large beside it."""
        at = drawn.tool.at
        model = self.models.parts[at.part]
        surface = next((s for s in model.surfaces if s.name == at.surface), None)
        points = spots_of(model, surface).points
        reach = float(np.linalg.norm(np.ptp(points, axis=0))) if len(points) else 0.0
        return reach < HIDES * self.models.tools[drawn.key].mesh.reach_mm

    def _pressed_in(self, places: Mapping[str, Place]) -> bool:
        """Return whether all but one of some parts sit in that one, which is far larger, as pins do in a casting."""
        volume = {k: self.models.parts[k].mesh.volume_mm3 for k in places}
        largest = max(volume, key=lambda k: volume[k], default="")
        return len(volume) > 1 and all(
            volume[k] * CASTING <= volume[largest]
            and self._neighbours.touch(k, places[k], largest, places[largest])
            for k in volume
            if k != largest
        )

    def _quiet(self, step: Step, zones: Iterable[Zone]) -> frozenset[str]:
        """Return the parts of a step without moves that keep their metal: castings, and those with a zone."""
        if step.moves:
            return frozenset()
        painted = {z.part for z in zones}
        return frozenset(k for k in step.focus if k in painted or is_casting(k, self.models))

    def _up(self, step: Step) -> Vec3 | None:
        """Return what looks up of the bench unit of ``step``, None where it is shown as on the assembly."""
        if step.up is None:
            return None
        x, y, z = self.models.front
        return (x, y, z) if step.up == "front" else (-x, -y, -z)

    def _turns(self, shown: Mapping[str, Place], step: Step) -> tuple[ShaftTurn, ...]:
        """Return the shafts that are turned in ``step``: one for each axis."""
        groups = self.models.turning
        if not step.shaft_turn_deg or step.bench or not groups:
            return ()
        front = np.array(self.models.front)
        behind = self._turned_behind(step)
        if behind:
            front = -front
        axes: dict[tuple[Vec3, Vec3], float] = {}
        for group in groups:
            if behind and not behind & set(group.parts):
                continue  # its rear end is inside: only the shaft that a hand is on shows the turn
            along, turn = np.array(unit(group.axis)), group.ratio * step.shaft_turn_deg
            if float(along @ front) < 0:  # told as seen by the person who does the work
                along, turn = -along, -turn
            about = np.array(group.about)
            axes[_rounded(about - along * float(about @ along)), _rounded(along)] = turn
        points = [np.array(group.about) for group in groups]
        apart = min(
            (n for a, b in combinations(points, 2) if (n := float(np.linalg.norm(a - b))) > 1e-6),
            default=self.models.extent_mm / 3,
        )
        radius = 0.34 * apart
        turning = np.concatenate(
            [
                shown[k].points(self.models.parts[k].mesh.joined_points)
                for group in groups
                for k in group.parts
                if k in shown
            ]
            or [np.empty((0, 3))]
        )
        found = []
        for (point, axis), turn_deg in axes.items():
            along = np.array(axis)
            across = turning - along * (turning @ along)[:, None] - point
            there = turning[np.linalg.norm(across, axis=1) < radius]
            far, near = (
                (float((there @ along).min()), float((there @ along).max())) if len(there) else (0.0, 0.0)
            )
            found.append(
                ShaftTurn(
                    _rounded(point + along * near), axis, radius, turn_deg, _rounded(point + along * far)
                )
            )
        return tuple(found)

    def _turned_behind(self, step: Step) -> frozenset[str]:
        """Return the shafts that are turned at their rear ends: at surfaces that face away from the front."""
        front, seats = np.array(self.models.front), self._seats(step)
        return frozenset(
            a.part
            for a in turned_at(step.operations, self.models)
            if float(np.array(seats[a.part].direction(a.surface.direction)) @ front) < -0.5
        )


def _rounded(point: Floats) -> Vec3:
    x, y, z = (np.round(point, 6) + 0.0).tolist()
    return x, y, z


def camera_seen(camera: Camera) -> CameraSeen:
    """Return the manifest's account of ``camera``."""
    v = camera.view
    return CameraSeen(v.name, v.direction, v.up, camera.centre, camera.height_mm)
