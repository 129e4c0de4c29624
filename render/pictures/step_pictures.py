"""Pictures of a plan: one for each step, taken here or by several processes."""

from __future__ import annotations

from collections import Counter, deque
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import groupby
from pathlib import Path
from queue import Empty, SimpleQueue

from ...geometry.assembly import Assembly
from ...sequences.steps.plan import Plan, Step
from ...sequences.work.store import Store
from ...sequences.work.worker_pool import shared_payload, worker_pool
from ..acts.surface_sight import Sight
from ..acts.tools_drawn import order_seen, tools_seen
from ..composition.picture_layout import make_layout
from ..composition.views import StepScene, ViewChooser
from ..drawing.film_files import FILM_ENDING
from ..drawing.manifest import Manifest, State, ToolSeen, ZoneSeen
from ..drawing.measure import measure_visible, parts_seen, without_slivers
from ..drawing.settings import PictureSettings
from ..drawing.still_files import encode
from ..engine.camera import Camera, View
from ..engine.gl_probe import ensure_graphics
from ..engine.material_styles import Role
from ..engine.part_models import PartModels
from ..engine.stage import Shown
from .close_ups import CloseUpSeen, ZoneKey, draw_close_up, zone_sights
from .frames import Frame, take_frame
from .kept_pictures import FILM, Picture
from .picture_keys import (
    NO_TOOLS,
    Job,
    Tools,
    ToolsInPlace,
    keep_views,
    kept_views,
    picture_jobs,
    step_key,
    views_key,
)
from .short_films import Film, film_poses, take_film, tool_poses, turn_angles, with_tools
from .studio import Drawn, Studio, camera_seen
from .tool_models import ToolMaker

__all__ = [
    "Picture",
    "Studio",
    "choose_views",
    "draw_film",
    "render_plan",
    "render_step",
    "take_plan",
    "take_plans",
]

Progress = Callable[[int, int, str], None]


def choose_views(studio: Studio, plan: Plan, tools: Tools = NO_TOOLS) -> list[View]:
    """Return a view for each step: one a section and bench, another only where that one hides what matters."""
    return list(_views(studio, plan, tools))


def _views(studio: Studio, plan: Plan, tools: Tools) -> Iterator[View]:
    """Yield the view of each step as soon as it is chosen."""
    key = views_key(studio.models.digest, studio.settings, plan, tools)
    known = kept_views(studio.cache, key) if studio.cache else None
    if known is not None:
        yield from known
        return
    settings = studio.settings
    chooser = ViewChooser(studio.stage, settings.width / settings.height)
    chosen: list[View] = []
    last: View | None = chooser.views[0]
    for _, stretch in groupby(plan.steps, key=_stretch):
        scenes = [studio.scene(s, tools.get(s.number, ())) for s in stretch]
        held = chooser.choose(scenes, last)
        for scene in scenes:
            chosen.append(chooser.choose_for_step(scene, held, settings.hold_above))
            yield chosen[-1]
        if held.up == chooser.views[0].up:
            last = held
    if studio.cache:
        likeness = [studio.scene(s, tools.get(s.number, ())).likeness for s in plan.steps]
        keep_views(studio.cache, key, chosen, likeness)


def _stretch(step: Step) -> tuple[str, str | None]:
    return step.section, step.bench


def render_step(
    studio: Studio,
    step: Step,
    view: View,
    name: str,
    view_changed: bool = False,
    tools: ToolsInPlace = (),
) -> Picture:
    """Return the picture of ``step`` with its ``tools`` seen in ``view``; its files are called ``name`` with their
    ending."""
    return draw_step(studio, step, view, name, view_changed, tools)()


def draw_step(
    studio: Studio,
    step: Step,
    view: View,
    name: str,
    view_changed: bool = False,
    tools: ToolsInPlace = (),
) -> Drawn:
    """Return the picture of :func:`render_step` as it is when all is drawn and no file's content is made yet."""
    return studio.cached(
        lambda: _draw_free(studio, step, view, name, view_changed, tools),
        step_key(studio.models.digest, studio.settings, step, view, name, view_changed, tools),
    )


def _draw_free(
    studio: Studio, step: Step, view: View, name: str, view_changed: bool, tools: ToolsInPlace
) -> Drawn:
    """Draw ``step`` with those of its springs free that nothing presses as yet."""
    with studio.stage.shaped(studio.free_springs.of_travels(studio.scene(step, tools).travels)):
        return _draw_step(studio, step, view, name, view_changed, tools)


def _draw_step(
    studio: Studio, step: Step, view: View, name: str, view_changed: bool, tools: ToolsInPlace
) -> Drawn:
    settings, models, stage = studio.settings, studio.models, studio.stage
    scene = studio.scene(step, tools)
    states = _states(step, scene)
    shown = {k: Shown(p, _role(scene, k, states.get(k))) for k, p in scene.places.items()}
    moved = {k: t.offset for t in scene.travels for k in t.drawn}
    layout = make_layout(stage, scene, view, settings)
    frame = take_frame(stage, scene, shown, layout.camera, settings, operations=step.operations)
    visible = stage.memory.of(
        ("visible", scene.standing, frame.camera),
        lambda: measure_visible(stage, frame.ids, scene.places, scene.wanted, frame.camera),
    )
    sights = zone_sights(stage, scene, frame.ids, frame.camera)
    close_ups = [draw_close_up(frame, stage, scene, shown, moved, c, settings) for c in layout.close_ups]
    film = _film(studio, step, scene, view, shown, f"{name}-film.{FILM_ENDING}")
    manifest = Manifest(
        kind="step",
        step=step.id,
        number=step.number,
        files={f: f"{name}.{f}" for f in settings.formats},
        width=settings.width,
        height=settings.height,
        camera=camera_seen(frame.camera),
        view_changed=view_changed,
        parts=without_slivers(
            parts_seen(frame.ids, states, visible, moved), models, scene.places, frame.ids, frame.camera
        ),
        arrows=frame.arrows,
        turns=frame.turns,
        insets=tuple(c.inset for c in close_ups),
        counts=identical_parts(models, step.moving),
        film=film.seen if film else None,
        zones=_zones_seen(scene, frame.camera, settings, [sights, *(c.zones for c in close_ups)]),
        tools=_tools_seen(scene, frame, close_ups),
        order=order_seen(scene.marks, frame.camera),
        turned_over=scene.turned_over,
    )

    def put_into_files() -> Picture:
        content = {f: encode(frame.image, f) for f in settings.formats}
        return Picture(manifest, {**content, FILM: film.content()} if film else content)

    return put_into_files


def draw_film(studio: Studio, step: Step, view: View, tools: ToolsInPlace = ()) -> Film | None:
    """Return the short film of ``step`` by itself, as large and with as many frames as the studio's settings say.

    None where nothing in it moves.
    """
    scene = studio.scene(step, tools)
    with studio.stage.shaped(studio.free_springs.of_travels(scene.travels)):
        states = _states(step, scene)
        shown = {k: Shown(p, _role(scene, k, states.get(k))) for k, p in scene.places.items()}
        return _film(studio, step, scene, view, shown, "")


def _states(step: Step, scene: StepScene) -> dict[str, State]:
    """Return in which state each part of ``scene`` is; tools are in none."""
    strong: State = "moving" if step.moving else "focus"
    return {k: strong if k in scene.keys else "context" for k in scene.parts}


def _tools_seen(scene: StepScene, frame: Frame, close_ups: Sequence[CloseUpSeen]) -> tuple[ToolSeen, ...]:
    """Return the manifest's account of tools, as much of each as is seen where most of it is."""
    close = [t for c in close_ups for t in c.tools]
    found = []
    for tool in tools_seen(frame.ids, (*scene.tools, *scene.laid), frame.camera):
        same = [
            tool,
            *(t for t in close if (t.tool, t.part, t.surface) == (tool.tool, tool.part, tool.surface)),
        ]
        visible, contact = max(t.visible_px for t in same), max(t.contact_px for t in same)
        found.append(replace(tool, visible_px=visible, contact_px=contact))
    return tuple(found)


def _role(scene: StepScene, key: str, state: State | None) -> Role:
    """Return how a part or a tool is drawn whose state in the manifest this is, None for a tool."""
    if state is None:
        return "tool"
    return "quiet" if key in scene.quiet else state


def _zones_seen(
    scene: StepScene,
    camera: Camera,
    settings: PictureSettings,
    sights: Sequence[Mapping[ZoneKey, Sight]],
) -> tuple[ZoneSeen, ...]:
    """Return the manifest's account of zones; ``sights`` are those in the picture, then those in its close-ups."""
    pixel_mm = camera.width_mm / settings.width
    found = []
    for zone in scene.zones:
        seen = [s[zone.key] for s in sights if zone.key in s]
        if seen:
            best = max(seen, key=lambda s: s.area_mm2)
            px = round(best.area_mm2 / pixel_mm**2)
            anchor = sights[0][zone.key].middle if zone.key in sights[0] else None
            found.append(ZoneSeen(zone.part, zone.name, zone.treatment, px, best.shown, anchor))
    return tuple(found)


def _film(
    studio: Studio, step: Step, scene: StepScene, view: View, shown: Mapping[str, Shown], name: str
) -> Film | None:
    """Return the short film of ``step``, None where nothing moves or none is wanted."""
    frames = studio.settings.film_frames
    if not frames:
        return None
    if any(t.length_mm > 0 for t in scene.travels):
        poses = film_poses(studio.models, scene.travels, frames)
        poses = with_tools(poses, scene, frames)
    elif scene.turns:
        angles = turn_angles(step.shaft_angle_deg, step.shaft_turn_deg, frames)
        poses = [studio.turned(scene.places, a) for a in angles]
    elif any(t.moves for t in scene.tools):
        poses = tool_poses(scene.tools, frames)
    else:
        return None
    return take_film(studio.stage, scene, view, poses, shown, studio.settings, name, step.operations)


def identical_parts(models: PartModels, keys: Sequence[str]) -> dict[str, int] | None:
    """Return how many identical parts of each kind are among ``keys``, where more than one."""
    counts = Counter(models.parts[k].kind for k in keys)
    return {kind: n for kind, n in counts.items() if n > 1} or None


def render_plan(
    assembly: Assembly | PartModels,
    plan: Plan,
    out_dir: Path,
    settings: PictureSettings | None = None,
    progress: Progress | None = None,
    workers: int = 1,
    cache: Store | None = None,
    tools: Tools = NO_TOOLS,
) -> list[Picture]:
    """Take and write the pictures of all steps of ``plan`` into ``out_dir``; return them in order.

    ``progress`` is called with (done, total, what). More than one of ``workers`` draws in processes of their own,
    with the same bytes as the result.

    Raises:
        NoGraphics: if this machine cannot draw.
        MeshError: as :func:`..engine.part_models.make_models`.
    """
    pictures: list[Picture] = []
    taken = take_plan(assembly, plan, settings, workers, cache, tools)
    for picture, step in zip(taken, plan.steps, strict=True):
        picture.write(out_dir)
        pictures.append(picture)
        if progress:
            progress(len(pictures), len(plan.steps), step.title)
    return pictures


def take_plan(
    assembly: Assembly | PartModels,
    plan: Plan,
    settings: PictureSettings | None = None,
    workers: int = 1,
    cache: Store | None = None,
    tools: Tools = NO_TOOLS,
) -> Iterator[Picture]:
    """Yield the pictures of all steps of ``plan`` in order, as :func:`render_plan`, which also writes them.

    Raises:
        NoGraphics: if this machine cannot draw.
        MeshError: as :func:`..engine.part_models.make_models`.
    """
    ensure_graphics()
    with Studio(assembly, settings, cache) as studio:
        yield from take_plans(studio, [plan], workers, [tools])


def take_plans(
    studio: Studio, plans: Sequence[Plan], workers: int = 1, tools: Sequence[Tools] = ()
) -> Iterator[Picture]:
    """Yield the pictures of all steps of ``plans``, plan after plan, in one studio; ``tools`` are those of each plan.

    More than one of ``workers`` draws in processes of their own, with the same bytes as the result.

    Raises:
        WorkerLost: if a process is ended from outside.
    """
    placed = tools or [NO_TOOLS] * len(plans)
    jobs = (job for plan, there in zip(plans, placed, strict=True) for job in _jobs(studio, plan, there))
    if workers > 1:
        yield from _take_apart(studio, plans, jobs, workers)
    else:
        yield from take_jobs(studio, jobs)


def _jobs(studio: Studio, plan: Plan, tools: Tools) -> Iterator[Job]:
    """Yield what is to be taken, each as soon as its view is chosen."""
    return picture_jobs(plan, _views(studio, plan, tools), tools)


def take_jobs(studio: Studio, jobs: Iterable[Job]) -> Iterator[Picture]:
    """Yield the pictures of ``jobs`` in order; while one is drawn, the one before is put into files by a thread."""
    with ThreadPoolExecutor(1) as filer:
        waiting: deque[Future[Picture]] = deque()
        for job in jobs:
            waiting.append(filer.submit(draw_step(studio, *job)))
            if len(waiting) > 1:
                yield waiting.popleft().result()
        while waiting:
            yield waiting.popleft().result()


def _take_apart(
    studio: Studio, plans: Sequence[Plan], jobs: Iterable[Job], workers: int
) -> Iterator[Picture]:
    """Yield the pictures of ``jobs`` in order, taken by ``workers`` processes, of which this is one.

    The views are chosen here, and what has one is taken meanwhile by the others; then all draw what is left. Nothing
    is queued ahead in the pool, or this process would find nothing left: each of the others has a hand here that gives
    it one picture after the other.
    """
    others = workers - 1
    todo: SimpleQueue[Task | None] = SimpleQueue()
    with worker_pool(others, _be_ready) as pool, ThreadPoolExecutor(others) as hands:
        try:
            pool.share(_WorkerStudio(studio.models, studio.settings, studio.cache, studio.make_tool))
            for _ in range(others):
                hands.submit(hand_over, todo, pool)
            taken: deque[Future[Picture]] = deque()
            for job in jobs:
                taken.append(Future())
                todo.put((job, studio.scene_known(job[0], job[4]), taken[-1]))
                yield from _ready(taken)
            for _ in range(workers):
                todo.put(None)
            while (task := todo.get()) is not None:
                job, _, picture = task
                picture.set_result(render_step(studio, *job))
                yield from _ready(taken)
            while taken:
                yield taken.popleft().result()
        finally:  # nobody waits for the rest where one fails or is the last wanted
            _empty(todo)
            for _ in range(others):
                todo.put(None)


Task = tuple[Job, StepScene | None, Future[Picture]]


def hand_over(todo: SimpleQueue[Task | None], pool: Executor) -> None:
    """Have another process take one picture after the other, until there is None."""
    while (task := todo.get()) is not None:
        job, scene, picture = task
        try:
            picture.set_result(pool.submit(_take_in_worker, job, scene).result())
        except BaseException as error:  # raised where the picture is asked for
            picture.set_exception(error)


def _ready(taken: deque[Future[Picture]]) -> Iterator[Picture]:
    while taken and taken[0].done():
        yield taken.popleft().result()


def _empty(todo: SimpleQueue[Task | None]) -> None:
    with suppress(Empty):
        while True:
            todo.get_nowait()


def _be_ready() -> None:
    """Do nothing: a worker that begins with it has imported what pictures need."""


@dataclass(frozen=True)
class _WorkerStudio:
    """What a worker makes its studio of."""

    models: PartModels
    settings: PictureSettings
    cache: Store | None
    make_tool: ToolMaker | None

    def open(self) -> Studio:
        return Studio(self.models, self.settings, self.cache, self.make_tool)


@lru_cache
def _studio_here() -> Studio:
    return shared_payload(_WorkerStudio).open()


def _take_in_worker(job: Job, scene: StepScene | None) -> Picture:
    studio = _studio_here()
    if scene is not None:
        studio.know_scene(job[0], job[4], scene)
    return render_step(studio, *job)
