"""Tools of a step as they are drawn: which of them, where, and what is written at parts that go in an order."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from ...geometry.frame import Floats, Place, Vec3
from ...sequences.reach.tool_places import ToolInPlace
from ...sequences.steps.operations import Operation
from ..drawing.manifest import OrderSeen, ToolSeen
from ..engine.camera import Camera
from ..engine.grid import Ids
from ..engine.part_models import PartModels

PREFIX = "tool:"
"""With which the keys of tools begin; no part's does."""
NEAR = 0.3
"""A picture holds what of a tool is nearer to its contact than this share of the assembly's extent: the rest of a long
handle may leave the frame."""
CONTACT = 0.05
"""What of a tool is this near to where it touches, as a share of the picture's width, shows its contact."""
MOST_TOOLS = 2
"""More tools than these in one picture hide each other and the work."""
RUBBING = frozenset({"cloth", "swab", "brush", "oil stone", "lamp", "air gun"})
"""What goes over a painted surface: drawn where nothing else is, and where the surface is not hidden by it."""
HIDES = 1.5
"""Such a tool hides a surface that reaches less far than this share of the tool."""
MOVING_VERBS = frozenset(
    {"tighten", "loosen", "run on", "run off", "hold", "press", "pull", "tap", "lift", "pick out"}
)
"""What is done with a tool while parts are on their way."""
ORDERED = frozenset({"tighten", "loosen", "run on", "run off"})
"""What is done to parts in an order that is numbered in the picture."""
FIRST = ("", "1")
"""Numbers of the tools that are drawn: where several parts go in an order, the first."""


@dataclass(frozen=True)
class ToolDrawn:
    """A tool in a picture: its key on the stage, how it stands at its work, and where it is drawn."""

    key: str
    tool: ToolInPlace
    place: Place
    travel: Vec3
    """How far it is pushed, as drawn, mm."""

    @property
    def axis(self) -> Floats:
        """The way it comes off the work, about which it turns, (3,)."""
        return np.array(self.place.direction((0.0, 0.0, 1.0)))

    @property
    def swings(self) -> bool:
        """Whether it turns."""
        return self.tool.swing_deg != 0.0

    @property
    def moves(self) -> bool:
        """Whether it turns or is pushed."""
        return self.swings or any(self.travel)

    def placed_after(self, share: float) -> Place:
        """Return where it is after ``share`` (0 to 1) of its pull or push."""
        pushed = self.place.moved(*(share * c for c in self.travel))
        return pushed @ Place.turn(share * self.tool.swing_deg)


@dataclass(frozen=True)
class OrderMark:
    """The number of a part that goes in an order, and the point at which it is written, mm."""

    label: str
    part: str
    point: Vec3


Carried = Callable[[str], Place | None]
"""What takes a part from where it stands on the assembly to where it is drawn; None where it is not drawn."""


def tool_key(tool: ToolInPlace) -> str:
    """Return the key of a tool, equal for equal tools; a picture shows one of each kind."""
    measures = ",".join(f"{name}={value:.4f}" for name, value in tool.measures)
    return f"{PREFIX}{tool.tool}:{measures}"


def chosen_tools(
    tools: Iterable[ToolInPlace], operations: Sequence[Operation], moving: Collection[str], towards: Vec3
) -> list[ToolInPlace]:
    """Return the tools of a step that its picture may show, those that do its work first.

    Of each kind one: that which comes off its work most ``towards`` the reader, of parts that go in an order the
    first; of two at one place that which tightens or loosens. Where parts are ``moving``, only what moves or holds
    them: what is measured or looked at afterwards is not there yet.
    """
    best: dict[str, tuple[float, ToolInPlace]] = {}
    for tool in tools:
        operation = operations[tool.operation]
        verb = operation.verb
        if operation.zone_only or tool.label not in FIRST or (moving and verb not in MOVING_VERBS):
            continue
        facing = float(np.array(tool.place.direction((0.0, 0.0, 1.0))) @ np.array(towards))
        if tool.tool not in best or facing > best[tool.tool][0] + 1e-6:
            best[tool.tool] = facing, tool
    found = [tool for _, tool in best.values()]
    turning = {t.at.part for t in found if operations[t.operation].verb in ("tighten", "loosen")}
    kept = [
        t
        for t in found
        if t.at.part not in turning or operations[t.operation].verb not in ("run on", "run off")
    ]
    return sorted(kept, key=lambda t: t.tool in RUBBING)


def laid_tools(
    tools: Iterable[ToolInPlace], operations: Sequence[Operation], moving: Collection[str]
) -> list[ToolInPlace]:
    """Return the tools that are laid on parts on their way, such as a straightedge that tells two sides apart."""
    found = {t.tool: t for t in tools if t.at.part in moving and operations[t.operation].verb == "lay on"}
    return list(found.values())


def drawn_tool(
    tool: ToolInPlace, operations: Sequence[Operation], carried: Carried, gap_mm: float
) -> ToolDrawn:
    """Return a tool as it is drawn, along with its part; what presses or taps that on its way is ``gap_mm`` off it."""
    by = carried(tool.at.part) or Place()
    place = by @ tool.place
    if gap_mm and operations[tool.operation].verb in ("press", "tap"):
        off = gap_mm * np.array(place.direction((0.0, 0.0, 1.0)))
        place = place.moved(*off.tolist())
    return ToolDrawn(tool_key(tool), tool, place, by.direction(tool.travel))


def order_marks(
    tools: Iterable[ToolInPlace], operations: Sequence[Operation], carried: Carried
) -> tuple[OrderMark, ...]:
    """Return the numbers of parts that are tightened or loosened in an order, each at the surface that is worked."""
    found: dict[tuple[str, str], OrderMark] = {}
    for tool in tools:
        by = carried(tool.at.part)
        if tool.label and by is not None and operations[tool.operation].verb in ORDERED:
            mark = OrderMark(tool.label, tool.at.part, by.point(tool.place.shift))
            found.setdefault((mark.label, mark.part), mark)
    return tuple(found.values())


def tool_points(models: PartModels, tools: Sequence[ToolDrawn], near: float = NEAR) -> Floats:
    """Return points (n, 3) mm of tools that a picture has to hold, as they stand and after their pull or push.

    ``near`` as in :func:`near_points`.
    """
    poses = [{d.key: d.placed_after(share) for d in tools} for share in (0.0, 0.5, 1.0)]
    return np.concatenate([near_points(models, pose, near) for pose in poses])


def near_points(models: PartModels, places: Mapping[str, Place], near: float = NEAR) -> Floats:
    """Return points (n, 3) mm of the tools in ``places`` that a picture has to hold: what is near to where they touch.

    ``near`` is how near, as a share of the assembly's extent.
    """
    reach = near * models.extent_mm
    kept = [np.empty((0, 3))]
    for key, place in places.items():
        own = models.tools[key].mesh.extreme_points
        away = np.linalg.norm(own, axis=1)
        share = np.minimum(1.0, reach / np.maximum(away, 1e-9))
        kept.append(place.points(own * share[:, None]))
    return np.concatenate(kept)


def tools_seen(ids: Ids, tools: Iterable[ToolDrawn], camera: Camera) -> tuple[ToolSeen, ...]:
    """Return the manifest's account of the tools in a picture."""
    found = []
    height, width = ids.part.shape
    for drawn in tools:
        rows, columns = np.nonzero(ids.mask([drawn.key]))
        x, y, _ = camera.project(np.array(drawn.place.shift))[0].tolist()
        away = np.hypot((columns + 0.5) / width - x, ((rows + 0.5) / height - y) / camera.aspect)
        box = None
        if len(rows):
            box = (
                float(columns.min() / width),
                float(rows.min() / height),
                float((columns.max() + 1) / width),
                float((rows.max() + 1) / height),
            )
        tool = drawn.tool
        found.append(
            ToolSeen(
                tool.tool,
                tool.at.part,
                tool.at.surface,
                (x, y),
                len(rows),
                int((away < CONTACT).sum()),
                box,
                tool.swing_deg,
                drawn.travel,
            )
        )
    return tuple(found)


def order_seen(marks: Iterable[OrderMark], camera: Camera) -> tuple[OrderSeen, ...]:
    """Return the manifest's account of the numbers in a picture, of those whose parts are in its frame."""
    found = []
    for mark in marks:
        x, y, _ = camera.project(np.array(mark.point))[0].tolist()
        if 0.0 <= x <= 1.0 and 0.0 <= y <= 1.0:
            found.append(OrderSeen(mark.label, mark.part, (x, y)))
    return tuple(found)


def turned(tools: Iterable[ToolDrawn], share: float) -> Mapping[str, Place]:
    """Return where each tool that moves is after ``share`` (0 to 1) of its pull or push, by key."""
    return {d.key: d.placed_after(share) for d in tools if d.moves}


def moved_by(drawn: ToolDrawn, by: Place) -> ToolDrawn:
    """Return a tool carried along by what its part does."""
    return replace(drawn, place=by @ drawn.place, travel=by.direction(drawn.travel))
