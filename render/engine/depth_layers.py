"""Drawings with their depth, to be composited: what stands still is drawn once, what travels is shifted."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Pixels = NDArray[np.uint8]
Pane = tuple[int, int, int, int]
"""Left, top, right and bottom in pixels of a finished picture."""


@dataclass(frozen=True)
class DepthLayer:
    """A drawing with its depth, to be composited: ``pixels`` (h, w, 3) uint8, ``depth`` (h, w) 0 near to 1 far."""

    pixels: Pixels
    depth: NDArray[np.float32]

    def composited(self, other: DepthLayer, right: int = 0, down: int = 0, nearer: float = 0.0) -> DepthLayer:
        """Return this composited with ``other``, the nearer in front; of what meets, ``other`` is seen.

        Its upper left corner comes to lie ``right`` and ``down`` pixels from that of this, its depth is lessened by
        ``nearer``; what leaves the drawing is lost.
        """
        (rows, own_rows), (columns, own_columns) = (
            _common(shift, length, whole)
            for shift, length, whole in zip((down, right), other.depth.shape, self.depth.shape, strict=True)
        )
        depth = other.depth[own_rows, own_columns]
        there = depth < 1.0
        depth = depth - np.float32(nearer)
        result = DepthLayer(self.pixels.copy(), self.depth.copy())
        over = there & (depth <= result.depth[rows, columns])
        result.pixels[rows, columns][over] = other.pixels[own_rows, own_columns][over]
        result.depth[rows, columns][over] = depth[over]
        return result

    def pane(self, box: Pane, supersample: int) -> DepthLayer:
        """Return the pane ``box`` of it, in pixels of the finished picture."""
        left, top, right, foot = (n * supersample for n in box)
        return DepthLayer(self.pixels[top:foot, left:right], self.depth[top:foot, left:right])


def _common(shift: int, length: int, whole: int) -> tuple[slice, slice]:
    """Return what of ``whole`` pixels is covered by ``length`` others that begin at ``shift``, and which those are."""
    begin = min(max(shift, 0), whole)
    end = max(min(shift + length, whole), begin)
    return slice(begin, end), slice(begin - shift, end - shift)
