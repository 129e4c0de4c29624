"""What pictures are kept under: keys of all that each of them depends on, told apart by name.

Nothing here draws: whoever wants to know whether a picture is there need not load what draws it.
"""

from __future__ import annotations

import json
from collections.abc import Hashable, Iterable, Iterator, Mapping
from dataclasses import replace
from types import MappingProxyType

from ...sequences.reach.tool_places import ToolInPlace
from ...sequences.steps.plan import Plan, Step
from ...sequences.work.code_hash import code_hash
from ...sequences.work.keys import TaskKey, digest_of, task_key
from ...sequences.work.store import Store
from ..composition.pair_views import PairScene
from ..drawing.settings import PictureSettings
from ..engine.camera import View

DRAWING = tuple(f"render.pictures.{name}" for name in ("step_pictures", "overview", "pairs"))
"""Whose code pictures rest on."""
MESHING = ("render.engine.part_models", "render.pictures.model_files")
"""Whose code models rest on."""
TOOLS = ("geometry.tools.tool_solids", "geometry.meshes.tessellation")
"""Whose code tools rest on, besides."""
SIZE = (1040, 780)
"""Pixels of the pictures of a pair, where step pictures have their usual size."""
LIBRARIES = ("cadquery-ocp", "vtk", "numpy", "pillow")


def models_key(made_from: str, detail: float) -> TaskKey:
    """Return the key of an assembly's models: what its solids were made from, and how finely they are meshed."""
    code = code_hash(*MESHING, libraries=LIBRARIES)
    return task_key("models", solids=made_from, detail=detail, code=code)


def picture_key(kind: str, models: str, settings: PictureSettings, **inputs: object) -> TaskKey:
    """Return the key of what is drawn of models (by their digest); ``inputs`` is all else that it depends on."""
    code = code_hash(*DRAWING, libraries=LIBRARIES)
    return task_key(kind, models=models, settings=settings, code=code, **inputs)


ToolsInPlace = tuple[ToolInPlace, ...]
"""The tools of one step."""
Tools = Mapping[int, ToolsInPlace]
"""The tools of a plan, by step number."""
NO_TOOLS: Tools = MappingProxyType({})


def step_key(
    models: str,
    settings: PictureSettings,
    step: Step,
    view: View,
    name: str,
    view_changed: bool,
    tools: ToolsInPlace = (),
) -> TaskKey:
    """Return the key of a step's picture with its film."""
    return picture_key(
        "picture",
        models,
        settings,
        step=shown_of(step),
        view=view,
        files=name,
        view_changed=view_changed,
        tools=_placed(tools),
    )


def views_key(models: str, settings: PictureSettings, plan: Plan, tools: Tools = NO_TOOLS) -> TaskKey:
    """Return the key of the views of all steps of a plan."""
    placed = [_placed(tools.get(s.number, ())) for s in plan.steps]
    return picture_key("views", models, settings, steps=[shown_of(s) for s in plan.steps], tools=placed)


def tools_code() -> str:
    """Return the hash of the code that tools' solids and meshes rest on."""
    return code_hash(*TOOLS, libraries=LIBRARIES)


def _placed(tools: ToolsInPlace) -> tuple[object, ...]:
    """Return what of a picture depends on its tools, nothing where it has none."""
    return (tools, tools_code()) if tools else ()


Job = tuple[Step, View, str, bool, ToolsInPlace]
"""A step's picture to take: step, view, name of its files, whether the view is another than that of the step before,
tools in place."""


def picture_jobs(plan: Plan, views: Iterable[View], tools: Tools = NO_TOOLS) -> Iterator[Job]:
    """Yield what is to be taken of a plan, each as soon as its view is there."""
    before: View | None = None
    for step, view in zip(plan.steps, views, strict=True):
        changed = before is not None and view != before
        yield step, view, f"{plan.sequence}-{step.number:02d}", changed, tools.get(step.number, ())
        before = view


def kept_views(store: Store, key: TaskKey) -> tuple[View, ...] | None:
    """Return the views kept under ``key``, None where there are none."""
    entry = store.get(key.digest)
    if entry is None:
        return None
    found = json.loads(entry["views"])
    return tuple(View(name, (dx, dy, dz), (ux, uy, uz)) for name, (dx, dy, dz), (ux, uy, uz) in found)


def kept_likeness(store: Store, key: TaskKey) -> tuple[str, ...] | None:
    """Return for each step under ``key`` what tells which steps show the same, None where there is nothing."""
    entry = store.get(key.digest)
    return None if entry is None else tuple(json.loads(entry["likeness"]))


def keep_views(store: Store, key: TaskKey, views: Iterable[View], likeness: Iterable[Hashable]) -> None:
    """Keep the views of a plan's steps, and which of them show the same."""
    seen = json.dumps([(v.name, v.direction, v.up) for v in views]).encode()
    alike = json.dumps([digest_of(x) for x in likeness]).encode()
    store.put(key.digest, {"views": seen, "likeness": alike})


def overview_key(
    models: str, settings: PictureSettings, name: str, together: tuple[str, ...] = ()
) -> TaskKey:
    """Return the key of an exploded overview."""
    return picture_key("overview", models, settings, files=name, together=together)


def pair_settings(settings: PictureSettings) -> PictureSettings:
    """Return the settings of pairs beside step pictures of ``settings``."""
    share = settings.width / PictureSettings().width
    return replace(settings, width=round(SIZE[0] * share), height=round(SIZE[1] * share))


def pair_keys(models: str, settings: PictureSettings, scene: PairScene) -> tuple[TaskKey, TaskKey]:
    """Return the keys of the right and the wrong picture of a pair, beside step pictures of ``settings``."""
    shown = (
        scene.name,
        scene.step,
        scene.number,
        *(tuple(places.items()) for places in (scene.right, scene.wrong, scene.around)),
        scene.second,
        scene.out,
        scene.free,
        scene.opened,
        scene.links,
        scene.wrong_material,
    )
    small = pair_settings(settings)
    right = picture_key("card", models, small, scene=shown, which="right")
    return right, picture_key("card", models, small, scene=shown, which="wrong")


def shown_of(step: Step) -> tuple[object, ...]:
    """Return all of ``step`` that its picture depends on."""
    return (
        step.number,
        step.id,
        step.section,
        step.present,
        step.moves,
        step.bench,
        step.up,
        step.focus,
        step.shaft_angle_deg,
        step.shaft_turn_deg,
        step.operations,
    )
