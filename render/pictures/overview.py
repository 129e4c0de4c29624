"""The exploded overview of an assembly, keyed to its parts list."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from ...geometry.frame import Floats
from ..composition.explode import Exploded, explode
from ..drawing.arrows import OverlayCanvas, Shape, stroke
from ..drawing.compose import contact_shade, encode, finish
from ..drawing.manifest import Manifest, State
from ..drawing.measure import measure_visible, parts_seen, values_at
from ..engine.grid import GRID_SIZE, Ids
from ..engine.material_styles import QUIET_INK
from ..engine.stage import REFERENCE_WIDTH, Shown
from .kept_pictures import Picture
from .picture_keys import overview_key
from .studio import Drawn, Studio, camera_seen

AXIS_WIDTH = 1.3
AXIS_PERIOD, AXIS_LONG, AXIS_SHORT = 26.0, 16.0, (20.0, 22.0)
"""Width of an axis line, the length after which its dashes recur, and where in it the long and the short dash lie; px
of a picture 1600 wide."""
CONTACT_SHARE = 0.03
"""How far contact shading reaches, as a share of the assembly's extent."""


def render_overview_with(studio: Studio, name: str = "overview", together: Sequence[str] = ()) -> Picture:
    """Return the overview picture; ``together`` are parts shown as they sit on one another."""
    key = overview_key(studio.models.digest, studio.settings, name, tuple(together))
    return studio.cached(lambda: _draw(studio, name, together), key)()


def _draw(studio: Studio, name: str, together: Sequence[str]) -> Drawn:
    s, models = studio.settings, studio.models
    stage = studio.stage
    layout = explode(stage, s.overview_width / s.overview_height, together)
    camera = layout.camera
    height = round(s.overview_width / camera.aspect)
    size = (s.overview_width, height)
    pixels = stage.draw({k: Shown(p, "plain") for k, p in layout.places.items()}, camera, size)
    ids = stage.ids(layout.places, camera, GRID_SIZE[0])
    shade = contact_shade(ids, camera, models.extent_mm * CONTACT_SHARE) if s.contact_shading else None
    image = finish(pixels, s.supersample, shade)
    _draw_axes(image, layout, ids)
    states: dict[str, State] = dict.fromkeys(layout.places, "plain")
    visible = measure_visible(stage, ids, layout.places, [[k] for k in layout.places], camera)
    moved = {k: shift for layer, shift in zip(layout.layers, layout.shifts, strict=True) for k in layer.keys}
    manifest = Manifest(
        kind="overview",
        step="",
        number=0,
        files={f: f"{name}.{f}" for f in s.formats},
        width=s.overview_width,
        height=height,
        camera=camera_seen(camera),
        view_changed=False,
        parts=parts_seen(ids, states, visible, moved),
    )
    return lambda: Picture(manifest, {f: encode(image, f, s.webp_quality) for f in s.formats})


def _draw_axes(image: Image.Image, layout: Exploded, ids: Ids) -> None:
    """Draw the axis lines, long dash and short dash, where no part stands in front of them."""
    scale = image.width / REFERENCE_WIDTH
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
