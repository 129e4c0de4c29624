"""Puts the viewer's model of an assembly together: looks, packed meshes, all steps of its plans."""

from __future__ import annotations

from collections.abc import Sequence

from ....geometry.meshes.tessellation import Mesh
from ....sequences.work.store import Store
from ...composition.free_springs import FreeSprings
from ...drawing.zone_colours import TINTS, ground_of, ink_of
from ...engine.hatching import hatch_of
from ...engine.light import LIGHTS
from ...engine.material_styles import PartStyle, Role, part_style
from ...engine.part_models import PartModel, PartModels
from ..tool_models import ToolMaker, tool_model
from .mesh_packing import pack_meshes
from .step_motion import pose_of
from .viewer_models import PlanMotion, ViewedGroup, ViewedPart, ViewedTool, ViewerModel, shape_name

CELLS = 80.0
"""Edges are counted in cells of this part of the assembly's extent, as pictures do."""
ROLES: tuple[Role, ...] = ("plain", "context", "moving", "focus", "quiet")
"""How a part may be drawn."""


def make_viewer_model(
    models: PartModels,
    motions: Sequence[PlanMotion],
    make_tool: ToolMaker | None = None,
    store: Store | None = None,
) -> tuple[ViewerModel, bytes]:
    """Return the model of an assembly with all steps of its plans, and its meshes.

    Tools are made by ``make_tool`` where ``store`` does not keep them.

    Raises:
        NoToolMaker, SolidError, MeshError: if a tool is not kept and cannot be made.
    """
    meshes, springs = _Meshes(), FreeSprings(models)
    parts = tuple(_part(m, number, meshes.number(m.mesh)) for number, m in enumerate(models))
    placed = {key: tool for motion in motions for key, tool in motion.tools.items()}
    tools = tuple(
        ViewedTool(key, tool.tool, meshes.number(tool_model(key, tool, make_tool, store).mesh))
        for key, tool in sorted(placed.items())
    )
    steps = tuple(s for motion in motions for s in motion.steps)
    free = {}
    for step in steps:
        for key, out in step.free.items():
            for spring in springs.standing({key: models.parts[key].place}, out):
                free[shape_name(step, key)] = meshes.number(spring.mesh)
    materials = sorted({m.material for m in models})
    styles: dict[str, dict[str, PartStyle]] = {
        role: {m: part_style(role, m) for m in materials} for role in ROLES
    }
    cell_mm = models.extent_mm / CELLS
    heads, content = pack_meshes(meshes.found, cell_mm)
    model = ViewerModel(
        parts,
        tools,
        tuple(ViewedGroup(g.parts, g.about, g.axis, g.ratio) for g in models.turning),
        heads,
        {**styles, "tool": {"": part_style("tool", "")}},
        LIGHTS,
        {t: (ground_of(t), ink_of(t)) for t in TINTS},
        models.up,
        models.front,
        models.extent_mm,
        cell_mm,
        steps,
        free,
    )
    return model, content


def _part(model: PartModel, number: int, mesh: int) -> ViewedPart:
    hatch = hatch_of(model.material, number)
    return ViewedPart(
        model.key,
        model.kind,
        model.material,
        mesh,
        pose_of(model.place),
        hatch.angles_deg,
        hatch.spacing,
    )


class _Meshes:
    """Meshes in the order in which they are first asked for, each once."""

    def __init__(self) -> None:
        self.found: list[Mesh] = []
        self._numbers: dict[int, int] = {}

    def number(self, mesh: Mesh) -> int:
        if id(mesh) not in self._numbers:
            self._numbers[id(mesh)] = len(self.found)
            self.found.append(mesh)
        return self._numbers[id(mesh)]
