"""The exploded overview of an assembly, keyed to its parts list; under it its small parts in units, drawn larger."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from ...geometry.frame import Floats
from ..composition.explode import Exploded, explode, small_units, some_of
from ..drawing.arrows import OverlayCanvas, Shape, stroke
from ..drawing.compose import contact_shade, finish
from ..drawing.manifest import Manifest, PartSeen, State
from ..drawing.measure import measure_visible, parts_seen, values_at
from ..drawing.still_files import encode
from ..engine.grid import GRID_SIZE, Ids
from ..engine.material_styles import PAPER, QUIET_INK, colour_bytes
from ..engine.stage import REFERENCE_WIDTH, Shown, Stage
from .kept_pictures import Picture
from .picture_keys import overview_key
from .studio import Drawn, Studio, camera_seen

AXIS_WIDTH = 1.3
AXIS_PERIOD, AXIS_LONG, AXIS_SHORT = 26.0, 16.0, (20.0, 22.0)
"""Width of an axis line, the length after which its dashes recur, and where in it the long and the short dash lie; px
of a picture 1600 wide."""
CONTACT_SHARE = 0.03
"""How far contact shading reaches, as a share of the assembly's extent."""
PANE_HEIGHT, PANE_GAP = 0.24, 0.012
"""Greatest height of a pane with a unit of small parts, and the air round it, as shares of the overview's width."""
LAYOUT_WINDOW = (64, 48)
"""Size of the window that a stage for layout alone opens, px."""


def render_overview_with(studio: Studio, name: str = "overview", together: Sequence[str] = ()) -> Picture:
    """Return the overview picture; ``together`` are parts shown as they sit on one another."""
    key = overview_key(studio.models.digest, studio.settings, name, tuple(together))
    return studio.cached(lambda: _draw(studio, name, together), key)()


@dataclass(frozen=True)
class _Pane:
    """An exploded layout as drawn: its image, and what is seen of each part, as fractions of it."""

    image: Image.Image
    layout: Exploded
    seen: dict[str, PartSeen]


def _draw(studio: Studio, name: str, together: Sequence[str]) -> Drawn:
    s, models = studio.settings, studio.models
    home = {m.key: m.place for m in models if m.key not in together}
    with studio.stage.shaped(studio.free_springs.standing(home, models.front)):
        whole = _pane(studio, explode(studio.stage, s.overview_width / s.overview_height, together))
        panes = [_unit_pane(studio, unit, n) for unit, n in _units(studio, whole)]
    image, places = _composed(whole.image, [p.image for p in panes])
    parts: dict[str, PartSeen] = {}
    for pane, at in zip((whole, *panes), places, strict=True):
        parts.update({k: _placed(seen, pane.image, at, image) for k, seen in pane.seen.items()})
    manifest = Manifest(
        kind="overview",
        step="",
        number=0,
        files={f: f"{name}.{f}" for f in s.formats},
        width=image.width,
        height=image.height,
        camera=camera_seen(whole.layout.camera),
        view_changed=False,
        parts=parts,
        frames=len(panes),
    )
    return lambda: Picture(manifest, {f: encode(image, f) for f in s.formats})


def _units(studio: Studio, whole: _Pane) -> list[tuple[tuple[str, ...], int]]:
    """Return the units of small parts to draw larger, each with how many there are."""
    shares = {
        k: max(p.box[2] - p.box[0], (p.box[3] - p.box[1]) * whole.image.height / whole.image.width)
        for k, p in whole.seen.items()
        if p.box is not None
    }
    units = small_units(studio.models, {k: shares.get(k, 1.0) for k in studio.models.parts})
    return [(unit, len(units)) for unit in units]


def _unit_pane(studio: Studio, unit: Sequence[str], count: int) -> _Pane:
    """Return one of ``count`` units of small parts by itself, drawn out on a pane."""
    stage, width = studio.stage, studio.settings.overview_width
    across = round(width / count - (count + 1) / count * PANE_GAP * width)
    some = some_of(studio.models, (stage.model(k) for k in unit))
    with Stage(some, *LAYOUT_WINDOW, 1) as own:
        layout = explode(own, across / (PANE_HEIGHT * width))
    return _pane(studio, layout, across)


def _pane(studio: Studio, layout: Exploded, width: int | None = None) -> _Pane:
    """Return ``layout`` drawn ``width`` pixels wide, the whole overview's width where left out."""
    s, stage, page = studio.settings, studio.stage, studio.settings.overview_width
    width, camera = width or page, layout.camera
    size = (width, round(width / camera.aspect))
    pixels = stage.draw({k: Shown(p, "plain") for k, p in layout.places.items()}, camera, size, page)
    ids = stage.ids(layout.places, camera, round(GRID_SIZE[0] * width / page))
    reach = min(studio.models.extent_mm, camera.width_mm) * CONTACT_SHARE
    shade = contact_shade(ids, camera, reach) if s.contact_shading else None
    image = finish(pixels, s.supersample, shade)
    _draw_axes(image, layout, ids, page)
    states: dict[str, State] = dict.fromkeys(layout.places, "plain")
    visible = measure_visible(stage, ids, layout.places, [[k] for k in layout.places], camera)
    moved = {k: shift for layer, shift in zip(layout.layers, layout.shifts, strict=True) for k in layer.keys}
    return _Pane(image, layout, parts_seen(ids, states, visible, moved))


def _composed(whole: Image.Image, panes: Sequence[Image.Image]) -> tuple[Image.Image, list[tuple[int, int]]]:
    """Return the overview with ``panes`` side by side under it, each in a frame, and where each image lies in it."""
    if not panes:
        return whole, [(0, 0)]
    gap = round(PANE_GAP * whole.width)
    height = max(p.height for p in panes)
    page = Image.new("RGB", (whole.width, whole.height + height + 2 * gap), colour_bytes(PAPER))
    page.paste(whole, (0, 0))
    at, left = [(0, 0)], gap
    frames: list[Shape] = []
    for pane in panes:
        top, foot = whole.height + gap, whole.height + gap + height
        at.append((left, top + (height - pane.height) // 2))
        page.paste(pane, at[-1])
        right = left + pane.width
        corners = [(left, top), (right, top), (right, foot), (left, foot), (left, top)]
        frames += stroke(
            [(float(x), float(y)) for x, y in corners], AXIS_WIDTH * page.width / REFERENCE_WIDTH
        )
        left = right + gap
    OverlayCanvas(page).polygons(frames, QUIET_INK)
    return page, at


def _placed(seen: PartSeen, pane: Image.Image, at: tuple[int, int], page: Image.Image) -> PartSeen:
    """Return what is seen of a part as fractions of the page, of which ``pane`` lies ``at`` (left, top)."""

    def spot(x: float, y: float) -> tuple[float, float]:
        return (at[0] + x * pane.width) / page.width, (at[1] + y * pane.height) / page.height

    if seen.anchor is None or seen.box is None:
        return seen
    left, top, right, foot = seen.box
    return replace(seen, anchor=spot(*seen.anchor), box=(*spot(left, top), *spot(right, foot)))


def _draw_axes(image: Image.Image, layout: Exploded, ids: Ids, page_width: int) -> None:
    """Draw the axis lines, long dash and short dash, where no part stands in front of them."""
    scale = page_width / REFERENCE_WIDTH
    shapes: list[Shape] = []
    for line in layout.axes:
        ends = layout.camera.project(line)
        length = float(np.hypot(*((ends[1, :2] - ends[0, :2]) * image.size)))
        along = np.linspace(0.0, 1.0, max(2, int(length / 2)))
        points = ends[0] + (ends[1] - ends[0]) * along[:, None]
        seen = (values_at(ids.part, points) < 0) | (points[:, 2] > values_at(ids.near_mm, points))
        drawn = seen & _dashed(along * length / scale)
        pixels = points[:, :2] * image.size
        for begin, end in _runs(drawn):
            (x0, y0), (x1, y1) = pixels[[begin, end]].tolist()
            shapes += stroke([(x0, y0), (x1, y1)], AXIS_WIDTH * scale)
    OverlayCanvas(image).polygons(shapes, QUIET_INK)


def _dashed(along_px: Floats) -> NDArray[np.bool_]:
    """Return where a line of long and short dashes is drawn, ``along_px`` (n,) from its start."""
    phase = along_px % AXIS_PERIOD
    return np.asarray((phase < AXIS_LONG) | ((phase > AXIS_SHORT[0]) & (phase < AXIS_SHORT[1])))


def _runs(drawn: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Return first and last number of each run of two or more that are ``drawn`` (n,)."""
    changes = np.diff(np.concatenate([[0], drawn.astype(np.int8), [0]]))
    begins, ends = np.flatnonzero(changes == 1), np.flatnonzero(changes == -1) - 1
    return [(b, e) for b, e in zip(begins.tolist(), ends.tolist(), strict=True) if e > b]
