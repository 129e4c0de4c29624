"""Pictures of a plan: one for each step, and the exploded overview."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

import numpy as np
from PIL import Image

from ..geometry.assembly import Assembly
from ..geometry.frame import Place
from ..sequences.plan import Plan, Step
from .arrows import Overlay, Point, draw_arrow
from .camera import Camera, View, fit_camera
from .compose import contact_shade, encode, finish
from .looks import STRONG, colour_bytes
from .manifest import Arrow, CameraSeen, Manifest, State
from .measure import measure_visible, parts_seen
from .models import Models, make_models
from .overview import render_overview_with
from .scene import REFERENCE_WIDTH, Ids, Shown, Stage
from .settings import PictureSettings
from .travel import Travel, lay_travels
from .views import StepScene, choose_view, scene_points, visibility

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


class _Turning(Protocol):
    def places_at(self, shaft_angle_deg: float) -> Mapping[str, Place]: ...


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
        self._stages: dict[tuple[int, int], Stage] = {}

    def __enter__(self) -> Studio:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Free all windows."""
        for stage in self._stages.values():
            stage.close()
        self._stages.clear()

    def stage(self, width: int, height: int) -> Stage:
        """Return the stage for pictures of this size; kept for the next one."""
        if (width, height) not in self._stages:
            self._stages[width, height] = Stage(self.models, width, height, self.settings.supersample)
        return self._stages[width, height]

    @property
    def step_stage(self) -> Stage:
        """The stage of the step pictures."""
        return self.stage(self.settings.width, self.settings.height)

    def places(self, shaft_angle_deg: float = 0.0) -> dict[str, Place]:
        """Return the place of every part with the shafts turned."""
        places = {m.key: m.place for m in self.models}
        if shaft_angle_deg and self._places_at is not None:
            places.update(self._places_at(shaft_angle_deg))
        return places

    def scene(self, step: Step) -> StepScene:
        """Return what stands where in ``step``."""
        seats = self.places(step.shaft_angle_deg)
        travels = lay_travels(self.models, step, seats)
        shown = {k: seats[k] for k in step.present}
        for travel in travels:
            shown.update(travel.drawn)
        for key in step.focus:
            shown.setdefault(key, seats[key])
        order = {k: shown[k] for k in self.models.parts if k in shown}
        wanted = step.moving or tuple(k for k in step.focus if k in shown)
        return StepScene(order, wanted, travels)


def choose_views(studio: Studio, plan: Plan) -> list[View]:
    """Return a view for each step: one a section and bench, another only where that one hides the moving part."""
    stage, settings = studio.step_stage, studio.settings
    aspect = settings.width / settings.height
    views: list[View] = []
    steps = list(plan.steps)
    last: View | None = None
    begin = 0
    while begin < len(steps):
        end = begin
        while end < len(steps) and _stretch(steps[end]) == _stretch(steps[begin]):
            end += 1
        scenes = [studio.scene(s) for s in steps[begin:end]]
        held = choose_view(stage, scenes, aspect, last)
        for scene in scenes:
            view = held
            if visibility(stage, scene, held, aspect) < settings.hold_above:
                view = choose_view(stage, [scene], aspect, held)
            views.append(view)
        last, begin = held, end
    return views


def _stretch(step: Step) -> tuple[str, str | None]:
    return step.section, step.bench


def render_step(studio: Studio, step: Step, view: View, name: str, view_changed: bool = False) -> Picture:
    """Return the picture of ``step`` seen in ``view``; its files are called ``name`` with their ending."""
    settings, models = studio.settings, studio.models
    stage, aspect = studio.step_stage, settings.width / settings.height
    scene = studio.scene(step)
    camera = fit_camera(view, scene_points(models, scene), aspect, 0.05)
    strong: State = "moving" if step.moving else "focus"
    states: dict[str, State] = {k: strong if k in scene.wanted else "context" for k in scene.places}
    shown = {k: Shown(p, states[k]) for k, p in scene.places.items()}
    pixels = stage.draw(shown, camera)
    ids = stage.ids(scene.places, camera, settings.measure_width)
    shade = contact_shade(ids, camera, models.extent_mm * 0.03) if settings.contact_shading else None
    image = finish(pixels, settings.supersample, shade)
    lay_ghosts(image, stage, scene, camera)
    arrows = _draw_travels(image, studio, scene, ids, camera)
    visible = measure_visible(stage, ids, scene.places, scene.wanted, camera)
    moved = {k: t.offset for t in scene.travels for k in t.drawn}
    manifest = Manifest(
        kind="step",
        step=step.id,
        number=step.number,
        files={f: f"{name}.{f}" for f in settings.formats},
        width=settings.width,
        height=settings.height,
        camera=camera_seen(camera),
        view_changed=view_changed,
        parts=parts_seen(ids, states, visible, moved),
        arrows=arrows,
        counts=identical(models, step.moving),
    )
    return Picture(manifest, {f: encode(image, f, settings.webp_quality) for f in settings.formats})


def identical(models: Models, keys: Sequence[str]) -> dict[str, int] | None:
    """Return how many identical parts of each kind are among ``keys``, where more than one."""
    counts = Counter(models.parts[k].kind for k in keys)
    return {kind: n for kind, n in counts.items() if n > 1} or None


def camera_seen(camera: Camera) -> CameraSeen:
    """Return the manifest's account of ``camera``."""
    v = camera.view
    return CameraSeen(v.name, v.direction, v.up, camera.centre, camera.height_mm)


def lay_ghosts(image: Image.Image, stage: Stage, scene: StepScene, camera: Camera) -> None:
    """Draw the outermost outline of each moving part at its seat over ``image``, through what hides it."""
    seats = {
        k: Shown(seat, "ghost")
        for travel in scene.travels
        if travel.length_mm > 0
        for k, seat in travel.seats.items()
    }
    if not seats:
        return
    lines = Image.fromarray(stage.draw(seats, camera)).convert("L").reduce(stage.supersample)
    opacity = lines.point(lambda v: round((255 - v) * 0.85))
    image.paste(colour_bytes(STRONG), (0, 0), opacity)


def _draw_travels(
    image: Image.Image, studio: Studio, scene: StepScene, ids: Ids, camera: Camera
) -> tuple[Arrow, ...]:
    overlay = Overlay(image)
    scale = image.width / REFERENCE_WIDTH
    drawn = []
    for travel in scene.travels:
        if travel.length_mm <= 0:
            continue
        for keys in _arrow_groups(studio.models, travel):
            line = _arrow_line(studio.models, travel, keys)
            if line is None:
                continue
            points = camera.project(line)
            path: list[Point] = [(x * image.width, y * image.height) for x, y, _ in points.tolist()]
            seen = _unhidden(points, ids, keys)
            draw_arrow(overlay, path, seen, 5.0 * scale, 30.0 * scale, STRONG)
            tail, head = points[0], points[-1]
            drawn.append(
                Arrow(
                    tuple(keys),
                    (float(tail[0]), float(tail[1])),
                    (float(head[0]), float(head[1])),
                    travel.turn_deg,
                )
            )
    return tuple(drawn)


def _arrow_groups(models: Models, travel: Travel) -> list[list[str]]:
    """Return the parts that share an arrow: those on one axis."""
    groups: dict[tuple[int, ...], list[str]] = {}
    out = np.array(travel.offset) / travel.length_mm
    for key in travel.drawn:
        low, high = models.parts[key].box(travel.seats[key])
        centre = (low + high) / 2
        across = centre - out * float(centre @ out)
        groups.setdefault(
            tuple(np.round(across / (0.02 * models.extent_mm)).astype(int).tolist()), []
        ).append(key)
    return list(groups.values())


def _arrow_line(models: Models, travel: Travel, keys: Sequence[str]) -> np.ndarray | None:
    """Return points (n, 3) mm along the travel of ``keys``, from the drawn part's face to the seat's."""
    out = np.array(travel.offset) / travel.length_mm
    points = np.concatenate([travel.seats[k].points(models.parts[k].mesh.joined_points) for k in keys])
    along = points @ out
    boxes = [models.parts[k].box(travel.seats[k]) for k in keys]
    centre = np.mean([(low + high) / 2 for low, high in boxes], axis=0)
    axis = centre - out * float(centre @ out)
    gap = 0.012 * models.extent_mm
    near, far = float(along.max()) + gap * 0.4, float(along.min()) + travel.length_mm - gap
    if far - near < gap * 2:
        # A short travel: the arrow starts inside the drawn part.
        far = near + max(travel.length_mm, gap * 3)
    ends = (far, near) if travel.move.into else (near, far)
    return axis + np.linspace(ends[0], ends[1], 80)[:, None] * out


def _unhidden(points: np.ndarray, ids: Ids, own: Sequence[str]) -> np.ndarray:
    """Return which of ``points`` (n, 3: fractions and nearness) nothing else hides, (n,) bool."""
    height, width = ids.part.shape
    x = np.clip((points[:, 0] * width).astype(int), 0, width - 1)
    y = np.clip((points[:, 1] * height).astype(int), 0, height - 1)
    empty = ids.part[y, x] < 0
    seen: np.ndarray = empty | (points[:, 2] >= ids.near_mm[y, x]) | ids.mask(own)[y, x]
    return seen


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
