"""The viewer's model of an assembly as data: parts and tools with their looks, heads of packed meshes, how each step
moves; and what it is kept under.

Nothing here makes it, so that pages need not load what does: see :mod:`.step_motion` and :mod:`.model_making`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Literal

from ....geometry.frame import Vec3
from ....geometry.surfaces import EVERYWHERE, FAR_MM, Range
from ....sequences.reach.tool_places import ToolInPlace
from ....sequences.steps.plan import Plan
from ....sequences.work.code_hash import code_hash
from ....sequences.work.json_data import from_json, json_bytes
from ....sequences.work.keys import TaskKey, task_key
from ....sequences.work.store import Store
from ...drawing.manifest import Treatment
from ...drawing.settings import PictureSettings
from ...engine.material_styles import PartStyle, Rgb
from ..picture_keys import LIBRARIES, NO_TOOLS, Tools, tools_code, views_key
from .mesh_packing import PackedMesh

CODE = ("render.pictures.viewer.model_making", "render.pictures.viewer.step_motion")
"""Whose code a model rests on."""
MODEL, MESHES, MOTION = "model.json", "meshes.bin", "motion.json"
"""Names of the contents of an entry."""


Unrolled = Literal["whole", "wall", "flat", "round"]
Pose = tuple[float, float, float, float, float, float, float]
"""A place as the viewer has it: shift in mm, then the turn as a unit quaternion x, y, z, w."""


@dataclass(frozen=True)
class Track:
    """The travel of one part: where it is after which shares of its act's time, in between straight on."""

    part: str
    shares: tuple[float, ...]
    poses: tuple[Pose, ...]


@dataclass(frozen=True)
class PlacedTool:
    """A tool at its work, by its key on the stage: ``pose`` as the picture has it, on the part that it goes along with.

    It is then turned by ``swing_deg`` about its own Z, right-handed, and pushed by ``push_mm``.
    """

    key: str
    part: str
    pose: Pose
    swing_deg: float = 0.0
    push_mm: Vec3 = (0.0, 0.0, 0.0)


@dataclass(frozen=True)
class PaintedZone:
    """A surface that is painted for a ``treatment``, in the part's own frame, mm; its bounds are those of
    :class:`Surface`, so much wider as a mesh of it asks for.

    ``unrolled`` says how the pattern lies on it: all over the part, slanted over a wall, square to the axis, or round
    it at ``round_mm``; ``narrow_mm`` is how narrow it is. A ``faced`` one looks the way of its axis.
    """

    part: str
    treatment: Treatment
    unrolled: Unrolled
    axes: tuple[Vec3, Vec3, Vec3] = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
    origin: Vec3 = (0.0, 0.0, 0.0)
    radius_mm: Range = EVERYWHERE
    along_mm: Range = (-FAR_MM, FAR_MM)
    half_deg: float = 180.0
    drawn_mm: float = 0.0
    round_mm: float = 0.0
    narrow_mm: float = 1.0
    faced: bool = False


@dataclass(frozen=True)
class StepMotion:
    """One step; parts and tools by their keys.

    The step is played in this order: tools that loosen are pulled, parts travel act by act, tools that tighten are
    pulled, the shafts turn.
    """

    sequence: str
    number: int
    direction: Vec3
    """From the parts to the eye."""
    up: Vec3
    parts: tuple[str, ...]
    """All that is there, what travels too."""
    poses: Mapping[str, Pose]
    """Of those that stand elsewhere than in the assembly with its shafts at the mark."""
    moving: tuple[str, ...] = ()
    focus: tuple[str, ...] = ()
    quiet: tuple[str, ...] = ()
    acts: tuple[tuple[Track, ...], ...] = ()
    """Travels one after the other; those of one act at the same time."""
    into: bool = True
    """Whether parts come to their place, or leave it."""
    tools: tuple[PlacedTool, ...] = ()
    turn_deg: float = 0.0
    """How far the driving shaft is turned at the end."""
    zones: tuple[PaintedZone, ...] = ()
    free: Mapping[str, Vec3] = field(default_factory=dict)
    """Springs that nothing presses, each with the direction off its seat."""


@dataclass(frozen=True)
class PlanMotion:
    """How the steps of a plan move, and their tools by their keys."""

    steps: tuple[StepMotion, ...]
    tools: Mapping[str, ToolInPlace]


@dataclass(frozen=True)
class ViewedPart:
    """One part: the number of its mesh, its place with the shafts at their mark, how it is hatched where it is cut."""

    key: str
    kind: str
    material: str
    mesh: int
    pose: Pose
    hatch_deg: tuple[float, ...]
    hatch_spacing: float


@dataclass(frozen=True)
class ViewedTool:
    """A tool: its key, its name and the number of its mesh."""

    key: str
    tool: str
    mesh: int


@dataclass(frozen=True)
class ViewedGroup:
    """Parts that turn as one with the driving shaft, ``ratio`` times as far; as :class:`TurningGroup`."""

    parts: tuple[str, ...]
    about: Vec3
    axis: Vec3
    ratio: float


@dataclass(frozen=True)
class ViewerModel:
    """All that the viewer knows of an assembly but its meshes and words."""

    parts: tuple[ViewedPart, ...]
    tools: tuple[ViewedTool, ...]
    groups: tuple[ViewedGroup, ...]
    meshes: tuple[PackedMesh, ...]
    styles: Mapping[str, Mapping[str, PartStyle]]
    """Looks by role and material; those of tools under ``tool``."""
    lights: tuple[tuple[float, float, float, float], ...]
    tints: Mapping[Treatment, tuple[Rgb, Rgb]]
    """Ground and ink of what is painted for each treatment."""
    up: Vec3
    front: Vec3
    extent_mm: float
    cell_mm: float
    steps: tuple[StepMotion, ...]
    shapes: Mapping[str, int]
    """Numbers of the meshes of springs that nothing presses, by :func:`shape_name`."""


def motion_key(models: str, settings: PictureSettings, plan: Plan, tools: Tools = NO_TOOLS) -> TaskKey:
    """Return the key of how the steps of a plan move: of all that their views depend on, and of the code."""
    views = views_key(models, settings, plan, tools).digest
    return task_key("motion", views=views, sequence=plan.sequence, code=_code())


def viewer_key(models: str, motions: Iterable[TaskKey]) -> TaskKey:
    """Return the key of a model: of the pictures' own models (by their digest), and of how the steps move."""
    steps = [key.digest for key in motions]
    return task_key("viewer", models=models, steps=steps, tools=tools_code(), code=_code())


def _code() -> str:
    return code_hash(*CODE, libraries=LIBRARIES)


def keep_motion(store: Store, key: str, motion: PlanMotion) -> None:
    """Keep how a plan moves under the digest of its key."""
    store.put(key, {MOTION: json_bytes(motion)})


def kept_motion(store: Store, key: str) -> PlanMotion | None:
    """Return how a plan moves, kept under the digest of a key; None where it is not there, or is damaged."""
    entry = store.get(key)
    try:
        return None if entry is None else from_json(PlanMotion, entry[MOTION])
    except (KeyError, ValueError):
        return None


def shape_name(step: StepMotion, part: str) -> str:
    """Return the name under which a model has the shape of a part of its own in a step."""
    return f"{step.sequence} {step.number} {part}"


def keep_viewer_model(store: Store, key: str, model: ViewerModel, meshes: bytes) -> None:
    """Keep a model under the digest of its key."""
    store.put(key, {MODEL: json_bytes(model), MESHES: meshes})


def kept_viewer_model(store: Store, key: str) -> tuple[ViewerModel, bytes] | None:
    """Return the model kept under the digest of a key; None where there is none, or it is damaged."""
    entry = store.get(key)
    try:
        return None if entry is None else (from_json(ViewerModel, entry[MODEL]), entry[MESHES])
    except (KeyError, ValueError):
        return None
