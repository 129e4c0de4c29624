"""Whether the tools of a plan reach what its acts name, and where each stands.

API::

    find_reach(assembly, plan) -> PlanReach      # seconds of one core; the whole proof is not needed for it

Not asked: room for a hand, weight, whether a socket of that size is at hand. Tools are generic, see
:mod:`...geometry.tools`; parts stand as the step leaves them. What is done before a part is fitted, or after it is
taken off, is tried without it too.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from ...geometry.assembly import Assembly
from ...geometry.frame import Place, Vec3
from ...geometry.meshes.closed_bodies import Bodies
from ..steps.operations import Operation, SurfaceOf
from ..steps.plan import WITHOUT_MOVES, Plan, Step
from .feeler_blades import find_blade
from .laid_tools import IN_HAND, find_laid
from .soft_blocks import find_block
from .standing import NoSurface, Standing
from .tool_places import PlanReach, ReachFault, ReachFound, ToolInPlace
from .wrenches import SWING_DEG, WRENCHES, find_wrench, sense_about

TRAVEL_MM = 30.0
"""How far a tool is drawn to travel in a press, a pull, a tap or a lift."""
UNDOING = ("loosen", "run off")
"""Verbs that open a thread."""
Result = tuple[ToolInPlace | None, ReachFound | None]


def find_reach(assembly: Assembly, plan: Plan, bodies: Bodies | None = None) -> PlanReach:
    """Return where the tools of every operation of ``plan`` stand, and what falls short.

    Args:
        assembly: the parts in place, with their named surfaces.
        plan: its steps say with which tools, where.
        bodies: of the assembly, where they have been made.

    Raises:
        MeshError: if a solid has no closed surface.
        OverlapError: if a mesh is not fit for booleans.
    """
    bodies = bodies or Bodies(assembly)
    tools: dict[int, tuple[ToolInPlace, ...]] = {}
    found: list[ReachFound] = []
    for step in plan.steps:
        placed: list[ToolInPlace] = []
        for tool, fault in _of_step(bodies, plan, step):
            if tool:
                placed.append(tool)
            if fault:
                found.append(fault)
        if placed:
            tools[step.number] = tuple(placed)
    return PlanReach(tools, tuple(found))


def _of_step(bodies: Bodies, plan: Plan, step: Step) -> Iterator[Result]:
    drawn = [(n, o) for n, o in enumerate(step.operations) if o.tool != "hand" and not o.zone_only]
    if not drawn:
        return
    named = {s.part for _, o in drawn for s in (*o.on, *o.between)}
    home = Standing(bodies, step, named)
    # The same tool on the same surface is proven once, however many readings are taken with it.
    known: dict[object, list[Result]] = {}
    for number, operation in drawn:
        told = (operation.tool, operation.on, operation.between, operation.towards, operation.order)
        alike = (*told, operation.verb in UNDOING)
        if alike not in known:
            known[alike] = list(_of_operation(home, plan, step, number, operation))
        for tool, fault in known[alike]:
            yield tool and replace(tool, operation=number), fault and replace(fault, operation=number)


def _of_operation(
    home: Standing, plan: Plan, step: Step, number: int, operation: Operation
) -> Iterator[Result]:
    """Yield a tool for each surface that it is put to, or one for the two that it stands between."""
    if operation.tool in ("soft block", "feeler blade"):
        for pair in _pairs(step, operation):
            yield _between(home, plan, step, number, replace(operation, between=pair))
        if operation.between or operation.tool == "soft block":
            return
        operation = replace(operation, on=() if _straightedge(step) else operation.on)
    surfaces = _in_order(home, operation)
    several = operation.order != "" and len(surfaces) > 1
    for n, at in enumerate(surfaces, 1):
        # A hand takes it from one surface to the next, and always reaches: the first is enough to draw.
        if n > 1 and operation.tool in IN_HAND and not several and _is_there(home, at):
            continue
        label = str(n) if several else ""
        result = _on(home, plan, step, number, operation, at, label)
        apart = plan.sequence in WITHOUT_MOVES
        if result[1] and operation.tool not in WRENCHES and (step.moves or apart):
            without = _on(_without(home, step, at, apart), plan, step, number, operation, at, label)
            result = result if without[1] else without
        yield result


def _pairs(step: Step, operation: Operation) -> list[tuple[SurfaceOf, ...]]:
    """Return the surfaces that a block or a blade stands between: of a blade under a straightedge its face is one."""
    if operation.between:
        return [operation.between]
    edge = _straightedge(step)
    return [(at, edge) for at in operation.on] if edge else []


def _straightedge(step: Step) -> SurfaceOf | None:
    laid = (o.on for o in step.operations if o.tool == "straightedge" and o.on)
    return next((on[0] for on in laid), None)


def _without(home: Standing, step: Step, at: SurfaceOf, apart: bool) -> Standing:
    """Return what stands there without the step's moving parts; of a surface of one of those, what moves with it.

    ``apart``: parts are looked at one by one, as in an inspection, so that the part is alone.
    """
    mine = next((m.parts for m in step.moves if at.part in m.parts), None)
    bare = replace(step, moves=(), present=tuple(k for k in step.present if k not in step.moving))
    if apart:
        mine = (at.part,)
    if mine is not None:
        bare = replace(bare, present=mine)
    return Standing(home.bodies, bare, (at.part,))


def _is_there(standing: Standing, at: SurfaceOf) -> bool:
    try:
        standing.surface(at)
    except NoSurface:
        return False
    return True


def _in_order(standing: Standing, operation: Operation) -> Sequence[SurfaceOf]:
    """Return its surfaces one after the other; crosswise, each is the one farthest from that before it."""
    left = list(operation.on)
    if operation.order != "crosswise" or len(left) < 3:
        return left
    ordered = [left.pop(0)]
    while left:
        last = np.array(standing.place(ordered[-1].part).shift)
        away = [round(math.dist(last, standing.place(s.part).shift), 3) for s in left]
        ordered.append(left.pop(away.index(max(away))))
    return ordered


def _on(
    standing: Standing, plan: Plan, step: Step, number: int, operation: Operation, at: SurfaceOf, label: str
) -> Result:
    """Return one tool on one surface."""

    def fell_short(fault: ReachFault, part: str = "", figure: float = 0.0) -> ReachFound:
        return ReachFound(step.number, step.id, number, at, operation.tool, fault, part, figure)

    def stands(measures: tuple[tuple[str, float], ...], place: Place, swing: float = 0.0) -> ToolInPlace:
        travel = _travel(operation)
        return ToolInPlace(step.number, number, at, operation.tool, measures, place, swing, travel, label)

    try:
        if operation.tool in WRENCHES:
            sense = turning_sense(standing, plan, operation, at)
            wrench = find_wrench(standing, operation.tool, at, sense)
            tool = stands(wrench.measures, wrench.place, wrench.swing_deg or math.copysign(SWING_DEG, sense))
            if wrench.met:
                return tool, fell_short("meets", wrench.met.part, wrench.met.depth_mm)
            return tool, None if wrench.swing_deg else fell_short("no swing", wrench.part, wrench.room_deg)
        other = operation.between[0] if operation.between and operation.on else None
        laid = find_laid(standing, operation.tool, at, other)
    except NoSurface:
        return None, fell_short("no surface")
    fault = fell_short("meets", laid.met.part, laid.met.depth_mm) if laid.met else None
    return stands(laid.measures, laid.place), fault


def _between(standing: Standing, plan: Plan, step: Step, number: int, operation: Operation) -> Result:
    """Return a soft block or a feeler blade between its two surfaces."""
    at = operation.between[0]

    def fell_short(fault: ReachFault, part: str = "", figure: float = 0.0) -> ReachFound:
        return ReachFound(step.number, step.id, number, at, operation.tool, fault, part, figure)

    try:
        if operation.tool == "soft block":
            found = find_block(standing, operation.between, _held_against(standing, plan, step, operation))
        else:
            found = find_blade(standing, operation.between)
    except NoSurface:
        return None, fell_short("no surface")
    measures, fault, met = found.measures, found.fault, found.met
    figure = met.depth_mm if met and fault == "meets" else found.millimetres
    tool = ToolInPlace(step.number, number, at, operation.tool, measures, found.place) if measures else None
    blamed = met.part if met else operation.between[0].part if fault == "does not hold" else ""
    return tool, fell_short(fault, blamed, figure) if fault else None


def turning_sense(standing: Standing, plan: Plan, operation: Operation, at: SurfaceOf) -> float:
    """Return the sense in which an operation turns a part about the way off its surface, +1 right-handed."""
    surface = standing.surface(at)
    way = standing.place(at.part).direction(surface.direction if surface else (0.0, 0.0, 1.0))
    turn, into = _thread_turn(plan, at.part)
    return sense_about(way, operation.verb not in UNDOING, turn, into)


def _thread_turn(plan: Plan, part: str) -> tuple[float | None, bool]:
    """Return how a move of the plan turns a part about +Z, degrees, and whether it brings it; None where none does."""
    for step in plan.steps:
        for move in step.moves:
            turn = sum(leg.turn_deg for leg in move.legs)
            if part in move.parts and turn:
                return turn, move.into
    return None, True


def _held_against(standing: Standing, plan: Plan, step: Step, block: Operation) -> float:
    """Return in which sense the step's wrench would turn what a block holds, +1 right-handed about its group."""
    held = {s.part for s in block.between}
    for operation in step.operations:
        if operation.verb not in ("tighten", "loosen") or operation.tool not in WRENCHES:
            continue
        for at in operation.on:
            for group in standing.assembly.turning:
                if at.part in group.parts and held & set(group.parts):
                    surface = standing.surface(at)
                    way = standing.place(at.part).direction(surface.direction if surface else group.axis)
                    sense = turning_sense(standing, plan, operation, at)
                    return math.copysign(1.0, sense * float(np.dot(way, group.axis)))
    return 0.0


def _travel(operation: Operation) -> Vec3:
    if operation.towards is None:
        return (0.0, 0.0, 0.0)
    x, y, z = operation.towards
    return (TRAVEL_MM * x, TRAVEL_MM * y, TRAVEL_MM * z)


__all__ = ["find_reach", "turning_sense"]
