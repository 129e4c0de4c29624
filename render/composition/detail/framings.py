"""Framings: how a scene is drawn smaller, and moved to a side or corner, to make room for its close-ups."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ...engine.camera import Camera

LEAST_MOVE = 0.03
"""It is not moved by less than this share of the frame for the sake of a close-up."""
SHRINK = (0.9, 0.8, 0.72)
"""How small the scene may be drawn to make room for a close-up."""
SMALLER = (0.64, 0.56)
"""And how much smaller yet where it takes that to show what its acts name."""


@dataclass(frozen=True)
class Framing:
    """The scene drawn ``shrink`` times as large and moved to a side or corner: -1, 0 or 1 to the right and down.

    ``margins`` is the room that the scene leaves free anyhow beside it and above it, as shares of the frame.
    """

    shrink: float = 1.0
    right: int = 0
    down: int = 0
    margins: tuple[float, float] = (0.0, 0.0)

    @property
    def free(self) -> tuple[float, float]:
        """How far it may be moved, across and down, as shares of the frame before it shrinks."""
        more = (1.0 / self.shrink - 1.0) / 2.0
        return more + self.margins[0], more + self.margins[1]

    def camera(self, camera: Camera) -> Camera:
        """Return the camera that shows the scene so."""
        across, up = camera.view.axes[:2]
        c = np.array(camera.centre) - across * self.right * self.free[0] * camera.width_mm
        c = c + up * self.down * self.free[1] * camera.height_mm
        centre = (float(c[0]), float(c[1]), float(c[2]))
        return replace(camera, centre=centre, height_mm=camera.height_mm / self.shrink)

    def mask(self, mask: NDArray[np.bool_]) -> NDArray[np.bool_]:
        """Return ``mask`` (h, w) of the scene as it was, as that of the moved scene."""
        found = mask
        for axis, by in ((0, self.down * self.free[1]), (1, self.right * self.free[0])):
            count = mask.shape[axis]
            at = (np.arange(count) + 0.5) / count
            source = np.floor((0.5 + (at - 0.5) / self.shrink - by) * count).astype(int)
            inside = (source >= 0) & (source < count)
            found = np.take(found, np.clip(source, 0, count - 1), axis=axis)
            found = found & (inside[:, None] if axis == 0 else inside[None, :])
        return found


def framings(shrinks: int, margins: tuple[float, float]) -> Iterator[list[Framing]]:
    """Yield what is tried together: the scene as large as it is, then ``shrinks`` times smaller and smaller.

    At full size it may be moved to the side into room that it leaves free anyhow, smaller to sides and corners too.
    """
    aside = [Framing(1.0, right, 0, margins) for right in (-1, 1)] if margins[0] > LEAST_MOVE else []
    yield [Framing(), *aside]
    for shrink in (*SHRINK, *SMALLER)[:shrinks]:
        for right, down in ((-1, 0), (1, 0), (-1, 1), (1, 1), (-1, -1), (1, -1)):
            yield [Framing(shrink, right, down, margins)]
