"""The scenes of a film: each step's picture as its booklet has it, and its motion drawn for the film's size.

Both are kept in the store: a film whose words have changed is put together again without anything being drawn.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from io import BytesIO
from typing import TYPE_CHECKING

from ....sequences.own.designs import design_of
from ....sequences.proof.head_work import parts_key
from ....sequences.reach.kept_reach import reach_key, stored_reach, uses_tools
from ....sequences.work.code_hash import code_hash
from ....sequences.work.keys import TaskKey, task_key
from ....sequences.work.tasks import PieceGone
from ...booklets import head_tasks
from ...booklets.booklet_files import fetch_parts
from .film_frames import FilmScene, scene_size

if TYPE_CHECKING:
    from ....render.drawing.settings import PictureSettings
    from ....render.engine.camera import View
    from ....render.pictures.picture_keys import Job, ToolsInPlace
    from ....sequences.reach.tool_places import ToolInPlace
    from ....sequences.steps.plan import Plan, Step
    from ....sequences.work.store import Store
    from ...booklets.head_job import HeadJob

FRAMES = 20
"""Frames of a step's motion: at ten a second, two seconds along its travel."""
WEBP_QUALITY = 95
"""Of a kept frame: what an encoder of films takes away is far more."""
_TIMES = "durations.json"


def known_parts(store: Store, job: HeadJob) -> HeadJob:
    """Return ``job`` with what is known of its parts, made first where the store does not hold it.

    Raises:
        SolidError, OwnPartError, MeshError: as :func:`...booklets.head_tasks.make_solids`.
    """
    key = parts_key(job.work.design).digest
    if not store.has(key):
        head_tasks.make_solids(store, (key,), job.work.row, job.pictures)
    return fetch_parts(store, job)


@dataclass(frozen=True)
class PlanScenes:
    """Gives the scenes of the steps of one plan; what was asked for once is remembered."""

    store: Store
    job: HeadJob
    pictures: Mapping[int, Job]
    film: PictureSettings
    seen: dict[int, FilmScene]

    def __call__(self, number: int) -> FilmScene | None:
        """Return the scene of a step, None where it has no picture.

        Raises:
            NoGraphics: if it is to be drawn and this machine cannot draw.
        """
        if number not in self.pictures:
            return None
        if number not in self.seen:
            self.seen[number] = self._scene(self.pictures[number])
        return self.seen[number]

    def _scene(self, job: Job) -> FilmScene:
        from ....render.pictures.kept_pictures import FILM, kept_picture
        from ....render.pictures.picture_keys import step_key

        step, view, name, changed, tools = job
        key = step_key(_models(self.job), self.job.pictures, step, view, name, changed, tools)
        picture = kept_picture(self.store, key)
        if picture is None:
            head_tasks.take_steps(self.store, (key.digest,), self.job.work.row, self.job.pictures, [job])
            picture = kept_picture(self.store, key)
        if picture is None:
            raise PieceGone("picture")
        still = next(c for ending, c in picture.content.items() if ending != FILM)
        frames, times = self._motion(step, view, tools, moves=picture.manifest.film is not None)
        return FilmScene(still, picture.manifest, frames, times)

    def _motion(
        self, step: Step, view: View, tools: ToolsInPlace, moves: bool
    ) -> tuple[tuple[bytes, ...], tuple[int, ...]]:
        if not moves:
            return (), ()
        key = motion_frames_key(_models(self.job), self.film, step, view, tools).digest
        entry = self.store.get(key)
        if entry is None or _TIMES not in entry:
            entry = self._drawn(step, view, tools)
            self.store.put(key, entry)
        times = tuple(int(ms) for ms in json.loads(entry[_TIMES]))
        return tuple(entry[n] for n in sorted(entry) if n != _TIMES), times

    def _drawn(self, step: Step, view: View, tools: ToolsInPlace) -> dict[str, bytes]:
        from ....render.pictures.step_pictures import draw_film

        studio = head_tasks.studio_at_hand(self.store, self.job.work.row, self.film)
        film = draw_film(studio, step, view, tools)
        if film is None:
            return {_TIMES: b"[]"}
        frames = {}
        for n, image in enumerate(film.images):
            out = BytesIO()
            image.save(out, "WEBP", quality=WEBP_QUALITY, method=0)
            frames[f"{n:04}.webp"] = out.getvalue()
        return {**frames, _TIMES: json.dumps(film.durations_ms).encode()}


def _models(job: HeadJob) -> str:
    from ....render.pictures.picture_keys import models_key

    return models_key(job.work.design.digest, job.pictures.detail).digest


def motion_frames_key(
    models: str, settings: PictureSettings, step: Step, view: View, tools: ToolsInPlace
) -> TaskKey:
    """Return the key of the frames in which a step moves: of all that they show, and no words."""
    from ....render.pictures.picture_keys import LIBRARIES, shown_of, tools_code

    code = code_hash("render.pictures.step_pictures", "site.extras.film.scenes", libraries=LIBRARIES)
    placed = (tools, tools_code()) if tools else ()
    return task_key(
        "picture", models=models, settings=settings, step=shown_of(step), view=view, tools=placed, code=code
    )


def plan_scenes(store: Store, job: HeadJob, plan: Plan, height: int) -> PlanScenes:
    """Return what gives the scenes of ``plan`` for a film of this height, its views and tools found first.

    Raises:
        MeshError, OverlapError: if a solid is not fit for it.
        NoGraphics: if this machine cannot draw.
    """
    from ....render.pictures.picture_keys import kept_views, picture_jobs, views_key

    tools = _tools(store, job, plan)
    key = views_key(_models(job), job.pictures, plan, tools)
    views = kept_views(store, key)
    if views is None:
        head_tasks.take_views(store, (key.digest,), job.work.row, job.pictures, plan, tools)
        views = kept_views(store, key)
    if views is None:
        raise PieceGone("views")
    jobs = {j[0].number: j for j in picture_jobs(plan, views, tools)}
    wide, high = scene_size(height)
    film = replace(job.pictures, film_frames=FRAMES, film_share=wide / job.pictures.width)
    film = replace(film, height=round(job.pictures.width * high / wide))
    return PlanScenes(store, job, jobs, film, {})


def _tools(store: Store, job: HeadJob, plan: Plan) -> Mapping[int, tuple[ToolInPlace, ...]]:
    """Return the tools of a plan by step number."""
    if not uses_tools(plan):
        return {}
    key = reach_key(design_of(job.work.row).digest, plan).digest
    if not store.has(key):
        head_tasks.find_tools(store, (key,), job.work.row, plan)
    reach = stored_reach(store, key)
    if reach is None:
        raise PieceGone("reach")
    return reach.tools
