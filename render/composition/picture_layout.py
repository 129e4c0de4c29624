"""Layout of a step picture: the camera, and room for close-ups where a part is small or its seat hidden."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from ...geometry.frame import Floats, Place
from ..acts.surface_sight import sight_of, spots_of
from ..acts.zones import Aim
from ..drawing.insets import RADII, WELL_MAGNIFIED, Box, Disc, close_up_of, disc_camera, find_disc, subject_of
from ..drawing.manifest import State
from ..drawing.measure import parts_seen
from ..drawing.settings import PictureSettings
from ..engine.camera import Camera, View, fit_camera
from ..engine.grid import Ids
from ..engine.part_models import PartModel, PartModels
from ..engine.stage import Stage
from .detail.details import Detail, Looks, camera_of, details_of, drawn_in
from .detail.framings import SHRINK, SMALLER, framings
from .detail.targets import Looked, Name, Target, targets_of
from .hidden_seats import SUFFIX, HiddenSeat, hidden_aim, hidden_seat, opened
from .travel_lines import travel_lines
from .views import WELL_SEEN, StepScene, outline_seen, scene_points

PLAN_WIDTH = 128
"""Width of the grid on which room is sought."""
LEAST_DISC = 0.145
"""Least radius of the disc of a detail, as a share of the picture's width."""
ROUNDS = 4
"""How often it is asked anew what falls short of a picture drawn smaller."""
DISC_RADII = ((*RADII, LEAST_DISC), (LEAST_DISC,))
"""Radii tried for the discs of details: where they find no room together, all are small."""
SHORT_WIDTH = 480
"""Width of the grid on which it is asked what the picture does not show."""
EDGE = 0.045
"""Margin of the scene in its frame."""
SEAT_MAGNIFICATION = 1.3
"""Least magnification of a seat that is cut open."""
SMALL_AIM, LARGE_AIM = 0.01, 0.3
"""A surface that fills less than this share of the picture is small; a wider one than that is not kept free."""
AIM_SEEN, AIM_HIDDEN = 0.5, 0.15
"""A surface worth less than this in sight gets a close-up; less than that, it is cut open."""
LARGEST_CLOSE = 0.12
"""A surface that reaches farther than this share of the picture's width needs no close-up."""
LEAST_AIM = 0.025
"""Least radius of what a close-up of a surface takes in, as a share of the assembly's extent."""
ARROW_CELLS = 3
"""Cells of the grid across an arrow, with a little air."""
SWEEP_STEPS, MOST_SWEPT = 8, 0.35
"""Steps in which a travel is followed, and the share of the picture above which it is not kept free."""


@dataclass(frozen=True)
class CloseUp:
    """A close-up: its disc, the parts it is of, and the seat where it shows them in place and cut open."""

    disc: Disc
    subject: tuple[str, ...]
    seat: HiddenSeat | None = None
    surface: str = ""
    """Name of the surface that it is of, where it is of one."""
    detail: Detail | None = None
    """How it is looked at, where it is of what the acts name."""

    def camera(self, camera: Camera) -> Camera:
        """Return the camera that takes it, beside a picture taken with ``camera``."""
        return camera_of(self.detail, camera) if self.detail else disc_camera(camera, self.disc)


@dataclass(frozen=True)
class Layout:
    """Camera of the picture, and its close-ups."""

    camera: Camera
    close_ups: tuple[CloseUp, ...] = ()


@dataclass(frozen=True)
class _Wish:
    """Close-ups that would be well to have, and how many of :data:`SHRINK` may be tried to make room for them."""

    subject: tuple[str, ...] | None
    """The parts to show large on their way."""
    seat: HiddenSeat | None
    """The seat to show cut open."""
    shrinks: int
    aim: _AimSeen | None = None
    """The surface to show large, or cut open where ``seat`` is its cut."""
    details: tuple[Detail, ...] = ()
    """What else to show of what the acts name."""
    radii: tuple[float, ...] = DISC_RADII[0]
    """Radii that the discs of details may have, falling."""


@dataclass(frozen=True)
class _AimSeen:
    """A surface that is meant, and the middle and reach of what is seen of it, mm, head's frame."""

    aim: Aim
    centre: Floats
    radius_mm: float


@dataclass(frozen=True)
class _Areas:
    """What takes up the picture, (h, w) bool: ``taken`` must stay free of close-ups, ``context`` only stands by."""

    taken: NDArray[np.bool_]
    context: NDArray[np.bool_]

    @property
    def content(self) -> NDArray[np.bool_]:
        """All that is in the picture."""
        return self.taken | self.context


def make_layout(stage: Stage, scene: StepScene, view: View, settings: PictureSettings) -> Layout:
    """Return the layout of ``scene``: as large as can be, or a little smaller where a close-up needs the room.

    It is remembered: the parts travel the other way when they are taken off.
    """
    tools = tuple((t.key, t.place) for t in (*scene.tools, *scene.laid))
    key = ("layout", scene.likeness, tools, view, settings)
    return stage.memory.of(key, lambda: _layout(stage, scene, view, settings))


def _layout(stage: Stage, scene: StepScene, view: View, settings: PictureSettings) -> Layout:
    aspect = settings.width / settings.height
    camera = fit_camera(view, scene_points(stage.models, scene), aspect, EDGE)
    ids = stage.ids(scene.parts, camera, PLAN_WIDTH)
    wishes = _wishes(stage, scene, camera, ids, settings)
    targets = targets_of(stage.models, scene)
    if not wishes and not targets:
        return Layout(camera)
    wanted = ids.mask(_kept_free(scene))
    there = ids.part >= 0
    if scene.tools:
        tools = stage.mask({t.key: t.place for t in scene.tools}, camera, PLAN_WIDTH)
        wanted, there = wanted | tools, there | tools
    wanted = wanted | _aimed_at(stage.models, scene, ids, camera)
    wanted = wanted | _arrows(scene, stage, camera, ids)
    areas = _Areas(wanted | _swept(scene, stage, camera, ids), there & ~wanted)
    layouts = (_layout_with(stage, scene, wish, camera, areas) for wish in wishes)
    layout = next((layout for layout in layouts if layout is not None), Layout(camera))
    short = _short(stage, scene, targets, layout)
    return _with_details(stage, scene, wishes, areas, layout, short, settings) if short else layout


def _with_details(
    stage: Stage,
    scene: StepScene,
    wishes: Sequence[_Wish],
    areas: _Areas,
    plain: Layout,
    short: frozenset[Name],
    settings: PictureSettings,
) -> Layout:
    """Return the layout with close-ups of what ``plain`` falls short of, or ``plain`` where none shows more.

    Drawn smaller to make room, the picture may fall short of more: then that is asked for too.
    """
    camera = fit_camera(plain.camera.view, scene_points(stage.models, scene), plain.camera.aspect, EDGE)
    targets = targets_of(stage.models, scene)
    shrinks = len(SHRINK) + len(SMALLER)
    bases = [
        replace(w, shrinks=shrinks if w.subject is None or w.seat is None else 2) for w in wishes if not w.aim
    ]
    bases.append(_Wish(None, None, shrinks))
    if all(_seen_by_itself(stage, scene, w.subject, camera) for w in bases if w.subject):
        bases = bases[-1:]
    best, least, asked, looks = plain, short, short, Looks()
    for _ in range(ROUNDS):
        details = tuple(details_of(stage, scene, camera, asked, settings.cut_aways, looks))
        tried = (
            _layout_with(stage, scene, replace(base, details=details[:count], radii=radii), camera, areas)
            for count in range(len(details), 0, -1)
            for radii in DISC_RADII[: 1 if count == 1 else None]
            for base in bases
        )
        layout = next((found for found in tried if found is not None), None)
        if layout is None:
            break
        left = _short(stage, scene, targets, layout)
        if len(left) < len(least):
            best, least = layout, left
        if left <= asked:
            break
        asked = asked | left
    return best


def _seen_by_itself(stage: Stage, scene: StepScene, subject: tuple[str, ...], camera: Camera) -> bool:
    """Return whether parts are seen well in the picture, so that a close-up of them gives way to others."""
    _, radius = _around_subject(stage, scene, subject, camera)
    ids = stage.ids(scene.parts, camera, PLAN_WIDTH)
    seen = outline_seen(stage.models.parts, ids, scene.places, subject, camera)
    return radius * WELL_MAGNIFIED > RADII[0] and seen > WELL_SEEN


def _short(stage: Stage, scene: StepScene, targets: Sequence[Target], layout: Layout) -> frozenset[Name]:
    """Return what the acts name that neither the picture nor a close-up of ``layout`` shows."""
    if not targets:
        return frozenset()
    ids = stage.ids(scene.places, layout.camera, SHORT_WIDTH)
    seen = Looked(stage, scene.places, ids, layout.camera, 1.0).best(targets)
    for close_up in layout.close_ups:
        if all(share >= 1.0 for share in seen.values()):
            break
        for name, share in _seen_close(stage, scene, targets, layout.camera, close_up).items():
            seen[name] = max(seen[name], share)
    return frozenset(n for n, share in seen.items() if share < 1.0)


def _seen_close(
    stage: Stage, scene: StepScene, targets: Sequence[Target], camera: Camera, close_up: CloseUp
) -> dict[Name, float]:
    """Return how much of ``targets`` is in sight in a close-up."""
    close, width, seat = close_up.camera(camera), 2.0 * close_up.disc.radius, close_up.seat
    if seat is None:
        places = shown_close(scene, close_up)
        return Looked(stage, places, stage.ids(places, close, PLAN_WIDTH), close, width).best(targets)
    made = {m.key: m for m in opened(stage, seat)}
    tools = close_up.detail.tools if close_up.detail else ()
    places = {k: seat.places[k.removesuffix(SUFFIX)] for k in made} | {k: scene.places[k] for k in tools}
    stage.add_models(made.values())
    try:
        ids = stage.ids(places, close, PLAN_WIDTH)
        return Looked(stage, places, ids, close, width, SUFFIX).best(targets)
    finally:
        stage.remove_models()


def shown_close(scene: StepScene, close_up: CloseUp) -> dict[str, Place]:
    """Return what a close-up that is not cut open shows: a tool elsewhere would hide the surface that is meant."""
    if close_up.detail is not None:
        return drawn_in(scene, close_up.detail)
    off = {t.key for t in scene.tools if close_up.surface and t.tool.at.surface != close_up.surface}
    return {k: p for k, p in scene.places.items() if k not in off}


def _wishes(
    stage: Stage, scene: StepScene, camera: Camera, ids: Ids, settings: PictureSettings
) -> list[_Wish]:
    """Return which close-ups the picture should have, the best first; none where it tells all without."""
    parts = stage.models.parts
    if scene.aims and not scene.travels:
        return _aim_wishes(stage, scene, camera, ids, settings)
    visible = {k: outline_seen(parts, ids, scene.places, g, camera) for g in scene.wanted for k in g}
    states: dict[str, State] = dict.fromkeys(scene.parts, "context")
    subject = subject_of(scene.wanted, parts_seen(ids, states, visible, {}), bool(scene.travels))
    seat = hidden_seat(stage, scene, camera, PLAN_WIDTH, subject) if settings.cut_aways else None
    if seat is not None and not scene.travels:
        subject = None  # what is looked at in its seat is shown once, cut open
    if subject is None and seat is None:
        return _aim_wishes(stage, scene, camera, ids, settings) if scene.aims else []
    if subject is None or seat is None:
        return [_Wish(subject, seat, len(SHRINK))]
    # Two close-ups are not worth drawing the whole much smaller.
    return [_Wish(subject, seat, 1), _Wish(subject, None, len(SHRINK)), _Wish(None, seat, len(SHRINK))]


def _kept_free(scene: StepScene) -> tuple[str, ...]:
    """Return the parts that close-ups may not cover: what moves or is looked at, but for castings."""
    return tuple(k for k in scene.keys if k not in scene.quiet) if not scene.travels else scene.keys


def _aimed_at(models: PartModels, scene: StepScene, ids: Ids, camera: Camera) -> NDArray[np.bool_]:
    """Return where surfaces that are meant are seen, (h, w) bool: their boxes with a little air."""
    found = np.zeros(ids.part.shape, dtype=np.bool_)
    height, width = ids.part.shape
    for aim in scene.aims:
        if aim.part in scene.places:
            sight = sight_of(models.parts[aim.part], aim.surface, scene.places[aim.part], ids, camera)
            if sight.box is not None and (sight.box[2] - sight.box[0]) < LARGE_AIM:
                left, top, right, foot = sight.box
                rows = slice(max(0, int(top * height) - 1), int(foot * height) + 2)
                found[rows, max(0, int(left * width) - 1) : int(right * width) + 2] = True
    return found


def _aim_wishes(
    stage: Stage, scene: StepScene, camera: Camera, ids: Ids, settings: PictureSettings
) -> list[_Wish]:
    """Return the close-up of the surface that is seen worst, none where all are seen large enough.

    Of equal surfaces of several equal parts the one seen best counts.
    """
    models = stage.models
    painted = {(z.part, z.name) for z in scene.zones}
    best: dict[tuple[str, str], tuple[float, float, Aim]] = {}
    for aim in scene.aims:
        if aim.part not in scene.places or aim.key not in painted:
            continue
        model = models.parts[aim.part]
        if _around_aim(models, scene, aim).radius_mm > LARGEST_CLOSE * camera.width_mm:
            continue
        sight = sight_of(model, aim.surface, scene.places[aim.part], ids, camera)
        share = sight.area_mm2 / (camera.width_mm * camera.height_mm)
        name = (model.kind, aim.surface.name)
        if name not in best or sight.worth * min(share / SMALL_AIM, 1.0) > best[name][0]:
            best[name] = sight.worth * min(share / SMALL_AIM, 1.0), sight.worth, aim
    if not best:
        return []
    value, worth, aim = min(best.values(), key=lambda b: b[0])
    if value >= AIM_SEEN:
        return []
    if worth < AIM_HIDDEN:
        seat = hidden_aim(stage, scene, aim, camera, PLAN_WIDTH) if settings.cut_aways else None
        return [_Wish(None, seat, len(SHRINK), _around_aim(models, scene, aim))] if seat else []
    return [_Wish(None, None, len(SHRINK), _around_aim(models, scene, aim))]


def _around_aim(models: PartModels, scene: StepScene, aim: Aim) -> _AimSeen:
    points = scene.places[aim.part].points(spots_of(models.parts[aim.part], aim.surface).points)
    centre = (points.min(axis=0) + points.max(axis=0)) / 2
    radius = float(np.linalg.norm(points - centre, axis=1).max())
    return _AimSeen(aim, centre, max(1.25 * radius, LEAST_AIM * models.extent_mm))


def _layout_with(stage: Stage, scene: StepScene, wish: _Wish, camera: Camera, areas: _Areas) -> Layout | None:
    """Return the layout with all close-ups of ``wish``, None where they find no room.

    Of what is tried together the first with the largest discs is taken.
    """
    for tried in framings(wish.shrinks, _margins(areas.content)):
        found = []
        for framing in tried:
            framed = framing.camera(camera)
            moved = _Areas(framing.mask(areas.taken), framing.mask(areas.context))
            close_ups = _find_room(stage, scene, wish, framed, moved)
            if close_ups:
                layout = Layout(framed, close_ups)
                found.append(_centred(layout, framing.mask(areas.content)) if framing.right else layout)
        if found:
            return max(found, key=lambda layout: sum(c.disc.radius for c in layout.close_ups))
    return None


def _centred(layout: Layout, content: NDArray[np.bool_]) -> Layout:
    """Return ``layout`` moved so that scene and close-ups together lie in the middle between left and right."""
    columns = np.flatnonzero(content.any(axis=0)) / content.shape[1]
    discs = [c.disc for c in layout.close_ups]
    left = min(float(columns[0]), *(d.centre[0] - d.radius for d in discs))
    right = max(float(columns[-1]), *(d.centre[0] + d.radius for d in discs))
    by = 0.5 - (left + right) / 2
    camera = layout.camera
    c = np.array(camera.centre) - by * camera.width_mm * camera.view.axes[0]
    moved = replace(camera, centre=(float(c[0]), float(c[1]), float(c[2])))
    return Layout(moved, tuple(replace(c, disc=c.disc.moved(by)) for c in layout.close_ups))


def _margins(content: NDArray[np.bool_]) -> tuple[float, float]:
    """Return how much narrower and lower than a frame filled by it ``content`` (h, w) is, as shares at one side."""
    spans = [np.flatnonzero(content.any(axis=axis)) for axis in (0, 1)]
    free = [min(int(s[0]), n - 1 - int(s[-1])) / n for s, n in zip(spans, content.shape[::-1], strict=True)]
    return max(0.0, free[0] - EDGE), max(0.0, free[1] - EDGE)


def _find_room(
    stage: Stage, scene: StepScene, wish: _Wish, camera: Camera, areas: _Areas
) -> tuple[CloseUp, ...]:
    """Return the close-ups wished for, placed in this camera; none if there is not room for all of them."""
    found: list[CloseUp] = []
    taken = areas.taken
    if wish.subject is not None:
        disc = find_disc(taken, areas.context, *_around_subject(stage, scene, wish.subject, camera))
        if disc is None:
            return ()
        found.append(CloseUp(disc, wish.subject))
        taken = taken | _disc_mask(disc, taken)
    if wish.seat is not None:
        x, y, _ = camera.project(wish.seat.centre)[0].tolist()
        radius = wish.seat.radius_mm / camera.width_mm
        disc = find_disc(taken, areas.context, (x, y), radius, least_magnification=SEAT_MAGNIFICATION)
        if disc is None:
            return ()
        found.append(
            CloseUp(disc, wish.seat.subject, wish.seat, wish.aim.aim.surface.name if wish.aim else "")
        )
    elif wish.aim is not None:
        x, y, _ = camera.project(wish.aim.centre)[0].tolist()
        radius = wish.aim.radius_mm / camera.width_mm
        disc = find_disc(taken, areas.context, (x, y), radius, least_magnification=SEAT_MAGNIFICATION)
        if disc is None:
            return ()
        found.append(CloseUp(disc, (wish.aim.aim.part,), None, wish.aim.aim.surface.name))
    for detail in wish.details:
        if found:
            taken = taken | _disc_mask(found[-1].disc, taken)
        place = _place_detail(detail, camera, taken, areas.context, wish.radii)
        if place is None:
            return ()
        found.append(CloseUp(place, (detail.part,), detail.seat, detail.surface, detail))
    return tuple(found)


def _place_detail(
    detail: Detail,
    camera: Camera,
    taken: NDArray[np.bool_],
    context: NDArray[np.bool_],
    radii: Sequence[float],
) -> Disc | None:
    """Return the disc of a detail, None where there is no room: one from another side is not tied to its place."""
    x, y, _ = camera.project(np.array(detail.centre))[0].tolist()
    radius = detail.radius_mm / camera.width_mm
    tied, least = (radius, SEAT_MAGNIFICATION) if detail.view is None else (0.0, 0.0)
    disc = find_disc(taken, context, (x, y), tied, least, radii)
    return None if disc is None else replace(disc, of_radius=radius)


def _around_subject(
    stage: Stage, scene: StepScene, subject: Sequence[str], camera: Camera
) -> tuple[tuple[float, float], float]:
    """Return centre and radius of what a close-up of ``subject`` takes in, its seat among it where that is near."""
    box = frame_box(stage.models.parts, scene.places, subject, camera)
    seats = {k: s for t in scene.travels for k, s in t.seats.items() if k in subject and t.length_mm > 0}
    also = frame_box(stage.models.parts, seats, list(seats), camera) if seats else None
    return close_up_of(box, also, camera.aspect)


def _disc_mask(disc: Disc, like: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Return the disc with a little air, as a mask on the grid of ``like``."""
    height, width = like.shape
    ys, xs = np.mgrid[0:height, 0:width] + 0.5
    away = np.hypot(xs - disc.centre[0] * width, ys - disc.centre[1] * height)
    return np.asarray(away < (disc.radius + 0.01) * width)


def frame_box(
    parts: Mapping[str, PartModel], places: Mapping[str, Place], keys: Sequence[str], camera: Camera
) -> Box:
    """Return the box (left, top, right, bottom as fractions) of ``keys`` in the picture, hidden or not."""
    points: Floats = np.concatenate(
        [camera.project(places[k].points(parts[k].mesh.extreme_points)) for k in keys]
    )
    low, high = points.min(axis=0), points.max(axis=0)
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def _arrows(scene: StepScene, stage: Stage, camera: Camera, ids: Ids) -> NDArray[np.bool_]:
    """Return where the arrows of travels run, (h, w) bool: a close-up that covered one would cut it in two."""
    height, width = ids.part.shape
    page = Image.new("L", (width, height), 0)
    pen = ImageDraw.Draw(page)
    for _, line in travel_lines(stage.models, scene.travels, ids, camera, width, width):
        pen.line([(x * width, y * height) for x, y, _ in line.points.tolist()], fill=255, width=ARROW_CELLS)
    return np.asarray(page) > 0


def _swept(scene: StepScene, stage: Stage, camera: Camera, ids: Ids) -> NDArray[np.bool_]:
    """Return where moving parts travel, (h, w) bool: the hull of part and seat, roughly."""
    height, width = ids.part.shape
    page = Image.new("L", (width, height), 0)
    pen = ImageDraw.Draw(page)
    parts = stage.models.parts
    for key, place, seat in ((k, p, t.seats[k]) for t in scene.travels for k, p in t.drawn.items()):
        a, b = (frame_box(parts, {key: at}, [key], camera) for at in (place, seat))
        for n in range(SWEEP_STEPS + 1):
            share = n / SWEEP_STEPS
            left, top, right, foot = (p + (q - p) * share for p, q in zip(a, b, strict=True))
            pen.rectangle(
                (left * width - 1, top * height - 1, right * width + 1, foot * height + 1), fill=255
            )
    # Only the travel of parts small in the picture is kept free: a large part's own area is kept by itself.
    swept = np.asarray(page) > 0
    return swept if swept.mean() < MOST_SWEPT else np.zeros_like(swept)
