"""Two pieces opened like a book: the face of one, and beside it that of the other as a hinge between them would lay it.

What goes from one piece into the other (a dowel, a pin, a key) is ringed on both faces, and a line joins the rings. The
largest have full lines, smaller ones dashed lines; where all are of one size, those of the second shaft are dashed.
Where the wrong way round brings one to another spot than the right way, that spot is crossed out.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from PIL import Image

from ...geometry.frame import Floats, Place
from ..composition.pair_views import PairScene, Which
from ..composition.views import StepScene
from ..drawing.arrows import OverlayCanvas, Point, cut_dashes
from ..drawing.compose import encode
from ..drawing.differences import PHONE_PX, difference_of, draw_pointer, place_arrow
from ..drawing.manifest import DifferenceSeen, LinkSeen, Manifest, PartSeen, State
from ..drawing.measure import measure_visible, parts_seen
from ..drawing.settings import PictureSettings
from ..engine.camera import Camera, View, fit_camera
from ..engine.grid import Ids
from ..engine.material_styles import INK, PAPER, colour_bytes
from ..engine.stage import Shown, Stage
from .frames import Frame, take_frame
from .kept_pictures import Picture
from .studio import camera_seen

LEAF = 0.485
"""Width of one face, as a share of the picture's; what is left is the hinge."""
LEAF_ASPECTS = (0.66, 1.35)
"""Least and greatest width over height of it."""
MARGIN = 0.07
SAME_SPOT_MM = 0.3
RING, RING_AIR = 5.0, 5.0
"""Width of a ring, and its distance from what it is round, px of a picture 1040 wide; lines are as wide."""
CROSS = 13.0
"""Least half width of a cross, px of the same."""
DASH, GAP = 14.0, 10.0
BOW = 0.022
"""By how much lines that would lie on one another are bowed apart, as a share of the picture's height."""


@dataclass(frozen=True)
class _Leaf:
    """One face: its picture, what is seen in it, and where its left edge lies, px."""

    frame: Frame
    left: int
    places: Mapping[str, Place]
    states: Mapping[str, State]

    def spot(self, points: Floats) -> Floats:
        """Return points (n, 3) mm as pixels of the whole picture, (n, 2)."""
        at: Floats = self.frame.camera.project(points)[:, :2] * self.frame.image.size + (self.left, 0.0)
        return at


@dataclass(frozen=True)
class _Book:
    """Both faces of one of the two pictures: that of the other piece on the left, that of the moving one on the right."""

    still: _Leaf
    moving: _Leaf
    links: tuple[LinkSeen, ...]
    image: Image.Image


def draw_opened(stage: Stage, scene: PairScene, settings: PictureSettings) -> tuple[Picture, Picture]:
    """Return the right and the wrong picture of ``scene``."""
    width = settings.width
    leaf = round(LEAF * width)
    views = _views(stage, scene)
    points = _points(stage, scene.right)
    across = np.ptp(points @ views[0].axes[:2].T, axis=0)
    aspect = float(np.clip(across[0] / max(across[1], 1e-9), *LEAF_ASPECTS))
    size = (leaf, min(round(leaf / aspect), stage.height))
    cameras = [fit_camera(v, points, size[0] / size[1], MARGIN) for v in views]
    whole = replace(settings, width=width, height=size[1])
    books = [_open(stage, scene, which, (cameras[0], cameras[1]), size, settings) for which in ("right", "wrong")]
    seen = _difference(stage, scene, books, cameras[1])
    if not books[0].links and seen.at is not None:
        seen = replace(seen, pointer=_pointer(books, seen.at))
    elif books[0].links:
        seen = replace(seen, at=_turned_aside(books))
    right, wrong = (
        _finish(stage, scene, book, seen, which, whole) for book, which in zip(books, ("right", "wrong"), strict=True)
    )
    return right, wrong


def _turned_aside(books: Sequence[_Book]) -> Point | None:
    """Return where the first link is that the wrong way round leads to another spot."""
    return next((link.head for link in books[1].links if not link.met), None)


def _views(stage: Stage, scene: PairScene) -> tuple[View, View]:
    """Return the views straight at the face of the other piece, and at that of the moving one."""
    models, out = stage.models, np.array(scene.out)
    up = models.up if abs(float(out @ np.array(models.up))) < 0.7 else models.front
    back = (-scene.out[0], -scene.out[1], -scene.out[2])
    return View("opened like a book", scene.out, up), View("opened like a book, its face", back, up)


def _points(stage: Stage, places: Mapping[str, Place]) -> Floats:
    return np.concatenate([p.points(stage.model(k).mesh.extreme_points) for k, p in places.items()])


def _open(
    stage: Stage,
    scene: PairScene,
    which: Which,
    cameras: tuple[Camera, Camera],
    size: tuple[int, int],
    settings: PictureSettings,
) -> _Book:
    own = scene.right if which == "right" else scene.wrong
    image = Image.new("RGB", (settings.width, size[1]), colour_bytes(PAPER))
    leaves = []
    for places, camera, left in ((scene.around, cameras[0], 0), (own, cameras[1], settings.width - size[0])):
        states: dict[str, State] = {
            k: "moving" if k in own else "focus" if k in scene.links else "context" for k in places
        }
        shown = {k: Shown(p, states[k]) for k, p in places.items()}
        frame = take_frame(stage, StepScene(dict(places), (tuple(places),), ()), shown, camera, settings, size)
        leaves.append(_Leaf(frame, left, places, states))
        image.paste(frame.image, (left, 0))
    still, moving = leaves
    _draw_hinge(image)
    return _Book(still, moving, _draw_links(stage, scene, still, moving, which, image), image)


def _draw_hinge(image: Image.Image) -> None:
    pen, x = OverlayCanvas(image), image.width / 2
    pen.dashes([(x, 0.0), (x, float(image.height))], 2.0, 22.0, 12.0, INK)


def _draw_links(
    stage: Stage, scene: PairScene, still: _Leaf, moving: _Leaf, which: Which, image: Image.Image
) -> tuple[LinkSeen, ...]:
    """Ring what goes from one piece into the other on both faces, and join the rings; return what was drawn."""
    scale = image.width / 1040
    own = moving.places
    thick = {k: _thickness(stage, scene, k) for k in scene.links}
    dashed = _dashed(stage, scene.links, thick)
    found = []
    pen = OverlayCanvas(image)
    for number, key in enumerate(scene.links):
        place = own[key] if key in own else scene.around[key]
        model = stage.model(key)
        middle = place.points(np.stack([np.mean(model.mesh.box, axis=0)]))
        tail, head = still.spot(middle)[0], moving.spot(middle)[0]
        pixel_mm = still.frame.camera.height_mm / image.height
        radius = thick[key] / 2 / pixel_mm + RING_AIR * scale
        met = which == "right" or _same_spot(scene, key, np.asarray(middle[0]))
        for at, other_side in ((tail, key in own), (head, key not in own)):
            spot = (float(at[0]), float(at[1]))
            _ring(pen, spot, radius, RING * scale, dashed[key])
            if other_side and not met:
                _cross(pen, spot, max(radius, CROSS * scale), RING * 1.5 * scale)
        if met or which == "wrong":
            _join(pen, tail, head, radius, RING * scale * 0.7, dashed[key], number, image.height)
        size = np.array([image.width, image.height])
        (tx, ty), (hx, hy) = tail / size, head / size
        found.append(LinkSeen(key, (float(tx), float(ty)), (float(hx), float(hy)), dashed[key], met))
    return tuple(found)


def _thickness(stage: Stage, scene: PairScene, key: str) -> float:
    """Return how thick a part is across the way it is fitted, mm."""
    place = scene.right.get(key) or scene.around[key]
    points = place.points(stage.model(key).mesh.extreme_points)
    out = np.array(scene.out)
    flat = points - np.outer(points @ out, out)
    return float(np.linalg.norm(np.ptp(flat, axis=0))) / (2**0.5)


def _dashed(stage: Stage, links: Sequence[str], thick: Mapping[str, float]) -> dict[str, bool]:
    """Return which links are drawn dashed: the smaller ones, or where all are of one size those of the second shaft."""
    largest = max(thick.values(), default=0.0)
    if largest - min(thick.values(), default=0.0) > 0.02 * largest:
        return {k: thick[k] < 0.98 * largest for k in links}
    first = stage.model(links[0]).side if links else None
    return {k: stage.model(k).side != first for k in links}


def _same_spot(scene: PairScene, key: str, at: Floats) -> bool:
    """Return whether a link that goes wrong meets the very spot that it meets where all is right.

    ``at`` is where it is, mm. On which end of the other piece that is counts, how far off it stays does not.
    """
    out = scene.out
    if key in scene.wrong:
        there = np.array(scene.right[key].point((0.0, 0.0, 0.0))) - np.array(scene.wrong[key].point((0.0, 0.0, 0.0)))
        there -= np.array(out) * float(there @ np.array(out))
        return float(np.linalg.norm(there)) < SAME_SPOT_MM
    point = (float(at[0]), float(at[1]), float(at[2]))
    met_right = _nearest(scene.right, at)
    met_wrong = _nearest(scene.wrong, at)
    own = []
    for place in (scene.right[met_right], scene.wrong[met_wrong]):
        back = place.inverse()
        own.append((np.array(back.point(point)), np.array(back.direction(out))))
    (p, a), (q, b) = own
    if float(a @ b) < 0.9:
        return False
    apart = q - p
    apart -= a * float(apart @ a)
    return float(np.linalg.norm(apart)) < SAME_SPOT_MM


def _nearest(places: Mapping[str, Place], at: Floats) -> str:
    return min(places, key=lambda k: float(np.hypot(*(np.array(places[k].shift) - at)[:2])))


def _ring(pen: OverlayCanvas, at: Point, radius: float, width: float, dashed: bool) -> None:
    pen.ring(at, radius, width * 2.0, PAPER)
    if dashed:
        turns = np.linspace(0.0, 2 * np.pi, 49)
        path = [(at[0] + radius * float(np.cos(t)), at[1] + radius * float(np.sin(t))) for t in turns]
        for piece in cut_dashes(path, DASH * 0.55, GAP * 0.6):
            pen.line(piece, width, INK)
    else:
        pen.ring(at, radius, width, INK)


def _cross(pen: OverlayCanvas, at: Point, half: float, width: float) -> None:
    (x, y), h = at, half * 0.9
    for colour, w in ((PAPER, width * 1.8), (INK, width)):
        for sign in (1.0, -1.0):
            pen.line([(x - h, y - sign * h), (x + h, y + sign * h)], w, colour)


def _join(
    pen: OverlayCanvas, tail: Floats, head: Floats, radius: float, width: float, dashed: bool, number: int, high: int
) -> None:
    """Draw the line from ring to ring, bowed a little so that several at one height can be told apart."""
    bow = BOW * high * (1 + number // 2) * (1.0 if number % 2 == 0 else -1.0)
    shares = np.linspace(0.0, 1.0, 40)
    path = tail + np.outer(shares, head - tail) - np.outer(4 * bow * shares * (1 - shares), [0.0, 1.0])
    clear = (np.hypot(*(path - tail).T) > radius) & (np.hypot(*(path - head).T) > radius)
    points = [(float(x), float(y)) for x, y in path[clear]]
    if len(points) < 2:
        return
    pen.line(points, width * 2.2, PAPER, 0.8)
    if dashed:
        pen.dashes(points, width, DASH, GAP, INK)
    else:
        pen.line(points, width, INK)


def _difference(stage: Stage, scene: PairScene, books: Sequence[_Book], camera: Camera) -> DifferenceSeen:
    """Return how far the faces of the moving piece are apart on a phone, all and part by part."""
    wide = round(LEAF * PHONE_PX)
    ids: list[Ids] = [stage.ids(dict(b.moving.places), camera, wide) for b in books]
    keys = tuple(scene.right)
    found = difference_of(ids[0], ids[1], keys, keys, camera.height_mm)
    several = [difference_of(ids[0], ids[1], (k,), (k,), camera.height_mm).outline_px for k in keys]
    at = found.at
    if at is not None:
        at = (1.0 - LEAF + at[0] * LEAF, at[1])
    return replace(found, outline_px=max([found.outline_px, *several]), at=at)


def _pointer(books: Sequence[_Book], at: Point) -> tuple[Point, Point]:
    """Return tail and tip of the arrow at the difference, on the leaf of the moving piece."""
    masks = [b.moving.frame.ids.mask(b.moving.places) for b in books]
    strong = masks[0] | masks[1]
    high, wide = strong.shape
    whole = np.zeros((high, round(wide / LEAF)), dtype=bool)
    whole[:, -wide:] = strong
    taken = np.zeros_like(whole)
    taken[:, : -wide] = True
    return place_arrow(at, taken, whole, books[0].image.width / books[0].image.height), at


def _finish(
    stage: Stage,
    scene: PairScene,
    book: _Book,
    seen: DifferenceSeen,
    which: Which,
    settings: PictureSettings,
) -> Picture:
    if seen.pointer is not None:
        draw_pointer(book.image, *seen.pointer)
    manifest = Manifest(
        kind="pair",
        step=scene.step,
        number=scene.number,
        files={f: f"{scene.name}-{which}.{f}" for f in settings.formats},
        width=book.image.width,
        height=book.image.height,
        camera=camera_seen(book.moving.frame.camera),
        view_changed=False,
        parts={**_seen(stage, book.still), **_seen(stage, book.moving)},
        difference=seen,
        links=book.links,
    )
    return Picture(manifest, {f: encode(book.image, f, settings.webp_quality) for f in settings.formats})


def _seen(stage: Stage, leaf: _Leaf) -> dict[str, PartSeen]:
    """Return what is seen on a leaf; positions are fractions of the whole picture."""
    frame = leaf.frame
    wanted = [(k,) for k, state in leaf.states.items() if state == "moving"]
    visible = measure_visible(stage, frame.ids, leaf.places, wanted, frame.camera)
    found = parts_seen(frame.ids, leaf.states, visible, {})
    left = 0.0 if leaf.left == 0 else 1.0 - LEAF

    def across(x: float) -> float:
        return left + x * LEAF

    return {
        k: replace(
            p,
            anchor=None if p.anchor is None else (across(p.anchor[0]), p.anchor[1]),
            box=None if p.box is None else (across(p.box[0]), p.box[1], across(p.box[2]), p.box[3]),
        )
        for k, p in found.items()
    }
