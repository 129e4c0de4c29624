"""The pieces of work that a head's booklet comes from; a worker runs these, on this machine or another.

Each is a function ``task(store, wanted, ...)`` that puts its results into the store under their keys' digests. A worker
remembers the head and the studio that it worked with last: the next piece is mostly of the same.
"""

from __future__ import annotations

import gc
from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import TYPE_CHECKING

from ...sequences.own.designs import Row, design_of, prove_row, solids_of
from ...sequences.proof.bare_assembly import bare
from ...sequences.steps.plan import Plan
from ...sequences.work.json_data import json_bytes
from ...sequences.work.store import Store
from ...sequences.work.tasks import PieceGone
from .booklet_files import PARTS
from .tool_making import make_tool

if TYPE_CHECKING:
    from ...geometry.assembly import Assembly
    from ...geometry.meshes.closed_bodies import Bodies
    from ...render.composition.pair_views import PairScene
    from ...render.drawing.settings import PictureSettings
    from ...render.engine.part_models import PartModels
    from ...render.pictures.picture_keys import Job
    from ...render.pictures.studio import Studio
    from ...sequences.reach.tool_places import ToolInPlace


def make_solids(store: Store, wanted: tuple[str, ...], row: Row, settings: PictureSettings | None) -> None:
    """Keep what is known of a head without its solids, and its models where pictures of these ``settings`` are due.

    Raises:
        SolidError, OwnPartError: if a part cannot be made.
        MeshError: if a solid does not give a closed mesh.
    """
    head = _head(row)
    if settings is not None:
        _keep_models(store, head, settings)
    store.put(wanted[0], {PARTS: json_bytes(bare(head))})


def prove_sequences(store: Store, wanted: tuple[str, ...], row: Row, plans: Sequence[Plan]) -> None:
    """Keep the evidence of a head's plans, and its rotors' whole turn.

    Raises:
        MeshError, OverlapError: if a solid is not fit for the proof.
    """
    _bodies.clear()  # a proof keeps its own: both would take too much memory
    prove_row(row, _head(row), plans, store)


def find_tools(store: Store, wanted: tuple[str, ...], row: Row, plan: Plan) -> None:
    """Keep where the tools of a plan stand, and the meshes of those that pictures show.

    Raises:
        MeshError, OverlapError: if a solid is not fit for the proof.
    """
    from ...geometry.meshes.closed_bodies import Bodies
    from ...render.pictures.tool_models import keep_tools
    from ...sequences.reach.kept_reach import kept_reach

    head = _head(row)
    if not _bodies or _bodies[0].assembly is not head:
        _bodies[:] = [Bodies(head)]
    reach = kept_reach(head, plan, store, _bodies[0])
    keep_tools((t for tools in reach.tools.values() for t in tools), make_tool, store)


def take_views(
    store: Store,
    wanted: tuple[str, ...],
    row: Row,
    settings: PictureSettings,
    plan: Plan,
    tools: Mapping[int, tuple[ToolInPlace, ...]],
) -> None:
    """Keep the view of each step of a plan, and how the steps move.

    Raises:
        NoGraphics: if this machine cannot draw.
    """
    from ...render.pictures.step_pictures import choose_views
    from ...render.pictures.viewer.step_motion import plan_motion
    from ...render.pictures.viewer.viewer_models import keep_motion, motion_key

    studio = studio_at_hand(store, row, settings)
    views = choose_views(studio, plan, tools)
    key = motion_key(studio.models.digest, settings, plan, tools).digest
    if key in wanted:  # of the scenes that the views were chosen by
        keep_motion(store, key, plan_motion(studio, plan, views, tools))


def make_turning_model(
    store: Store, wanted: tuple[str, ...], row: Row, settings: PictureSettings, motions: Sequence[str]
) -> None:
    """Keep the viewer's model of a head; ``motions`` are the digests under which it is kept how each plan moves.

    Raises:
        PieceGone: if that is not in the store.
    """
    from ...render.pictures.viewer.model_making import make_viewer_model
    from ...render.pictures.viewer.viewer_models import keep_viewer_model, kept_motion

    plans = [kept_motion(store, key) for key in motions]
    moving = [p for p in plans if p is not None]
    if len(moving) < len(plans):
        raise PieceGone("motion")
    models = _models(store, row, design_of(row).digest, settings)
    keep_viewer_model(store, wanted[0], *make_viewer_model(models, moving, make_tool, store))


def take_steps(
    store: Store, wanted: tuple[str, ...], row: Row, settings: PictureSettings, jobs: Sequence[Job]
) -> None:
    """Keep the pictures of steps that follow each other.

    Raises:
        NoGraphics: if this machine cannot draw.
    """
    from ...render.pictures.step_pictures import take_jobs

    for _ in take_jobs(studio_at_hand(store, row, settings), jobs):
        pass


def take_overview(store: Store, wanted: tuple[str, ...], row: Row, settings: PictureSettings) -> None:
    """Keep the exploded overview.

    Raises:
        NoGraphics: if this machine cannot draw.
    """
    from ...render.pictures.overview import render_overview_with

    render_overview_with(studio_at_hand(store, row, settings))


def take_cards(
    store: Store,
    wanted: tuple[str, ...],
    row: Row,
    settings: PictureSettings,
    scenes: Sequence[PairScene],
) -> None:
    """Keep the pairs of pictures of orientation cards.

    Raises:
        NoGraphics: if this machine cannot draw.
    """
    from ...render.pictures.pairs import render_pairs

    studio = studio_at_hand(store, row, settings)
    studio.close()  # pairs are drawn in windows of their own
    for _ in render_pairs(studio.models, scenes, settings, store):
        pass


def put_down() -> None:
    """Let go of what this process remembers of the head that it worked with last."""
    _put_down_studio()
    _put_down_head()


def _head(row: Row) -> Assembly:
    """Return the solids of a head; a studio is put down first: both would take too much memory."""
    _put_down_studio()
    design = _Design(row)
    if _last_design and _last_design != [design.digest]:
        _put_down_head()
    _last_design[:] = [design.digest]
    return _head_made(design)


_last_design: list[str] = []
"""Of the head whose solids are remembered."""
_bodies: list[Bodies] = []
"""Closed bodies of that head, once tools were put to them: its plans are looked at one after the other."""


def _put_down_head() -> None:
    if not _last_design:
        return
    from ...geometry.head.head import forget_solids
    from ...geometry.meshes.tessellation import forget_meshes
    from ...sequences.reach.standing import forget_skins

    _last_design.clear()
    _bodies.clear()
    _head_made.cache_clear()
    forget_solids()
    forget_meshes()
    forget_skins()
    gc.collect()


class _Design:
    """A row, told from others by its design."""

    def __init__(self, row: Row) -> None:
        self.row, self.digest = row, design_of(row).digest

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Design) and self.digest == other.digest

    def __hash__(self) -> int:
        return hash(self.digest)


@lru_cache(maxsize=1)
def _head_made(design: _Design) -> Assembly:
    return solids_of(design.row)


_studios: dict[tuple[str, PictureSettings, str], Studio] = {}
"""The studio that was used last."""


def studio_at_hand(store: Store, row: Row, settings: PictureSettings) -> Studio:
    """Return the studio of a head, its models from the store where they are kept; :func:`put_down` lets go of it."""
    from ...render.pictures.studio import Studio

    design = design_of(row).digest
    at = (design, settings, str(store.folder))
    if at not in _studios:
        _put_down_studio()
        _put_down_head()
        _studios[at] = Studio(_models(store, row, design, settings), settings, store, make_tool)
    return _studios[at]


def _put_down_studio() -> None:
    while _studios:
        _studios.popitem()[1].close()


def _models(store: Store, row: Row, design: str, settings: PictureSettings) -> PartModels:
    from ...render.pictures.model_files import models_from_entry
    from ...render.pictures.picture_keys import models_key

    key = models_key(design, settings.detail).digest
    entry = store.get(key)
    if entry is not None:
        try:
            return models_from_entry(row.tag, key, entry)
        except (KeyError, ValueError):
            pass
    return _keep_models(store, _head(row), settings)


def _keep_models(store: Store, head: Assembly, settings: PictureSettings) -> PartModels:
    from ...render.pictures.model_files import models_entry
    from ...render.pictures.studio import models_of

    models = models_of(head, settings)
    store.put(models.made_from, models_entry(models))
    return models
