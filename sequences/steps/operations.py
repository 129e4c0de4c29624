"""What an act does, as data: by which tool, on which surface, which way, held by what, in which order.

API::

    Operation      # in a plan, with the keys of parts; tools, pictures and films are made of it
    TOOLS_FOR      # what each verb can be done with

As a sequence file writes it beside an act, under ``does``: :class:`.sequence_form.OperationText`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from ...geometry.frame import Vec3

Verb = Literal[
    "tighten",
    "loosen",
    "run on",
    "run off",
    "turn",
    "hold",
    "press",
    "pull",
    "tap",
    "lift",
    "pick out",
    "lay on",
    "measure",
    "clean",
    "blow out",
    "lubricate",
    "anti-seize",
    "dress",
    "look",
    "feel",
]
"""What is done. From ``measure`` on it also says how the surfaces are painted in the picture."""
Tool = Literal[
    "hand",
    "torque wrench",
    "hexagon key socket",
    "socket wrench",
    "open wrench",
    "soft block",
    "soft-faced mallet",
    "straightedge",
    "feeler blade",
    "dial indicator",
    "depth gauge",
    "caliper",
    "flat plate",
    "o-ring pick",
    "air gun",
    "swab",
    "cloth",
    "brush",
    "oil stone",
    "lamp",
    "lifting strap",
    "clamp",
]
"""What it is done with; ``hand`` is drawn as no tool."""
Order = Literal["", "in turn", "crosswise"]
SaidIn = Literal["acts", "look", "measure"]
TOOLS_FOR: dict[Verb, tuple[Tool, ...]] = {
    "tighten": ("hand", "torque wrench", "hexagon key socket", "socket wrench", "open wrench"),
    "loosen": ("hand", "hexagon key socket", "socket wrench", "open wrench"),
    "run on": ("hand", "hexagon key socket", "socket wrench", "open wrench"),
    "run off": ("hand", "hexagon key socket", "socket wrench", "open wrench"),
    "turn": ("hand", "open wrench"),
    "hold": ("hand", "soft block", "clamp", "lifting strap", "cloth"),
    "press": ("hand", "clamp", "cloth", "o-ring pick"),
    "pull": ("hand", "lifting strap"),
    "tap": ("hand", "soft-faced mallet"),
    "lift": ("hand", "lifting strap"),
    "pick out": ("hand", "o-ring pick"),
    "lay on": ("hand", "straightedge", "flat plate", "cloth"),
    "measure": (
        "hand",
        "straightedge",
        "feeler blade",
        "dial indicator",
        "depth gauge",
        "caliper",
        "flat plate",
    ),
    "clean": ("hand", "cloth", "swab", "brush"),
    "blow out": ("air gun",),
    "lubricate": ("hand", "cloth", "swab", "brush"),
    "anti-seize": ("hand", "brush"),
    "dress": ("oil stone",),
    "look": ("hand", "lamp"),
    "feel": ("hand", "swab"),
}
"""Tools that each verb can be done with."""


@dataclass(frozen=True)
class SurfaceOf:
    """A surface of one part: ``surface`` is the name it has there, empty for the whole part."""

    part: str
    surface: str = ""


@dataclass(frozen=True)
class Operation:
    """One thing that a person does in a step.

    ``on`` are the surfaces it is done to, one after the other in ``order``; ``between`` the two surfaces that a soft
    block or a feeler blade stands between. ``towards`` is the direction of a press, pull, tap or lift in the head's
    frame, None where the surface's own direction says it.
    """

    verb: Verb
    tool: Tool = "hand"
    on: tuple[SurfaceOf, ...] = ()
    between: tuple[SurfaceOf, ...] = ()
    towards: Vec3 | None = None
    order: Order = ""
    sentence: int = 0
    """Which of the step's acts says it, from 0; of another list where :attr:`said_in` says so."""
    zone_only: bool = False
    """Painted, but no tool of it is drawn: the tool would hide what it is about."""
    said_in: SaidIn = "acts"
    """Of which list ``sentence`` counts: the acts, what is looked at, or the readings."""
