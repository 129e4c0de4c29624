"""How one step moves in the viewer: what stands where, what travels along which marks, which tools are pulled.

It is the step's picture in motion: places, travels and tools are those of its scene
(:meth:`..studio.Studio.scene`), the eye looks from where the picture does.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import groupby

import numpy as np

from ....geometry.frame import Place, Vec3
from ....sequences.reach.tool_places import ToolInPlace
from ....sequences.steps.plan import Plan, Step
from ...acts.surface_sight import spots_of
from ...acts.zone_patterns import WALLS, WIDENED, is_flat, widened
from ...acts.zones import Zone
from ...composition.drawn_travel import DrawnTravel
from ...composition.views import StepScene
from ...engine.camera import View
from ...engine.part_models import PartModels
from ..gltf_motion import unit_quaternion
from ..picture_keys import Tools
from ..studio import Studio
from .viewer_models import PaintedZone, PlacedTool, PlanMotion, Pose, StepMotion, Track, Unrolled

MOST_TURN_DEG = 60.0
"""Widest turn between two marks: between them the viewer takes the short way round."""
SAME_MM, SAME_TURN = 1e-6, 1e-9
"""Places no farther apart than this are one."""


def pose_of(place: Place) -> Pose:
    """Return ``place`` as the viewer has it: to a tenth of a micrometre, turns to 1e-7.

    >>> pose_of(Place.turn(180.0).moved(1.0, 2.0, 3.0))
    (1.0, 2.0, 3.0, 0.0, 0.0, 1.0, 0.0)
    """
    x, y, z = (np.round(place.shift, 4) + 0.0).tolist()
    qx, qy, qz, qw = (np.round(unit_quaternion(np.array(place.rotation)), 7) + 0.0).tolist()
    return x, y, z, qx, qy, qz, qw


def plan_motion(studio: Studio, plan: Plan, views: Sequence[View], tools: Tools) -> PlanMotion:
    """Return how the steps of ``plan`` move, each seen in its view; ``tools`` are those of its steps by number.

    Raises:
        NoToolMaker, SolidError, MeshError: if a tool is not there to be drawn and cannot be made.
    """
    steps, used = [], dict[str, ToolInPlace]()
    for step, view in zip(plan.steps, views, strict=True):
        scene = studio.scene(step, tools.get(step.number, ()))
        used.update({t.key: t.tool for t in scene.tools})
        free = {m.key for m in studio.free_springs.of_travels(scene.travels)}
        offs = {k: t.offset for t in scene.travels for k in t.seats if k in free}
        steps.append(step_motion(studio.models, plan.sequence, step, scene, view, offs))
    return PlanMotion(tuple(steps), used)


def step_motion(
    models: PartModels, sequence: str, step: Step, scene: StepScene, view: View, free: Mapping[str, Vec3]
) -> StepMotion:
    """Return how ``step`` of a ``sequence`` moves.

    Args:
        models: all parts of the assembly.
        sequence: its kind.
        step: the step.
        scene: what stands where in the step's picture.
        view: from where that is seen.
        free: springs that nothing presses, each with the direction off its seat.
    """
    travelling = {k for t in scene.travels for k in t.drawn}
    poses = {
        k: pose_of(p)
        for k, p in scene.parts.items()
        if k not in travelling and not _same(p, models.parts[k].place)
    }
    wanted = tuple(k for k in scene.keys if k not in scene.quiet)
    tools = (
        PlacedTool(t.key, t.tool.at.part, pose_of(t.place), t.tool.swing_deg, t.travel) for t in scene.tools
    )
    return StepMotion(
        sequence,
        step.number,
        view.direction,
        view.up,
        tuple(scene.parts),
        poses,
        moving=wanted if step.moving else (),
        focus=() if step.moving else wanted,
        quiet=tuple(sorted(scene.quiet)),
        acts=_acts(models, scene.travels),
        into=all(t.move.into for t in scene.travels),
        tools=tuple(tools),
        turn_deg=step.shaft_turn_deg if models.turning and not step.bench else 0.0,
        zones=tuple(painted_zone(z, models) for z in scene.zones),
        free=dict(free),
    )


def painted_zone(zone: Zone, models: PartModels) -> PaintedZone:
    """Return a zone as the viewer paints it: bounds and pattern are those of
    :func:`..acts.zone_patterns.paint_zones`."""
    model, surface = models.parts[zone.part], zone.surface
    points = spots_of(model, surface).points
    if surface is None:
        low, high = model.mesh.box
        narrow = float(sorted((high - low).tolist())[1]) / 4.0
        return PaintedZone(zone.part, zone.treatment, "whole", narrow_mm=narrow)
    wide, axes = widened(surface, WIDENED), surface.axes
    x, y, height = ((points - np.array(surface.origin)) @ axes.T).T if len(points) else np.zeros((3, 1))
    radius = np.hypot(x - np.clip(x, -surface.drawn_mm, surface.drawn_mm), y)
    across, along = float(np.ptp(radius)), float(np.ptp(height))
    unrolled: Unrolled = "flat" if across >= 0.5 * along else "round"
    if surface.kind in WALLS:
        unrolled = "wall"
    (ax, ay, az), (bx, by, bz), (cx, cy, cz) = np.round(axes, 9).tolist()
    return PaintedZone(
        zone.part,
        zone.treatment,
        unrolled,
        ((ax, ay, az), (bx, by, bz), (cx, cy, cz)),
        surface.origin,
        wide.radius_mm,
        wide.along_mm,
        surface.half_deg,
        surface.drawn_mm,
        round(float(radius.mean()), 6),
        round((across if unrolled == "flat" else along) or 1.0, 6),
        is_flat(surface),
    )


def _acts(models: PartModels, travels: Sequence[DrawnTravel]) -> tuple[tuple[Track, ...], ...]:
    """Return the travels, equal parts that follow one another at the same time, as in the step's film."""
    acts = groupby(travels, lambda t: [models.parts[k].kind for k in t.seats])
    return tuple(tuple(_track(t, k) for t in act for k in t.seats) for _, act in acts)


def _track(travel: DrawnTravel, key: str) -> Track:
    shares = _shares(travel)
    return Track(key, shares, tuple(pose_of(travel.place_after(key, s)) for s in shares))


def _shares(travel: DrawnTravel) -> tuple[float, ...]:
    """Return the shares of the time of a travel at which a place is told: at each bend, and often in a turn."""
    total = sum(travel.times) or 1.0
    found, begin = {0.0, 1.0}, 0.0
    for time, turn_deg in zip(travel.times, travel.turns_deg, strict=True):
        pieces = max(1, math.ceil(abs(turn_deg) / MOST_TURN_DEG))
        found |= {(begin + time * n / pieces) / total for n in range(pieces)}
        begin += time
    return tuple(sorted({round(s, 6) for s in found}))


def _same(a: Place, b: Place) -> bool:
    turned = np.abs(np.subtract(a.rotation, b.rotation)).max()
    return bool(turned < SAME_TURN and math.dist(a.shift, b.shift) < SAME_MM)
