"""Review what the pictures of whole heads show, as measured: nothing is drawn, which saves most of the time."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from functools import cache

import numpy as np
from benchleaf.geometry.head.head import Head
from benchleaf.geometry.tools.tool_solids import make_tool
from benchleaf.render.drawing.manifest import Manifest
from benchleaf.render.drawing.review import review_acts, review_pictures
from benchleaf.render.drawing.settings import PictureSettings
from benchleaf.render.engine.camera import Camera
from benchleaf.render.engine.depth_layers import Pane, Pixels
from benchleaf.render.engine.stage import Stage
from benchleaf.render.pictures.picture_keys import NO_TOOLS, Tools
from benchleaf.render.pictures.step_pictures import Studio, choose_views, render_step
from benchleaf.sequences.steps.plan import Plan
from benchleaf.sequences.steps.resolve import resolve
from benchleaf.sequences.steps.sequence_file import Sequence, load_sequence
from benchleaf.site.pages.booklet import make_parts_list
from benchleaf.site.pages.callouts import review_callouts
from benchleaf.site.pages.picture_views import Items, step_picture_view
from benchleaf.site.words.catalogue import load_words
from numpy.typing import NDArray

SEQUENCES = ("assembly", "disassembly", "inspection")
MEASURED = PictureSettings(supersample=1, contact_shading=False, formats=(), film_frames=0)
"""The settings of a booklet in all that layout and measuring depend on."""


class BlankStage(Stage):
    """A stage that measures as ever and hands out blank paper."""

    def draw(self, shown: object, camera: object, size: tuple[int, int] | None = None, *_: object) -> Pixels:
        """Return blank paper."""
        return self._blank(*(size or (self.width, self.height)))

    def start(
        self, shown: object, camera: object, size: object, box: Pane, *_: object
    ) -> Callable[[], Pixels]:
        """Begin with nothing."""
        return lambda: self._blank(box[2] - box[0], box[3] - box[1])

    def near_mm(self, camera: Camera, height: int, box: Pane) -> NDArray[np.float32]:
        """Return a nearness at which nothing is: nothing is painted."""
        return np.full((box[3] - box[1], box[2] - box[0]), -1e6, dtype=np.float32)

    def _blank(self, width: int, height: int) -> Pixels:
        return np.full((height * self.supersample, width * self.supersample, 3), 255, dtype=np.uint8)


class MeasuringStudio(Studio):
    """A studio with a blank stage."""

    def make_stage(self) -> Stage:
        """Return a stage on which nothing is drawn."""
        s = self.settings
        return BlankStage(self.models, s.width, s.height, s.supersample)


def plans_of(head: Head, names: Iterable[str] = SEQUENCES) -> list[Plan]:
    """Return the shipped sequences over a head."""
    kinds = {p.key: p.kind for p in head}
    return [resolve(_sequence(n), head.options, kinds, assembly=head.name) for n in names]


@cache
def _sequence(name: str) -> Sequence:
    return load_sequence(name)


@contextmanager
def measuring(head: Head) -> Iterator[MeasuringStudio]:
    """Give a studio that measures a head's pictures."""
    with MeasuringStudio(head, MEASURED) as studio:
        yield studio


def manifests(studio: Studio, plan: Plan, tools: Tools = NO_TOOLS) -> list[Manifest]:
    """Return the manifest of each step's picture, with the plan's tools."""
    views = choose_views(studio, plan, tools)
    return [
        render_step(
            studio, step, view, step.id, n > 0 and view != views[n - 1], tools.get(step.number, ())
        ).manifest
        for n, (step, view) in enumerate(zip(plan.steps, views, strict=True))
    ]


def act_shortcomings(head: Head, plan: Plan, tools: Tools) -> list[str]:
    """Return what the pictures of a plan fail to show of its acts: zones, and its tools in place."""
    with MeasuringStudio(head, MEASURED, None, make_tool) as studio:
        return [str(s) for s in review_acts(manifests(studio, plan, tools))]


def shortcomings(
    head: Head, plans: Iterable[Plan], tools_of: Callable[[Plan], Tools] | None = None
) -> dict[str, list[str]]:
    """Return what the pictures of each plan fail to show, callouts at every page width among it.

    With ``tools_of`` they have their tools, and zones and tools are reviewed too.
    """
    words = load_words()
    items = Items(head, make_parts_list(head, words))
    found = {}
    with MeasuringStudio(head, MEASURED, None, make_tool) as studio:
        for plan in plans:
            seen = manifests(studio, plan, tools_of(plan) if tools_of else NO_TOOLS)
            said = [str(s) for s in review_pictures(seen)]
            said += [str(s) for s in review_acts(seen)] if tools_of else []
            for manifest, step in zip(seen, plan.steps, strict=True):
                named = replace(manifest, files={"webp": f"{step.id}.webp"})
                figure = step_picture_view(named, step, items, words)
                said += [str(s) for s in review_callouts(step.id, figure.overlays)]
            found[plan.sequence] = said
    return found
