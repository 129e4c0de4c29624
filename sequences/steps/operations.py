"""What an act does, as data: by which tool, on which surface, which way, held by what, in which order.

API::

    OperationText  # as a sequence file writes it beside an act, under ``does``
    Operation      # the same in a plan, with the keys of parts; tools, pictures and films are made of it
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema, model_validator

from ...geometry.frame import Vec3
from ..files.faults import any_of
from ..files.file_models import ONE_OR_MANY, FileModel, Text, refuse
from .conditions import When

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
Towards = Literal["+x", "-x", "+y", "-y", "+z", "-z"]
SaidIn = Literal["acts", "look"]
TOOLS_FOR: dict[Verb, tuple[Tool, ...]] = {
    "tighten": ("hand", "torque wrench", "hexagon key socket", "socket wrench", "open wrench"),
    "loosen": ("hand", "hexagon key socket", "socket wrench", "open wrench"),
    "run on": ("hand", "hexagon key socket", "socket wrench", "open wrench"),
    "run off": ("hand", "hexagon key socket", "socket wrench", "open wrench"),
    "turn": ("hand", "open wrench"),
    "hold": ("hand", "soft block", "clamp", "lifting strap", "cloth"),
    "press": ("hand", "clamp", "cloth"),
    "pull": ("hand", "lifting strap"),
    "tap": ("soft-faced mallet",),
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


def _by_part(value: Any) -> Any:
    """Return parts with their surfaces, from a mapping, from one part or from a list of whole parts."""
    words = [value] if isinstance(value, str) else value
    return (
        {w: [] for w in words}
        if isinstance(words, list) and all(isinstance(w, str) for w in words)
        else words
    )


_NAMES = {"anyOf": [{"type": "string"}, {"type": "array", "items": {"type": "string"}}]}
ByPart = Annotated[
    dict[str, Annotated[list[Text], ONE_OR_MANY]],
    BeforeValidator(_by_part),
    WithJsonSchema({"anyOf": [*_NAMES["anyOf"], {"type": "object", "additionalProperties": _NAMES}]}),
]
"""Parts, kinds or bench units by word, with the surfaces that are meant; none for the whole part."""


class OperationText(FileModel):
    """What an act does: by which tool, on which surface, which way, held by what, in which order."""

    do: Verb = Field(description="what is done")
    tool: Tool = Field("hand", description="what it is done with")
    on: ByPart = Field(
        default_factory=dict, description="what it is done to: part, or part with its surfaces"
    )
    between: ByPart = Field(
        default_factory=dict,
        description="the two surfaces that a soft block or a feeler blade stands between",
    )
    towards: Towards | None = Field(None, description="direction of a press, pull, tap or lift, head's frame")
    order: Literal["in turn", "crosswise"] | None = Field(None, description="order of several")
    zone_only: bool = Field(False, description="paint the surface, and draw no tool that would hide it")
    when: When | None = Field(None, description="condition on the head's options")

    @model_validator(mode="after")
    def _can_be_done(self) -> OperationText:
        if self.tool not in TOOLS_FOR[self.do]:
            raise refuse(f"{self.do} with a {self.tool}", f"a tool for it: {any_of(TOOLS_FOR[self.do])}")
        if not self.on and not self.between:
            raise refuse("nothing that it is done to", "on, between or both", "name the part and its surface")
        return self


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
    """Which of the step's acts says it, from 0."""
    zone_only: bool = False
    """Painted, but no tool of it is drawn: the tool would hide what it is about."""
    said_in: SaidIn = "acts"
    """Of which list ``sentence`` counts: the acts, or what is looked at."""
