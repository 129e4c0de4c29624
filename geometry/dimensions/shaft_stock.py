"""What is bought for a shaft and not made: parallel keys, bearings, bar, hexagon wrenches.

Sources: parallel keys form A (round ends), their keyways and lengths from DIN 6885-1; bores of rolling bearings from
ISO 15; widths across flats from ISO 272. Typed from general knowledge of these standards, not checked against a
printed copy. The shortest key of a section is left to the maker: a short hub is given a shorter key than the standard
lists rather than none.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib import resources

KEY_LENGTHS_MM = (
    6.0, 8.0, 10.0, 12.0, 14.0, 16.0, 18.0, 20.0, 22.0, 25.0, 28.0, 32.0, 36.0, 40.0, 45.0, 50.0, 56.0, 63.0, 70.0,
    80.0, 90.0, 100.0, 110.0, 125.0, 140.0, 160.0, 180.0, 200.0, 220.0, 250.0, 280.0, 320.0, 360.0,
)  # fmt: skip
"""Lengths of parallel keys, DIN 6885-1."""
BEARING_BORES_MM = (
    10.0, 12.0, 15.0, 17.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0, 50.0, 55.0, 60.0, 65.0, 70.0, 75.0, 80.0, 85.0, 90.0,
    95.0, 100.0, 105.0, 110.0, 120.0, 130.0, 140.0, 150.0, 160.0, 170.0, 180.0, 190.0, 200.0,
)  # fmt: skip
"""Bores of rolling bearings, ISO 15."""
HEXAGONS_MM = (
    8.0, 10.0, 13.0, 16.0, 18.0, 21.0, 24.0, 27.0, 30.0, 34.0, 36.0, 41.0, 46.0, 50.0, 55.0, 60.0, 65.0, 70.0, 75.0,
    80.0, 85.0, 90.0, 95.0, 100.0, 105.0, 110.0, 115.0, 120.0, 130.0, 145.0,
)  # fmt: skip
"""Widths across flats, ISO 272."""
SHAFTS_MM = (
    8.0, 9.0, 10.0, 11.0, 12.0, 14.0, 15.0, 16.0, 17.0, 18.0, 19.0, 20.0, 22.0, 24.0, 25.0, 28.0, 30.0, 32.0, 35.0,
    36.0, 38.0, 40.0, 42.0, 45.0, 48.0, 50.0, 55.0, 56.0, 60.0, 63.0, 65.0, 70.0, 75.0, 80.0, 85.0, 90.0, 95.0, 100.0,
    105.0, 110.0, 120.0,
)  # fmt: skip
"""Usual diameters of a shaft under a hub: those for which gauges and reamers H7 are stock."""


@dataclass(frozen=True)
class KeySection:
    """A parallel key's section with its keyways, for shafts from above one diameter up to another; all in mm."""

    above_mm: float
    up_to_mm: float
    width_mm: float
    height_mm: float
    shaft_depth_mm: float
    """Depth t1 of the keyway in the shaft, in the middle."""
    hub_depth_mm: float
    """Depth t2 of the keyway in the hub, in the middle."""
    shortest_mm: float
    longest_mm: float


@cache
def key_sections() -> tuple[KeySection, ...]:
    """Return the table, smallest shaft first."""
    text = resources.files(__package__).joinpath("keys.csv").read_text(encoding="utf-8")
    return tuple(
        KeySection(**{k: float(v) for k, v in row.items()}) for row in csv.DictReader(text.splitlines())
    )


def key_for(shaft_mm: float) -> KeySection:
    """Return the usual key of a shaft's diameter; beyond the table, its first or last.

    >>> key_for(24.0).width_mm, key_for(24.0).height_mm, key_for(22.0).width_mm
    (8.0, 7.0, 6.0)
    """
    return next((k for k in key_sections() if shaft_mm <= k.up_to_mm), key_sections()[-1])


def largest_up_to(sizes: tuple[float, ...], most_mm: float) -> float:
    """Return the largest of ``sizes`` that is not above ``most_mm``; the least where all are.

    >>> largest_up_to(KEY_LENGTHS_MM, 26.0), largest_up_to(KEY_LENGTHS_MM, 1.0)
    (25.0, 6.0)
    """
    return max((size for size in sizes if size <= most_mm + 1e-9), default=sizes[0])


def nearest_bearing(bore_mm: float, above_mm: float) -> float:
    """Return the bearing bore nearest to ``bore_mm`` that a shoulder of ``above_mm`` passes; the largest where none.

    >>> nearest_bearing(37.6, 35.2), nearest_bearing(36.0, 35.2)
    (40.0, 40.0)
    """
    wide = [bore for bore in BEARING_BORES_MM if bore > above_mm]
    return min(wide, key=lambda bore: abs(bore - bore_mm), default=BEARING_BORES_MM[-1])
