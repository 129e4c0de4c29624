"""The studio: one assembly's models, their stage, what stands where in a step, and the cache of pictures taken."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from itertools import combinations
from pathlib import Path
from typing import Self

import numpy as np

from ...geometry.assembly import Assembly
from ...geometry.frame import Floats, Place, Vec3, unit
from ...sequences.steps.plan import Step
from ..composition.bench_layout import arrange_parts, arrange_units
from ..composition.drawn_travel import DrawnTravel, Neighbours, drawn_travels
from ..composition.views import ShaftTurn, StepScene
from ..drawing.manifest import CameraSeen, Manifest
from ..drawing.settings import PictureSettings
from ..engine.camera import Camera
from ..engine.part_models import PartModels, make_part_models
from ..engine.stage import Stage
from .picture_cache import PictureCache, digest

FILM = "film"
"""Under which a picture's content holds its short film."""


@dataclass(frozen=True)
class Picture:
    """A finished picture: its manifest and its files' content, format (or :data:`FILM`) to bytes."""

    manifest: Manifest
    content: Mapping[str, bytes]

    def write(self, folder: Path) -> None:
        """Write the picture's files, its film and its manifest (``name.json``) into ``folder``."""
        folder.mkdir(parents=True, exist_ok=True)
        for ending, name in self.manifest.files.items():
            (folder / name).write_bytes(self.content[ending])
        if self.manifest.film is not None:
            (folder / self.manifest.film.file).write_bytes(self.content[FILM])
        stem = Path(next(iter(self.manifest.files.values()))).stem
        (folder / f"{stem}.json").write_text(self.manifest.as_json(), encoding="utf-8")

    def as_entry(self) -> dict[str, bytes]:
        """Return the picture as an entry of a :class:`.picture_cache.PictureCache`."""
        return {**self.content, "manifest": self.manifest.as_json().encode()}

    @classmethod
    def from_entry(cls, entry: Mapping[str, bytes]) -> Picture:
        """Return the picture of :meth:`as_entry`."""
        content = dict(entry)
        manifest = Manifest.from_json(content.pop("manifest").decode())
        return cls(manifest, content)


Drawn = Callable[[], Picture]
"""A picture that is drawn: called, on whatever thread, it puts it into files' content and returns it."""


class Studio:
    """Everything needed to take the pictures of one assembly; use as a context manager."""

    def __init__(
        self,
        assembly: Assembly | PartModels,
        settings: PictureSettings | None = None,
        cache: PictureCache | None = None,
    ) -> None:
        self.cache = cache
        self.settings = settings or PictureSettings()
        self.models = (
            assembly if isinstance(assembly, PartModels) else make_part_models(assembly, self.settings.detail)
        )
        self._stage: Stage | None = None
        self._neighbours = Neighbours(self.models)
        self._scenes: dict[int, tuple[Step, StepScene]] = {}

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Free the windows; the next picture opens them again."""
        if self._stage is not None:
            self._stage.close()
            self._stage = None

    @property
    def stage(self) -> Stage:
        """The stage on which all pictures are drawn, opened when first asked for."""
        if self._stage is None:
            self._stage = self.make_stage()
        return self._stage

    def make_stage(self) -> Stage:
        """Return a new stage for these models and settings."""
        s = self.settings
        return Stage(self.models, s.width, s.height, s.supersample)

    def cached(self, draw: Callable[[], Drawn], *inputs: object) -> Drawn:
        """Return the picture that ``draw`` draws, from the cache where one with the same ``inputs`` was kept."""
        cache = self.cache
        if cache is None:
            return draw()
        key = digest(self.models.digest, self.settings, *inputs)
        entry = cache.get(key)
        if entry is not None:
            known = Picture.from_entry(entry)
            return lambda: known
        drawn = draw()

        def kept() -> Picture:
            picture = drawn()
            cache.put(key, picture.as_entry())
            return picture

        return kept

    def turned(self, keys: Iterable[str], angle_deg: float) -> dict[str, Place]:
        """Return the places of those of ``keys`` that turn with the shafts, at this angle of them."""
        wanted = {k for group in self.models.turning for k in group.parts}.intersection(keys)
        return {k: p for k, p in self.models.places_at(angle_deg).items() if k in wanted}

    def travels(self, step: Step) -> tuple[DrawnTravel, ...]:
        """Return the travels of ``step`` on the assembly."""
        return drawn_travels(self.models, step, self._seats(step), self._neighbours)

    def _seats(self, step: Step) -> dict[str, Place]:
        """Return where every part stands, or is to stand, in ``step``."""
        return self.models.places_at(step.stands_at_deg)

    def scene(self, step: Step) -> StepScene:
        """Return what stands where in ``step``; what lies by itself on a bench lies there as is best seen.

        Remembered: the views are chosen by it before the picture is taken.
        """
        return self.scene_known(step) or self.know_scene(step, self._scene(step))

    def scene_known(self, step: Step) -> StepScene | None:
        """Return the scene of ``step`` where it is remembered."""
        known = self._scenes.get(id(step))
        return known[1] if known and known[0] is step else None

    def know_scene(self, step: Step, scene: StepScene) -> StepScene:
        """Remember ``scene`` as that of ``step``, and return it."""
        self._scenes[id(step)] = (step, scene)
        return scene

    def _scene(self, step: Step) -> StepScene:
        seats, travels = self._seats(step), self.travels(step)
        shown = {k: seats[k] for k in step.present}
        for travel in travels:
            shown.update(travel.drawn)
        for key in step.focus:
            shown.setdefault(key, seats[key])
        order = {k: shown[k] for k in self.models.parts if k in shown}
        if not step.moves and set(order) <= set(step.focus):  # nothing stands round them
            order = arrange_parts(self.models, order)
        elif step.bench:
            order, travels = arrange_units(self.models, order, travels)
        wanted = tuple(g for m in step.moves for g in ([m.parts] if m.group else [(k,) for k in m.parts]))
        if not wanted:
            wanted = tuple((k,) for k in step.focus)
        return StepScene(order, wanted, travels, self._turns(order, step))

    def _turns(self, shown: Mapping[str, Place], step: Step) -> tuple[ShaftTurn, ...]:
        """Return the shafts that are turned in ``step``: one for each axis."""
        groups = self.models.turning
        if not step.shaft_turn_deg or step.bench or not groups:
            return ()
        front = np.array(self.models.front)
        axes: dict[tuple[Vec3, Vec3], float] = {}
        for group in groups:
            along, turn = np.array(unit(group.axis)), group.ratio * step.shaft_turn_deg
            if float(along @ front) < 0:  # told as seen by the person who does the work
                along, turn = -along, -turn
            about = np.array(group.about)
            axes[_rounded(about - along * float(about @ along)), _rounded(along)] = turn
        points = [np.array(point) for point, _ in axes]
        apart = min(
            (float(np.linalg.norm(a - b)) for a, b in combinations(points, 2)),
            default=self.models.extent_mm / 3,
        )
        radius = 0.34 * apart
        turning = np.concatenate(
            [
                shown[k].points(self.models.parts[k].mesh.joined_points)
                for group in groups
                for k in group.parts
                if k in shown
            ]
            or [np.empty((0, 3))]
        )
        found = []
        for (point, axis), turn_deg in axes.items():
            along = np.array(axis)
            across = turning - along * (turning @ along)[:, None] - point
            there = turning[np.linalg.norm(across, axis=1) < radius]
            level = float((there @ along).max()) if len(there) else 0.0
            at = point + along * level
            found.append(ShaftTurn((float(at[0]), float(at[1]), float(at[2])), axis, radius, turn_deg))
        return tuple(found)


def _rounded(point: Floats) -> Vec3:
    x, y, z = (np.round(point, 6) + 0.0).tolist()
    return x, y, z


def camera_seen(camera: Camera) -> CameraSeen:
    """Return the manifest's account of ``camera``."""
    v = camera.view
    return CameraSeen(v.name, v.direction, v.up, camera.centre, camera.height_mm)
