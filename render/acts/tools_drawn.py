"""Tools of a step as they are drawn: which of them, where, and what is written at parts that go in an order."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
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


def tool_key(tool: ToolInPlace, number: int = 0) -> str:
    """Return the key of a tool: equal for equal tools of one ``number``, how many of them stand there before it."""
    measures = ",".join(f"{name}={value:.4f}" for name, value in tool.measures)
    return f"{PREFIX}{tool.tool}:{measures}:{number}"


def tools_drawn(
    tools: Sequence[ToolInPlace], operations: Sequence[Operation], carried: Carried
) -> tuple[ToolDrawn, ...]:
    """Return the tools of a step that are drawn, of each operation the first; none that would hide its own work."""
    found: list[ToolDrawn] = []
    for tool in tools:
        hidden = tool.operation < len(operations) and operations[tool.operation].zone_only
        by = carried(tool.at.part)
        if hidden or by is None or tool.label not in FIRST:
            continue
        number = sum(d.key.rpartition(":")[0] == tool_key(tool).rpartition(":")[0] for d in found)
        found.append(ToolDrawn(tool_key(tool, number), tool, by @ tool.place, by.direction(tool.travel)))
    return tuple(found)


def order_marks(tools: Iterable[ToolInPlace], carried: Carried) -> tuple[OrderMark, ...]:
    """Return the numbers of parts that go in an order, each at the surface that is worked."""
    found: dict[tuple[str, str], OrderMark] = {}
    for tool in tools:
        by = carried(tool.at.part)
        if tool.label and by is not None:
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
