"""Mechanical seal faces: how much of the pressure presses them together.

The balance ratio is the area that the pressure closes the faces on, divided by the area of the face. Here the pressure
is inside: it stands behind the stationary ring as far as the bore that the ring's O-ring slides in (D), and before it
as far as the inside of the lapped nose (d₁). With the pressure outside the ratio would be another.
"""

from __future__ import annotations

from dataclasses import dataclass

from .figures import Figure, Input, Limit, make_figure
from .topics import SIZE, Topic

LEAST_BALANCE, MOST_BALANCE = 0.7, 1.2
"""Below it a pressure shock opens the faces, above it they run hot: usual values of the trade."""


@dataclass(frozen=True)
class SealFace:
    """The lapped nose of a stationary seal ring and its bore; diameters in mm."""

    key: str
    """Kind of part that it is."""
    bore_mm: float
    """Bore of the body that the ring's O-ring slides in."""
    outer_mm: float
    inner_mm: float


def balance_figure(face: SealFace) -> Figure:
    """Return the balance ratio of a face with the pressure inside, (D² - d₁²)/(d₂² - d₁²).

    Source: EN 12756 for the term; limits typed from general knowledge.

    >>> round(balance_figure(SealFace("ring", 46.0, 46.0, 40.0)).value, 3)
    1.0
    """
    practice = Topic("source.seal_practice", standard="EN 12756")
    limit = Limit(
        LEAST_BALANCE, MOST_BALANCE, "", practice, Topic("limit.balance"), Topic("caveat.limits_typed")
    )
    inputs = (
        Input("D", Topic("input.seal_bore"), face.bore_mm, "mm", SIZE),
        Input("d₁", Topic("input.face_inside"), face.inner_mm, "mm", SIZE),
        Input("d₂", Topic("input.face_outside"), face.outer_mm, "mm", SIZE),
    )
    return make_figure(
        f"{face.key}.balance", Topic("figure.balance", part=face.key), "k", "", "(D² - d₁²)/(d₂² - d₁²)", inputs,
        practice, limit=limit, not_verified=Topic("caveat.balance"), decimals=2,
    )  # fmt: skip
