"""Right beside wrong: two pictures of one fit, same view, same scale, the part in the strong colour.

The view is the one in which right and wrong differ most to the eye (:mod:`..composition.pair_views`). A section is
taken only where the difference is not plain without.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from ...geometry.assembly import Assembly
from ...geometry.frame import Floats
from ...sequences.work.keys import TaskKey
from ...sequences.work.store import Store
from ..composition.pair_views import (
    PairScene,
    PairView,
    Which,
    beside,
    can_be_further_off,
    can_be_steeper,
    changed_share,
    clearest,
    close_up_of_section,
    cut_face_camera,
    pair_camera,
    section_candidates,
    seen_in,
    steepness,
    whole_candidates,
)
from ..composition.views import StepScene
from ..drawing.arrows import OverlayCanvas
from ..drawing.compose import as_image
from ..drawing.differences import PHONE_PX, difference_of, draw_pointer, drawn_apart, place_arrow, tells_apart
from ..drawing.insets import Disc, disc_camera, draw_inset
from ..drawing.manifest import DifferenceSeen, Inset, Manifest, PartSeen, State
from ..drawing.measure import measure_visible, parts_seen
from ..drawing.settings import PictureSettings
from ..drawing.still_files import encode
from ..engine.camera import Camera
from ..engine.material_styles import INK, PAPER, STRONG, colour_bytes
from ..engine.part_models import PartModels
from ..engine.section_views import CuttingPlane, bearing_lines, cut_face
from ..engine.stage import Shown, Stage
from .frames import Frame, pixel_box, take_frame
from .kept_pictures import Picture, kept_picture
from .opened_pairs import draw_opened
from .picture_keys import SIZE, pair_keys, pair_settings
from .studio import camera_seen, models_of

__all__ = ["SIZE", "Pair", "PairScene", "render_pairs"]

PLAIN = 0.5
"""A difference above this is plain enough to do without a section."""
CLOSE_UP_BELOW = 0.035
"""A section in which less than this share of the picture differs gets a close-up of the cut face."""
BEARS_MM, TILT_MM = 0.06, 0.01
"""Faces nearer than this in a section are taken to bear on each other: there where they are nearest, so that of a face
that is tilted only its edge bears."""
LEFT_OUT = 0.62
"""Size of the pictures of what is left out, which pages show at half the width of others."""
GLANCE = 0.3
"""A thin ring of whose area less than this differs is drawn steeper."""
LEAN = 0.42
"""So steep that it rises by this share of its breadth."""
STEEPER = (2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0)
"""How much steeper, the least that will do."""
STEEP_MARGIN, SMALL_MARGIN = 0.16, 0.12
"""Share of the large picture, and of the small one of the true shape, that is left round the part."""
AS_IT_IS = (0.655, 0.56, 0.33)
"""Left and top of the small picture of the true shape, and its width, as shares of the picture's."""
BEARING_WIDTH, BEARING_BORDER = 9.0, 5.0
"""Width of the line where they do, and of its border of paper, px of a picture as wide as :data:`SIZE`."""
_GHOST_PX = 5
_SECOND = " (second)"


@dataclass(frozen=True)
class Pair:
    """The two pictures, and whether they show a section."""

    right: Picture
    wrong: Picture
    cut: bool


def render_pairs(
    assembly: Assembly | PartModels,
    scenes: Iterable[PairScene],
    settings: PictureSettings | None = None,
    cache: Store | None = None,
) -> Iterator[Pair]:
    """Yield the pair of pictures of each scene; files are called ``name-right`` and ``name-wrong``.

    Args:
        assembly: the parts with their solids, or their models where they are made already.
        scenes: what to show.
        settings: of the pictures; width and height are those of step pictures, pairs are smaller.
        cache: of pictures taken before.

    Raises:
        NoGraphics: if this machine cannot draw.
        MeshError: if a solid does not give a closed mesh.
    """
    base = settings or PictureSettings()
    small = pair_settings(base)
    known = assembly if isinstance(assembly, PartModels) else models_of(assembly, base)
    stage: Stage | None = None
    try:
        for scene in scenes:
            keys = pair_keys(known.digest, base, scene)
            pair = kept_pair(cache, keys) if cache else None
            if pair is None:
                stage = stage or Stage(known, small.width, small.height, small.supersample)
                pair = _take(stage, scene, small)
                if cache:
                    cache.put(keys[0].digest, pair.right.as_entry())
                    cache.put(keys[1].digest, pair.wrong.as_entry())
            yield pair
    finally:
        if stage is not None:
            stage.close()


def kept_pair(store: Store, keys: tuple[TaskKey, TaskKey]) -> Pair | None:
    """Return the pair kept under ``keys``, None where one of its pictures is not there."""
    right, wrong = (kept_picture(store, key) for key in keys)
    if right is None or wrong is None:
        return None
    return Pair(right, wrong, "cut" in right.manifest.camera.view)


def _take(stage: Stage, scene: PairScene, settings: PictureSettings) -> Pair:
    """Choose the way to look at ``scene`` and draw both pictures."""
    if scene.opened:
        return Pair(*draw_opened(stage, scene, settings), cut=False)
    try:
        if scene.wrong_material:
            return _draw_section(stage, scene, settings)
        best = _clearest(stage, scene)
        seen = _difference(stage, best, pair_camera(stage, best))
        if seen.share < GLANCE and can_be_steeper(stage.models, scene):
            return _draw_steeper(stage, scene, settings, steepness(stage.models, scene, LEAN, STEEPER))
        if not tells_apart(seen) and can_be_further_off(stage.models, scene):
            return _draw_steeper(stage, scene, settings, STEEPER)
        return _draw(stage, scene, best, settings)
    finally:
        stage.remove_models()


def _draw_section(stage: Stage, scene: PairScene, settings: PictureSettings) -> Pair:
    """Draw a part beside one that differs in nothing but what it is made of: a section shows what is inside."""
    sections, models = section_candidates(stage.models, scene)
    stage.add_models(models)
    pair = sections[0]
    camera = cut_face_camera(stage, pair)
    frames = [
        _begin(stage, _contents(stage, scene, pair, w), camera, None, settings) for w in ("right", "wrong")
    ]
    right, wrong = (f.image for f in frames)
    seen = _difference(stage, pair, camera)
    seen = replace(seen, outline_px=drawn_apart(right, wrong))
    return Pair(_finish(frames[0], scene, seen, settings), _finish(frames[1], scene, seen, settings), True)


def _clearest(stage: Stage, scene: PairScene) -> PairView:
    """Return the way to look at ``scene`` in which the difference is plainest; its models are on the stage then."""
    candidates, models = whole_candidates(stage.models, scene)
    stage.add_models(models)
    best, worth = clearest(stage, candidates)
    if worth < PLAIN:
        sections, models = section_candidates(stage.models, scene)
        stage.add_models(models)
        section, section_worth = clearest(stage, sections) if sections else (best, -1.0)
        best = section if section_worth > worth else best
    return best


def _difference(stage: Stage, pair: PairView, camera: Camera, share: float = 1.0) -> DifferenceSeen:
    """Return how far the two pictures are apart on a phone; what the camera shows takes ``share`` of their width."""
    wide = round(share * PHONE_PX)
    right, wrong = (seen_in(stage, pair, which, camera, wide) for which in ("right", "wrong"))
    return difference_of(
        right, wrong, tuple(pair.right.values()), tuple(pair.wrong.values()), camera.height_mm
    )


def _draw(stage: Stage, scene: PairScene, pair: PairView, settings: PictureSettings) -> Pair:
    camera = pair_camera(stage, pair)
    disc = None
    if pair.plane is not None and changed_share(stage, pair, camera) < CLOSE_UP_BELOW:
        camera, disc = close_up_of_section(stage, pair, camera)
    # What a close-up shows is told apart in the close-up.
    close = camera if disc is None else disc_camera(camera, disc)
    seen = _difference(stage, pair, close, 1.0 if disc is None else 2 * disc.radius)
    frames = [
        _begin(stage, _contents(stage, scene, pair, which), camera, disc, settings)
        for which in ("right", "wrong")
    ]
    if seen.at is not None:
        at = seen.at if disc is None else _in_disc(seen.at, disc, camera.aspect)
        seen = replace(seen, at=at, pointer=_pointer(frames, at, disc))
    right, wrong = (_finish(f, scene, seen, settings) for f in frames)
    return Pair(right, wrong, pair.plane is not None)


def _in_disc(at: tuple[float, float], disc: Disc, aspect: float) -> tuple[float, float]:
    """Return where a spot of the square round a close-up lies in the picture, fractions."""
    across = 2 * disc.radius
    return (
        disc.centre[0] + (at[0] - 0.5) * across,
        disc.centre[1] + (at[1] - 0.5) * across * aspect,
    )


def _draw_steeper(stage: Stage, scene: PairScene, settings: PictureSettings, steps: Sequence[float]) -> Pair:
    """Draw the difference larger than it is, by the first of ``steps`` that shows it; beside it as it is."""
    for steeper in steps:
        stage.remove_models()
        sections, models = section_candidates(stage.models, scene, steeper)
        stage.add_models(models)
        pair, _ = clearest(stage, sections)
        camera = beside(pair_camera(stage, pair, STEEP_MARGIN))
        seen = _difference(stage, pair, camera)
        if tells_apart(seen):
            break
    flat, models = section_candidates(stage.models, scene)
    stage.add_models(models)
    true = next(c for c in flat if c.view == pair.view)
    small = pair_camera(stage, true, SMALL_MARGIN)
    frames = []
    for which in ("right", "wrong"):
        contents = _contents(stage, scene, pair, which)
        drawn = _begin(stage, contents, camera, None, settings)
        size = (round(AS_IT_IS[2] * settings.width), round(AS_IT_IS[2] * settings.width / small.aspect))
        left, top = (round(f * n) for f, n in zip(AS_IT_IS[:2], drawn.image.size, strict=True))
        as_it_is = _take_frame(stage, _contents(stage, scene, true, which), small, settings, size)
        drawn.image.paste(as_it_is.image, (left, top))
        ImageDraw.Draw(drawn.image).rectangle(
            (left, top, left + size[0], top + size[1]), outline=colour_bytes(INK), width=2
        )
        frames.append(drawn)
    width, height = settings.width, settings.height
    box = (left / width, top / height, (left + size[0]) / width, (top + size[1]) / height)
    seen = replace(seen, steeper=steeper, as_it_is=box)
    told = []
    for drawn in frames:
        at = bearing_spot(stage, drawn.contents, camera) or seen.at
        told.append(replace(seen, at=at, pointer=_pointer([drawn], at, None, box) if at else None))
    right, wrong = (_finish(f, scene, s, settings) for f, s in zip(frames, told, strict=True))
    return Pair(right, wrong, True)


def _pointer(
    frames: Sequence[_Drawn],
    at: tuple[float, float],
    disc: Disc | None,
    box: tuple[float, float, float, float] | None = None,
) -> tuple[tuple[float, float], tuple[float, float]]:
    """Return tail and tip of the arrow to ``at``, clear of the close-up's rim and of the picture in ``box``."""
    ids = frames[0].frame.ids
    high, wide = ids.part.shape
    strong = np.zeros((high, wide), dtype=bool)
    for f in frames:
        strong |= f.frame.ids.mask((*f.contents.subject.values(), *f.contents.missing))
    taken = np.zeros((high, wide), dtype=bool)
    if box is not None:
        left, top, right, foot = box
        taken[int(top * high) : int(foot * high) + 1, int(left * wide) : int(right * wide) + 1] = True
    aspect = frames[0].image.width / frames[0].image.height
    return place_arrow(at, taken, strong, aspect), at


@dataclass(frozen=True)
class _Contents:
    """What one of the two pictures shows.

    ``named`` and ``subject`` give the model of each part by its key in the manifest, ``states`` are by model;
    ``missing`` are the models of parts that should be there, ``context`` those of the neighbours.
    """

    which: Which
    named: Mapping[str, str]
    subject: Mapping[str, str]
    states: Mapping[str, State]
    scene: StepScene
    missing: Sequence[str]
    context: Sequence[str]
    plane: CuttingPlane | None


def _contents(stage: Stage, scene: PairScene, pair: PairView, which: Which) -> _Contents:
    subject = dict(pair.subject(which))
    named = dict(pair.context)
    if which == "wrong" and scene.second:
        named.update(pair.right)
        subject = {f"{k}{_SECOND}": m for k, m in subject.items()}
    strong = {*subject.values(), *(pair.right.values() if scene.second else ())}
    named.update(subject)
    places = {m: stage.model(m).place for m in named.values()}
    return _Contents(
        which,
        named,
        subject,
        {m: "moving" if m in strong else "context" for m in places},
        StepScene(places, (tuple(subject.values()),) if subject else (), ()),
        () if subject else tuple(pair.right.values()),
        tuple(pair.context.values()),
        pair.plane,
    )


@dataclass(frozen=True)
class _Drawn:
    """One of the two pictures before its arrow is drawn."""

    contents: _Contents
    frame: Frame
    image: Image.Image
    insets: tuple[Inset, ...]
    parts: dict[str, PartSeen]


def _begin(
    stage: Stage, contents: _Contents, camera: Camera, disc: Disc | None, settings: PictureSettings
) -> _Drawn:
    frame = _take_frame(stage, contents, camera, settings)
    seen = _parts_seen(stage, contents, frame)
    insets = () if disc is None else (_draw_close_up(frame, stage, contents, disc, settings),)
    return _Drawn(contents, frame, frame.image, insets, seen)


def _finish(drawn: _Drawn, scene: PairScene, seen: DifferenceSeen, settings: PictureSettings) -> Picture:
    image = drawn.image
    if seen.pointer is not None:
        draw_pointer(image, *seen.pointer)
    if not scene.wrong:
        size = round(LEFT_OUT * image.width), round(LEFT_OUT * image.height)
        image = image.resize(size, Image.Resampling.LANCZOS)
    manifest = Manifest(
        kind="pair",
        step=scene.step,
        number=scene.number,
        files={f: f"{scene.name}-{drawn.contents.which}.{f}" for f in settings.formats},
        width=image.width,
        height=image.height,
        camera=camera_seen(drawn.frame.camera),
        view_changed=False,
        parts=drawn.parts,
        insets=drawn.insets,
        difference=seen,
    )
    return Picture(manifest, {f: encode(image, f) for f in settings.formats})


def _take_frame(
    stage: Stage,
    contents: _Contents,
    camera: Camera,
    settings: PictureSettings,
    size: tuple[int, int] | None = None,
) -> Frame:
    shown = {m: Shown(p, contents.states[m]) for m, p in contents.scene.places.items()}
    frame = take_frame(stage, contents.scene, shown, camera, settings, size)
    if contents.missing:
        _draw_ghost(frame.image, stage, contents.missing, camera)
    return frame


def _parts_seen(stage: Stage, contents: _Contents, frame: Frame) -> dict[str, PartSeen]:
    """Return the manifest's account of all parts in ``frame``."""
    scene = contents.scene
    visible = measure_visible(stage, frame.ids, scene.places, scene.wanted, frame.camera)
    seen = parts_seen(frame.ids, contents.states, visible, {})
    return {k: seen[m] for k, m in contents.named.items()}


def _draw_close_up(
    frame: Frame, stage: Stage, contents: _Contents, disc: Disc, settings: PictureSettings
) -> Inset:
    """Draw the close-up of the cut face into ``frame``; return the manifest's account of it."""
    side = 2 * round(disc.radius * frame.image.width)
    close = _take_frame(stage, contents, disc_camera(frame.camera, disc), settings, (side, side))
    _mark_bearing(close, stage, contents, settings)
    draw_inset(frame.image, close.image, disc)
    seen = {k: p for k, p in _parts_seen(stage, contents, close).items() if p.visible_px}
    return Inset(
        centre=disc.centre,
        radius=disc.radius,
        of_centre=disc.of_centre,
        of_radius=disc.of_radius,
        magnification=disc.magnification,
        subject=tuple(contents.subject),
        fill=float(close.ids.mask(contents.subject.values()).mean() * 4.0 / np.pi),
        visible=min((p.visible or 0.0 for k, p in seen.items() if k in contents.subject), default=0.0),
        parts=seen,
    )


def _mark_bearing(close: Frame, stage: Stage, contents: _Contents, settings: PictureSettings) -> None:
    """Draw a thick line where the cut part bears on its neighbours, no thicker than it is long."""
    pen, width = OverlayCanvas(close.image), BEARING_WIDTH * settings.width / SIZE[0]
    for line in _bearing(stage, contents):
        at = close.camera.project(line)[:, :2] * close.image.size
        points = [(float(x), float(y)) for x, y in at]
        long = float(np.hypot(*np.diff(at, axis=0).T).sum())
        pen.line(points, min(width + BEARING_BORDER, 1.5 * long), PAPER)
        pen.line(points, min(width, long), INK)


def _bearing(stage: Stage, contents: _Contents) -> Iterator[Floats]:
    """Yield the lines along which the cut part bears on its neighbours, (n, 3) mm each."""
    plane = contents.plane
    if plane is None:
        return
    around = [cut_face(m, m.place, plane) for m in map(stage.model, contents.context)]
    for model in map(stage.model, contents.subject.values()):
        yield from bearing_lines(cut_face(model, model.place, plane), around, plane, BEARS_MM, TILT_MM)


def bearing_spot(stage: Stage, contents: _Contents, camera: Camera) -> tuple[float, float] | None:
    """Return where in the picture the cut part bears, on the upper side of the axis; None where it does not."""
    spots = [camera.project(line.mean(axis=0))[0, :2] for line in _bearing(stage, contents)]
    if not spots:
        return None
    x, y = min(spots, key=lambda s: float(s[1]))
    return float(x), float(y)


def _draw_ghost(image: Image.Image, stage: Stage, keys: Sequence[str], camera: Camera) -> None:
    """Draw the outline of what is missing where it should be, through what hides it."""
    shown = {k: Shown(stage.model(k).place, "ghost") for k in keys}
    box = pixel_box(stage, shown, camera, image.size, stage.width)
    if box is None:
        return
    drawn = stage.start(shown, camera, image.size, box, stage.width)()
    lines = Image.fromarray(_thickened(np.asarray(as_image(drawn).convert("L")), _GHOST_PX // 2))
    opacity = lines.reduce(stage.supersample).point(lambda v: round((255 - v) * 0.9))
    image.paste(colour_bytes(STRONG), box[:2], opacity)


def _thickened(grey: NDArray[np.uint8], by: int) -> NDArray[np.uint8]:
    """Return ``grey`` (h, w) with the darkest of the pixels up to ``by`` away in each row and column."""
    for axis in (0, 1):
        padded = np.pad(grey, [(by, by) if a == axis else (0, 0) for a in (0, 1)], mode="edge")
        count = grey.shape[axis]
        shifted = [padded.take(range(n, n + count), axis) for n in range(2 * by + 1)]
        grey = np.minimum.reduce(shifted)
    return grey
