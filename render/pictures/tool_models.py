"""Models of tools: the solid of each tool and its measures, meshed once and kept."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from ...geometry.frame import Place
from ...geometry.meshes.tessellation import Mesh, mesh_of_shape
from ...geometry.solid import Solid
from ...sequences.reach.tool_places import ToolInPlace
from ...sequences.work.keys import TaskKey, task_key
from ...sequences.work.store import Store
from ..engine.part_models import MESH_ANGLE_DEG, PartModel, PartModels
from .model_files import models_entry, models_from_entry
from .picture_keys import tools_code

DETAIL_MM = 0.1
"""Tolerance of a tool's mesh."""
ToolMaker = Callable[[str, Mapping[str, float]], Solid]
"""Makes the solid of a tool by its name and measures, mm, own frame."""


class NoToolMaker(LookupError):
    """Tools are to be drawn, and nobody said how they are made."""


def tool_model(
    key: str, tool: ToolInPlace, make: ToolMaker | None = None, store: Store | None = None
) -> PartModel:
    """Return the model of a tool, under ``key``; its mesh is kept in ``store`` for all heads that use such a tool.

    Raises:
        NoToolMaker: if it is not kept and there is nothing to ``make`` it.
        SolidError: if such a tool cannot be made.
        MeshError: if it does not give a closed mesh.
    """
    kept_as = tool_mesh_key(tool)
    entry = store.get(kept_as.digest) if store else None
    if entry is not None:
        try:
            return _model(key, tool, next(iter(models_from_entry("", "", entry))).mesh)
        except (KeyError, ValueError, StopIteration):
            pass
    if make is None:
        raise NoToolMaker(tool.tool)
    model = _model(key, tool, mesh_of_shape(make(tool.tool, dict(tool.measures)), DETAIL_MM, MESH_ANGLE_DEG))
    if store:
        store.put(kept_as.digest, models_entry(PartModels("", {key: model})))
    return model


def keep_tools(tools: Iterable[ToolInPlace], make: ToolMaker, store: Store) -> None:
    """Keep the mesh of each of ``tools``: whoever draws them then need not make solids.

    Raises:
        SolidError, MeshError: as :func:`tool_model`.
    """
    for key, tool in {tool_mesh_key(t).digest: t for t in tools}.items():
        if not store.has(key):
            tool_model("", tool, make, store)


def tool_mesh_key(tool: ToolInPlace) -> TaskKey:
    """Return the key of a tool's mesh: which tool, its measures, and the code that makes it."""
    return task_key("tool", tool=tool.tool, measures=tool.measures, detail=DETAIL_MM, code=tools_code())


def _model(key: str, tool: ToolInPlace, mesh: Mesh) -> PartModel:
    return PartModel(key, tool.tool, tool.tool, "steel", mesh, Place())
