"""Tools in their places: what pictures draw, and what was found of their reach."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from ...geometry.frame import Place, Vec3
from ..steps.operations import SurfaceOf, Tool

ReachFault = Literal["meets", "no swing", "does not reach", "does not hold", "no surface"]
"""What keeps a tool from its work: it meets a part, has no room to swing, ends short of its surface, bears where it
cannot hold against the turn, or has no such surface to go on."""


@dataclass(frozen=True)
class ToolInPlace:
    """One tool as it stands at its work, in the assembly's frame with the shafts as in the step.

    ``measures`` (mm, by name, sorted) and ``tool`` say which solid it is: what is drawn and what was tried for room are
    the same. Its own frame has its origin where it touches and +Z the way it comes off.
    """

    step: int
    operation: int
    """Which of the step's operations, from 0."""
    at: SurfaceOf
    tool: Tool
    measures: tuple[tuple[str, float], ...]
    place: Place
    swing_deg: float = 0.0
    """How far it turns about its own Z in one pull, right-handed; below 0 the other way; 0 where it does not turn."""
    travel: Vec3 = (0.0, 0.0, 0.0)
    """How far the person moves or pushes it, in the assembly's frame, mm."""
    label: str = ""
    """Its number where several are worked in an order."""


@dataclass(frozen=True)
class ReachFound:
    """A tool that cannot do its work in a step."""

    step: int
    step_id: str
    operation: int
    at: SurfaceOf
    tool: Tool
    fault: ReachFault
    part: str = ""
    """Key of the part that it meets."""
    millimetres: float = 0.0
    """How deep it overlaps, or how far it falls short; degrees of swing where that is what lacks."""


@dataclass(frozen=True)
class PlanReach:
    """What was found of a plan's tools: by step number those in place, and all that fall short."""

    tools: Mapping[int, tuple[ToolInPlace, ...]] = field(default_factory=dict)
    found: tuple[ReachFound, ...] = ()
