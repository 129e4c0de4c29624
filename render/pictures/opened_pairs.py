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

from ...geometry.frame import Floats, Place, Vec3
from ..composition.pair_views import PairScene, Which
from ..composition.views import StepScene
from ..drawing.arrows import OverlayCanvas, Point
from ..drawing.differences import PHONE_PX, difference_of, draw_pointer, place_arrow
from ..drawing.link_marks import draw_bar, draw_cross, draw_link, draw_ring, paste_disc
from ..drawing.manifest import DifferenceSeen, LinkSeen, Manifest, PartSeen, State
from ..drawing.measure import measure_visible, parts_seen
from ..drawing.settings import PictureSettings
from ..drawing.still_files import encode
from ..engine.camera import Camera, View
from ..engine.material_styles import INK, PAPER, colour_bytes
from ..engine.stage import Shown, Stage
from .frames import Frame, take_frame
from .kept_pictures import Picture
from .studio import camera_seen

WHICH: tuple[Which, Which] = ("right", "wrong")
HINGE = 0.03
"""Width of the hinge between the faces, as a share of the picture's."""
LEAF_SHARES = (0.34, 0.66)
"""Least and greatest share of what the hinge leaves that one face takes."""
HEIGHTS = (0.34, 0.75)
"""Least and greatest height of the faces, as shares of the picture's width."""
AIR = 0.05
"""Air round a face, as a share of its breadth or height."""
SAME_SPOT_MM = 0.3
RING, RING_AIR = 5.0, 9.0
"""Width of a ring, and its distance from what it is round, px of a picture 1040 wide; lines are as wide."""
CROSS = 15.0
"""Least half width of a cross, px of the same."""
CLOSE_BELOW = 36.0
"""Links of a smaller radius, px of the same, are seen large in a row below."""
CLOSE_RADIUS, CLOSE_AIR = 0.1, 0.014
"""Radius of the discs of that row, and air round them, as shares of the picture's width."""
CLOSE_REACH, CLOSE_REACH_SIDES = 1.9, 4.4
"""Breadth of what a disc takes in, as a multiple of the thickest link's; where links are told apart by their side, what
is round them is taken in too: the other keyway of the same bore."""


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
    """Both faces of one of the two pictures: that of the other piece on the left, of the moving one on the right."""

    still: _Leaf
    moving: _Leaf
    links: tuple[LinkSeen, ...]
    image: Image.Image


def draw_opened(stage: Stage, scene: PairScene, settings: PictureSettings) -> tuple[Picture, Picture]:
    """Return the right and the wrong picture of ``scene``."""
    leaves = _lay_out(stage, scene, settings.width)
    thick = {k: _thickness(stage, scene, k) for k in scene.links}
    dashed = _dashed(stage, scene.links, thick)
    pixel_mm = leaves[0].camera.height_mm / leaves[0].size[1]
    close = _close_ups(stage, scene, thick, dashed, pixel_mm * settings.width / 1040)
    row = round((2 * CLOSE_RADIUS + 2 * CLOSE_AIR) * settings.width) if close else 0
    size = (settings.width, leaves[0].size[1] + row)
    books = []
    for which in WHICH:
        book = _open(stage, scene, which, leaves, size, settings)
        links = _draw_links(stage, scene, book, which, thick, dashed, leaves[0].size[1])
        books.append(replace(book, links=links))
    seen = _difference(stage, scene, books, close)
    if books[0].links:
        spots = (link.head for link in books[1].links if not link.met)
        seen = replace(seen, at=next(spots, None))
    elif seen.at is not None:
        seen = replace(seen, pointer=_pointer(books, seen.at))
    for book, which in zip(books, WHICH, strict=True):
        _draw_row(stage, scene, book, which, close, thick, settings)
    right, wrong = (_finish(stage, scene, b, seen, w, settings) for b, w in zip(books, WHICH, strict=True))
    return right, wrong


@dataclass(frozen=True)
class _Place:
    """Where a face lies in the picture, and what looks at it."""

    camera: Camera
    left: int
    size: tuple[int, int]


def _lay_out(stage: Stage, scene: PairScene, width: int) -> tuple[_Place, _Place]:
    """Return where both faces lie: at one scale and level, each as wide as what is to be seen of it."""
    views = _views(stage, scene)
    own = np.concatenate([_points(stage, scene.right), _points(stage, scene.wrong)])
    low, high = _span(own, views[0])
    # Of the other piece what lies where the moving one comes to is enough.
    there_low, there_high = _span(_points(stage, scene.around), views[0])
    there_low, there_high = max(there_low[0], low[0]), min(there_high[0], high[0])
    air = AIR * (high - low)
    breadths = (there_high - there_low + 2 * air[0], high[0] - low[0] + 2 * air[0])
    room = width * (1.0 - HINGE)
    share = float(np.clip(breadths[0] / sum(breadths), *LEAF_SHARES))
    widths = round(room * share), round(room * (1.0 - share))
    pixel_mm = max(b / w for b, w in zip(breadths, widths, strict=True))
    tall = float(high[1] - low[1] + 2 * air[1])
    tallest = min(HEIGHTS[1] * width, stage.height)
    height = round(float(np.clip(tall / pixel_mm, HEIGHTS[0] * width, tallest)))
    pixel_mm = max(pixel_mm, tall / height)
    middle, level = (high + low) / 2, float(own.mean(axis=0) @ views[0].axes[2])
    found = []
    for view, across, wide, left in zip(
        views, ((there_low + there_high) / 2, middle[0]), widths, (0, width - widths[1]), strict=True
    ):
        x, y, z = np.array([across, middle[1], level]) @ views[0].axes
        camera = Camera(view, (float(x), float(y), float(z)), height * pixel_mm, wide / height)
        found.append(_Place(camera, left, (wide, height)))
    return found[0], found[1]


def _span(points: Floats, view: View) -> tuple[Floats, Floats]:
    at = points @ view.axes[:2].T
    return at.min(axis=0), at.max(axis=0)


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
    leaves: tuple[_Place, _Place],
    size: tuple[int, int],
    settings: PictureSettings,
) -> _Book:
    own = scene.right if which == "right" else scene.wrong
    image = Image.new("RGB", size, colour_bytes(PAPER))
    found = []
    for places, leaf in zip((scene.around, own), leaves, strict=True):
        states: dict[str, State] = {
            k: "focus" if k in scene.links else "moving" if k in own else "plain" for k in places
        }
        shown = {k: Shown(p, states[k]) for k, p in places.items()}
        step = StepScene(dict(places), (tuple(places),), ())
        frame = take_frame(stage, step, shown, leaf.camera, settings, leaf.size)
        found.append(_Leaf(frame, leaf.left, places, states))
        image.paste(frame.image, (leaf.left, 0))
    still, moving = found
    x = (leaves[0].size[0] + leaves[1].left) / 2
    OverlayCanvas(image).dashes([(x, 0.0), (x, float(leaves[0].size[1]))], 2.0, 22.0, 12.0, INK)
    return _Book(still, moving, (), image)


def _draw_links(
    stage: Stage,
    scene: PairScene,
    book: _Book,
    which: Which,
    thick: Mapping[str, float],
    dashed: Mapping[str, bool],
    high: int,
) -> tuple[LinkSeen, ...]:
    """Ring what goes from one piece into the other on both faces, and join the rings; return what was drawn."""
    still, moving, image = book.still, book.moving, book.image
    scale = image.width / 1040
    own = moving.places
    found = []
    pen = OverlayCanvas(image)
    for number, key in enumerate(scene.links):
        place = own[key] if key in own else scene.around[key]
        model = stage.model(key)
        middle = place.points(np.stack([np.mean(model.mesh.box, axis=0)]))
        tail, head = still.spot(middle)[0], moving.spot(middle)[0]
        pixel_mm = still.frame.camera.height_mm / high
        radius = thick[key] / 2 / pixel_mm + RING_AIR * scale
        met = which == "right" or _same_spot(scene, key, np.asarray(middle[0]))
        for at, other_side in ((tail, key in own), (head, key not in own)):
            spot = (float(at[0]), float(at[1]))
            draw_ring(pen, spot, radius, RING * scale, dashed[key])
            if other_side and not met:
                draw_cross(pen, spot, max(radius, CROSS * scale), RING * 1.5 * scale)
        if met or which == "wrong":
            draw_link(pen, tail, head, radius, RING * scale * 0.7, dashed[key], number, high)
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
        there = np.array(scene.right[key].point((0.0, 0.0, 0.0))) - np.array(
            scene.wrong[key].point((0.0, 0.0, 0.0))
        )
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


@dataclass(frozen=True)
class _CloseUp:
    """A link seen large: what looks at it on the face of the other piece, and on that of the moving one."""

    key: str
    cameras: tuple[Camera, Camera]
    dashed: bool


def _close_ups(
    stage: Stage, scene: PairScene, thick: Mapping[str, float], dashed: Mapping[str, bool], pixel_mm: float
) -> tuple[_CloseUp, ...]:
    """Return the links to show large: the first that is drawn with full lines and the first that is dashed.

    ``pixel_mm`` is the size of a pixel of a picture 1040 wide. Empty where they are large enough.
    """
    largest = max(thick.values(), default=0.0)
    if not thick or largest / 2 / pixel_mm >= CLOSE_BELOW:
        return ()
    chosen = [next((k for k in scene.links if dashed[k] is kind), None) for kind in (False, True)]
    by_side = min(thick.values()) > 0.98 * largest and any(dashed.values())
    side = largest * (CLOSE_REACH_SIDES if by_side else CLOSE_REACH)
    found = []
    for key in (k for k in chosen if k is not None):
        place = scene.right.get(key) or scene.around[key]
        x, y, z = place.points(np.stack([np.mean(stage.model(key).mesh.box, axis=0)]))[0]
        first, second = (Camera(v, (float(x), float(y), float(z)), side, 1.0) for v in _views(stage, scene))
        found.append(_CloseUp(key, (first, second), dashed[key]))
    return tuple(found)


def _draw_row(
    stage: Stage,
    scene: PairScene,
    book: _Book,
    which: Which,
    close: Sequence[_CloseUp],
    thick: Mapping[str, float],
    settings: PictureSettings,
) -> None:
    """Draw the links large below the faces: what goes in, joined to the spot where it does."""
    image = book.image
    width = image.width
    scale = width / 1040
    radius = CLOSE_RADIUS * width
    y = image.height - (CLOSE_RADIUS + CLOSE_AIR) * width
    pen = OverlayCanvas(image)
    for number, shown in enumerate(close):
        block = width / max(len(close), 1)
        middle = (number + 0.5) * block
        link = next(n for n in book.links if n.part == shown.key)
        centres = [middle - radius - 0.02 * width, middle + radius + 0.02 * width]
        if link.met or which == "wrong":
            draw_bar(pen, (centres[0] + radius, y), (centres[1] - radius, y), RING * scale, shown.dashed)
        for leaf, camera, x, on_own in zip(
            (book.still, book.moving),
            shown.cameras,
            centres,
            (shown.key not in book.moving.places, shown.key in book.moving.places),
            strict=True,
        ):
            side = 2 * round(radius)
            at = Camera(camera.view, _followed(scene, shown.key, camera, which), camera.height_mm, 1.0)
            parts = {k: Shown(p, leaf.states[k]) for k, p in leaf.places.items()}
            step = StepScene(dict(leaf.places), (tuple(leaf.places),), ())
            frame = take_frame(stage, step, parts, at, settings, (side, side))
            paste_disc(image, frame.image, (x, y), radius, RING * 0.7 * scale)
            if not on_own:
                drawn = thick[shown.key] / 2 / at.height_mm * side
                draw_ring(pen, (x, y), drawn, RING * 0.8 * scale, shown.dashed)
                if not link.met:
                    draw_cross(pen, (x, y), drawn * 0.8, RING * 1.6 * scale)


def _followed(scene: PairScene, key: str, camera: Camera, which: Which) -> Vec3:
    """Return the middle of a close-up: where the link is in the picture, which moves with its piece."""
    if which == "right" or key not in scene.wrong:
        return camera.centre
    motion = scene.wrong[key] @ scene.right[key].inverse()
    return motion.point(camera.centre)


def _difference(
    stage: Stage, scene: PairScene, books: Sequence[_Book], close: Sequence[_CloseUp]
) -> DifferenceSeen:
    """Return how far the faces of the moving piece are apart on a phone: all, part by part, and in the close-ups."""
    frame = books[0].moving.frame
    share = frame.image.width / books[0].image.width
    ids = [stage.ids(dict(b.moving.places), frame.camera, round(share * PHONE_PX)) for b in books]
    keys, high = tuple(scene.right), frame.camera.height_mm
    found = difference_of(ids[0], ids[1], keys, keys, high, innermost=True)
    outlines = [difference_of(ids[0], ids[1], (k,), (k,), high).outline_px for k in keys]
    for shown in close:
        on_own = 1 if shown.key not in scene.right else 0
        seen = []
        for book, which in zip(books, WHICH, strict=True):
            leaf = book.moving if on_own else book.still
            camera = shown.cameras[1 if on_own else 0]
            centre = _followed(scene, shown.key, camera, which)
            close_up = Camera(camera.view, centre, camera.height_mm, 1.0)
            seen.append(
                (
                    stage.ids(dict(leaf.places), close_up, round(2 * CLOSE_RADIUS * PHONE_PX)),
                    tuple(leaf.places),
                )
            )
        (a, of_a), (b, of_b) = seen
        outlines.append(difference_of(a, b, of_a, of_b, shown.cameras[0].height_mm).outline_px)
    at = found.at
    if at is not None:
        at = (1.0 - share + at[0] * share, at[1] * frame.image.height / books[0].image.height)
    return replace(found, outline_px=max([found.outline_px, *outlines]), at=at)


def _pointer(books: Sequence[_Book], at: Point) -> tuple[Point, Point]:
    """Return tail and tip of the arrow at the difference, on the leaf of the moving piece."""
    masks = [b.moving.frame.ids.mask(b.moving.places) for b in books]
    strong = masks[0] | masks[1]
    high, wide = strong.shape
    image = books[0].image
    share = books[0].moving.frame.image.width / image.width
    whole = np.zeros((high, round(wide / share)), dtype=bool)
    whole[:, -wide:] = strong
    taken = np.zeros_like(whole)
    taken[:, :-wide] = True
    return place_arrow(at, taken, whole, image.width / image.height), at


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
        parts={**_seen(stage, book, book.still), **_seen(stage, book, book.moving)},
        difference=seen,
        links=book.links,
    )
    return Picture(manifest, {f: encode(book.image, f) for f in settings.formats})


def _seen(stage: Stage, book: _Book, leaf: _Leaf) -> dict[str, PartSeen]:
    """Return what is seen on a leaf; positions are fractions of the whole picture."""
    frame, image = leaf.frame, book.image
    wanted = [(k,) for k, state in leaf.states.items() if state == "moving"]
    visible = measure_visible(stage, frame.ids, leaf.places, wanted, frame.camera)
    found = parts_seen(frame.ids, leaf.states, visible, {})
    wide, high = frame.image.width / image.width, frame.image.height / image.height

    def at(x: float, y: float) -> Point:
        return leaf.left / image.width + x * wide, y * high

    return {
        k: replace(
            p,
            anchor=None if p.anchor is None else at(*p.anchor),
            box=None if p.box is None else (*at(*p.box[:2]), *at(*p.box[2:])),
        )
        for k, p in found.items()
    }
