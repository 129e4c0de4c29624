"""The exploded overview of an assembly, keyed to its parts list."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from PIL import Image

from ..composition.explode import Exploded, explode
from ..drawing.arrows import OverlayCanvas, Point, stroke
from ..drawing.compose import contact_shade, encode, finish
from ..drawing.manifest import CameraSeen, Manifest, State
from ..drawing.measure import measure_visible, parts_seen
from ..engine.grid import GRID_SIZE, Ids
from ..engine.material_styles import QUIET_INK
from ..engine.stage import REFERENCE_WIDTH, Shown
from .studio import Drawn, Picture, Studio, camera_seen


def render_overview_with(studio: Studio, name: str = "overview", together: Sequence[str] = ()) -> Picture:
    """Return the overview picture; ``together`` are parts shown as they sit on one another."""
    return studio.remembered(lambda: _draw(studio, name, together), "overview", name, tuple(together))()


def _draw(studio: Studio, name: str, together: Sequence[str]) -> Drawn:
    s, models = studio.settings, studio.models
    stage = studio.stage
    layout = explode(stage, s.overview_width / s.overview_height, together)
    camera = layout.camera
    height = round(s.overview_width / camera.aspect)
    size = (s.overview_width, height)
    pixels = stage.draw({k: Shown(p, "plain") for k, p in layout.places.items()}, camera, size)
    ids = stage.ids(layout.places, camera, GRID_SIZE[0])
    shade = contact_shade(ids, camera, models.extent_mm * 0.03) if s.contact_shading else None
    image = finish(pixels, s.supersample, shade)
    _draw_axes(image, layout, ids)
    states: dict[str, State] = dict.fromkeys(layout.places, "plain")
    visible = measure_visible(stage, ids, layout.places, [[k] for k in layout.places], camera)
    moved = {k: shift for layer, shift in zip(layout.layers, layout.shifts, strict=True) for k in layer.keys}
    seen: CameraSeen = camera_seen(camera)
    manifest = Manifest(
        kind="overview",
        step="",
        number=0,
        files={f: f"{name}.{f}" for f in s.formats},
        width=s.overview_width,
        height=height,
        camera=seen,
        view_changed=False,
        parts=parts_seen(ids, states, visible, moved),
    )
    return lambda: Picture(manifest, {f: encode(image, f, s.webp_quality) for f in s.formats})


def _draw_axes(image: Image.Image, layout: Exploded, ids: Ids) -> None:
    """Draw the axis lines, long dash and short dash, where no part stands in front of them."""
    overlay = OverlayCanvas(image)
    height, width = ids.part.shape
    scale = image.width / REFERENCE_WIDTH
    shapes: list[Sequence[Point]] = []
    for line in layout.axes:
        ends = layout.camera.project(line)
        length = float(np.hypot(*((ends[1, :2] - ends[0, :2]) * image.size)))
        count = max(2, int(length / 2))
        t = np.linspace(0.0, 1.0, count)[:, None]
        points = ends[0] + (ends[1] - ends[0]) * t
        x = np.clip((points[:, 0] * width).astype(int), 0, width - 1)
        y = np.clip((points[:, 1] * height).astype(int), 0, height - 1)
        seen = (ids.part[y, x] < 0) | (points[:, 2] > ids.near_mm[y, x])
        along = t[:, 0] * length / scale
        phase = along % 26.0
        on = seen & ((phase < 16.0) | ((phase > 20.0) & (phase < 22.0)))
        pixels = points[:, :2] * image.size
        begin = None
        for n in range(count + 1):
            if n < count and on[n]:
                begin = n if begin is None else begin
            elif begin is not None:
                if n - begin >= 2:
                    a, b = pixels[begin], pixels[n - 1]
                    shapes += stroke([(float(a[0]), float(a[1])), (float(b[0]), float(b[1]))], 1.3 * scale)
                begin = None
    overlay.polygons(shapes, QUIET_INK)
