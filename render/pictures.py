"""Pictures of a plan: one for each step, and the exploded overview."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, groupby
from pathlib import Path

import numpy as np

from ..geometry.assembly import Assembly
from ..geometry.frame import Place
from ..sequences.plan import Plan, Step
from .camera import Camera, View
from .compose import encode
from .frames import take_frame
from .layout import lay_close_up, lay_out
from .manifest import CameraSeen, Manifest, State
from .measure import measure_visible, parts_seen
from .models import Models, make_models
from .overview import render_overview_with
from .scene import Shown, Stage
from .settings import PictureSettings
from .travel import Neighbours, lay_travels
from .views import ShaftTurn, StepScene, ViewChooser

PlacesAt = Callable[[float], Mapping[str, Place]]
Progress = Callable[[int, int, str], None]


@dataclass(frozen=True)
class Picture:
    """A finished picture: its manifest and its files' content, format to bytes."""

    manifest: Manifest
    content: Mapping[str, bytes]

    def write(self, folder: Path) -> None:
        """Write the picture's files and its manifest (``name.json``) into ``folder``."""
        folder.mkdir(parents=True, exist_ok=True)
        for ending, name in self.manifest.files.items():
            (folder / name).write_bytes(self.content[ending])
        stem = Path(next(iter(self.manifest.files.values()))).stem
        (folder / f"{stem}.json").write_text(self.manifest.as_json(), encoding="utf-8")


class Studio:
    """Everything needed to take the pictures of one assembly; use as a context manager."""

    def __init__(
        self,
        assembly: Assembly | Models,
        settings: PictureSettings | None = None,
        places_at: PlacesAt | None = None,
    ) -> None:
        self.settings = settings or PictureSettings()
        self.models = (
            assembly if isinstance(assembly, Models) else make_models(assembly, self.settings.detail)
        )
        self._places_at = places_at or getattr(assembly, "places_at", None)
        self._stage: Stage | None = None
        self._neighbours = Neighbours(self.models)

    def __enter__(self) -> Studio:
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
            s = self.settings
            self._stage = Stage(self.models, s.width, s.height, s.supersample)
        return self._stage

    def places(self, shaft_angle_deg: float = 0.0) -> dict[str, Place]:
        """Return the place of every part with the shafts turned."""
        places = {m.key: m.place for m in self.models}
        if shaft_angle_deg and self._places_at is not None:
            places.update(self._places_at(shaft_angle_deg))
        return places

    def scene(self, step: Step) -> StepScene:
        """Return what stands where in ``step``."""
        seats = self.places(step.shaft_angle_deg)
        travels = lay_travels(self.models, step, seats, self._neighbours)
        shown = {k: seats[k] for k in step.present}
        for travel in travels:
            shown.update(travel.drawn)
        for key in step.focus:
            shown.setdefault(key, seats[key])
        order = {k: shown[k] for k in self.models.parts if k in shown}
        wanted = tuple(g for m in step.moves for g in ([m.parts] if m.group else [(k,) for k in m.parts]))
        if not wanted:
            wanted = tuple((k,) for k in step.focus)
        return StepScene(order, wanted, travels, self._turns(order, step.shaft_angle_deg))

    def _turns(self, shown: Mapping[str, Place], angle_deg: float) -> tuple[ShaftTurn, ...]:
        """Return the shafts that turn when the drive shaft is turned by ``angle_deg``: one for each axis."""
        if not angle_deg or self._places_at is None:
            return ()
        front = np.array(self.models.front)
        axes: dict[tuple[float, ...], float] = {}
        for key, quarter in self._places_at(90.0).items():
            turn = quarter @ self.models.parts[key].place.inverse()
            r, s = np.array(turn.rotation), np.array(turn.shift)
            sense = -float(np.sign(np.trace(np.cross(np.eye(3), front) @ r)))  # right-handed or left-handed
            # The point nearest to the origin that the turn leaves in place.
            point = np.linalg.lstsq(np.eye(3) - r, s, rcond=None)[0]
            point -= front * float(point @ front)
            axes[tuple(np.round(point, 3).tolist())] = sense * angle_deg
        points = [np.array(a) for a in axes]
        apart = min(
            (float(np.linalg.norm(a - b)) for a, b in combinations(points, 2)),
            default=self.models.extent_mm / 3,
        )
        radius = 0.34 * apart
        everything = np.concatenate(
            [p.points(self.models.parts[k].mesh.joined_points) for k, p in shown.items()]
        )
        found = []
        for point, turn_deg in zip(points, axes.values(), strict=True):
            across = everything - front * (everything @ front)[:, None] - point
            there = everything[np.linalg.norm(across, axis=1) < radius]
            level = float((there @ front).max()) + 0.02 * self.models.extent_mm if len(there) else 0.0
            at = point + front * level
            found.append(
                ShaftTurn((float(at[0]), float(at[1]), float(at[2])), self.models.front, radius, turn_deg)
            )
        return tuple(found)


def choose_views(studio: Studio, plan: Plan) -> list[View]:
    """Return a view for each step: one a section and bench, another only where that one hides the moving part."""
    settings = studio.settings
    chooser = ViewChooser(studio.stage, settings.width / settings.height)
    views: list[View] = []
    last: View | None = chooser.views[0]
    for _, stretch in groupby(plan.steps, key=_stretch):
        scenes = [studio.scene(s) for s in stretch]
        held = chooser.choose(scenes, last)
        views += [chooser.choose_for_step(s, held, settings.hold_above) for s in scenes]
        last = held
    return views


def _stretch(step: Step) -> tuple[str, str | None]:
    return step.section, step.bench


def render_step(studio: Studio, step: Step, view: View, name: str, view_changed: bool = False) -> Picture:
    """Return the picture of ``step`` seen in ``view``; its files are called ``name`` with their ending."""
    settings, models, stage = studio.settings, studio.models, studio.stage
    scene = studio.scene(step)
    strong: State = "moving" if step.moving else "focus"
    states: dict[str, State] = {k: strong if k in scene.keys else "context" for k in scene.places}
    shown = {k: Shown(p, states[k]) for k, p in scene.places.items()}
    moved = {k: t.offset for t in scene.travels for k in t.drawn}
    layout = lay_out(stage, scene, view, settings)
    frame = take_frame(stage, scene, shown, layout.camera, settings)
    visible = measure_visible(stage, frame.ids, scene.places, scene.wanted, frame.camera)
    insets = ()
    if layout.disc is not None:
        insets = (lay_close_up(frame, stage, scene, shown, states, moved, layout, settings),)
    manifest = Manifest(
        kind="step",
        step=step.id,
        number=step.number,
        files={f: f"{name}.{f}" for f in settings.formats},
        width=settings.width,
        height=settings.height,
        camera=camera_seen(frame.camera),
        view_changed=view_changed,
        parts=parts_seen(frame.ids, states, visible, moved),
        arrows=frame.arrows,
        turns=frame.turns,
        insets=insets,
        counts=identical(models, step.moving),
    )
    return Picture(manifest, {f: encode(frame.image, f, settings.webp_quality) for f in settings.formats})


def identical(models: Models, keys: Sequence[str]) -> dict[str, int] | None:
    """Return how many identical parts of each kind are among ``keys``, where more than one."""
    counts = Counter(models.parts[k].kind for k in keys)
    return {kind: n for kind, n in counts.items() if n > 1} or None


def camera_seen(camera: Camera) -> CameraSeen:
    """Return the manifest's account of ``camera``."""
    v = camera.view
    return CameraSeen(v.name, v.direction, v.up, camera.centre, camera.height_mm)


def render_plan(
    assembly: Assembly,
    plan: Plan,
    out_dir: Path,
    settings: PictureSettings | None = None,
    progress: Progress | None = None,
    workers: int = 1,
) -> list[Picture]:
    """Take and write the pictures of all steps of ``plan`` into ``out_dir``; return them in order.

    ``progress`` is called with (done, total, what). Raises as :func:`.models.make_models`.

    Raises:
        NoGraphics: if this machine cannot draw.
    """
    pictures = []
    with Studio(assembly, settings) as studio:
        views = choose_views(studio, plan)
        for number, (step, view) in enumerate(zip(plan.steps, views, strict=True)):
            changed = number > 0 and view != views[number - 1]
            picture = render_step(studio, step, view, f"{plan.sequence}-{step.number:02d}", changed)
            picture.write(out_dir)
            pictures.append(picture)
            if progress:
                progress(number + 1, len(plan.steps), step.title)
    return pictures


def render_overview(
    assembly: Assembly,
    settings: PictureSettings | None = None,
    together: Sequence[str] = (),
    name: str = "overview",
) -> Picture:
    """Take the exploded overview; ``together`` are parts that are not taken apart (a plan's ``given``).

    Raises:
        NoGraphics: if this machine cannot draw.
    """
    with Studio(assembly, settings) as studio:
        return render_overview_with(studio, name, together)
