"""Named surfaces of a part: where a tool bears, where to clean, lubricate, look or measure.

A :class:`Surface` is what of a part's skin lies within a ring about an axis, or a sector of one. Faces, bores,
journals, grooves, threads and edges are whole rings; keyways, notches, flats and holes beside the axis are sectors or
rings of their own.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from .frame import Floats, Vec3, X, Z, unit

SurfaceKind = Literal[
    "face",
    "edge",
    "bore",
    "journal",
    "groove",
    "thread",
    "keyway",
    "flats",
    "notch",
    "hole",
    "shoulder",
    "pocket",
    "hexagon",
    "socket",
    "end",
    "flank",
    "pin",
]
"""What sort of surface it is, which says what tools go on it."""
Range = tuple[float, float]
Numbers = NDArray[np.floating[Any]]
FAR_MM = 1e6
"""Beyond every part; a number, since kept files know no infinite one."""
EVERYWHERE: Range = (0.0, FAR_MM)


@dataclass(frozen=True)
class Surface:
    """A named surface, in the part's own frame (mm, degrees).

    ``origin`` lies on its axis, of what is reached along the axis (bore, hole, journal, thread, hexagon) at the end
    that it is reached from; ``direction`` (unit) points away from the metal: the way a tool comes off it, for a bore or
    a journal the way out along the axis. A point of the skin belongs to it whose distance from the axis lies in
    ``radius_mm`` and whose height over the origin lies in ``along_mm``; of a sector (``half_deg`` below 180) also
    whose angle about the axis is within ``half_deg`` of ``across``.

    With ``drawn_mm`` the ring is drawn out along ``across`` to a racetrack: the distance is that from the straight line
    that reaches as far to either side of the origin. Of a sector, ``across`` also points out of it (:attr:`off`).
    """

    name: str
    """Plain words, once in a part, as files say it: ``front face``."""
    kind: SurfaceKind
    origin: Vec3
    direction: Vec3 = Z
    size_mm: float = 0.0
    """What a tool is chosen by: width across flats, bore, thread, width of a groove; 0 where nothing is."""
    radius_mm: Range = EVERYWHERE
    along_mm: Range = (-0.01, 0.01)
    across: Vec3 = X
    half_deg: float = 180.0
    drawn_mm: float = 0.0

    @property
    def off(self) -> Vec3:
        """Return the way a tool comes off it: out of a keyway or a key's end, which are sectors, square to the axis.

        >>> Surface("keyway", "keyway", (0.0, 0.0, 0.0), across=(0.0, 1.0, 0.0), half_deg=20.0).off
        (0.0, 1.0, 0.0)
        """
        return self.across if self.half_deg < 180.0 else self.direction

    def holds(self, points: Floats) -> NDArray[np.bool_]:
        """Return which of ``points`` (n, 3) of the skin, own frame, mm, belong to it, (n,).

        >>> face = Surface("front face", "face", (0.0, 0.0, 5.0), radius_mm=(2.0, 4.0))
        >>> face.holds(np.array([[3.0, 0.0, 5.0], [1.0, 0.0, 5.0], [3.0, 0.0, 4.0]])).tolist()
        [True, False, False]
        """
        x, y, height = ((points - np.array(self.origin)) @ self.axes.T).T
        return self.holds_at(x, y, height)

    @property
    def axes(self) -> Floats:
        """Its own axes as rows (3, 3): ``across`` at right angles to the last, the one beside it, ``direction``."""
        along = np.array(unit(self.direction))
        zero = np.array(self.across) - along * float(np.array(self.across) @ along)
        if float(np.linalg.norm(zero)) < 1e-9:  # a whole ring, of which any will do
            zero = np.cross(along, np.eye(3)[int(np.argmin(np.abs(along)))])
        zero = zero / np.linalg.norm(zero)
        return np.stack([zero, np.cross(along, zero), along])

    def holds_at(self, x: Numbers, y: Numbers, height: Numbers) -> NDArray[np.bool_]:
        """Return which points belong to it that lie so far along its :attr:`axes` from its origin, mm; arrays alike."""
        if self.drawn_mm:
            x = x - np.clip(x, -self.drawn_mm, self.drawn_mm)
        (near, far), (low, high) = self.radius_mm, self.along_mm
        square = x * x + y * y
        held = (square >= near * near) & (square <= far * far) & (height >= low) & (height <= high)
        if self.half_deg < 180.0:
            held &= np.abs(np.degrees(np.arctan2(y, x))) <= self.half_deg
        return np.asarray(held)
