"""The solid of a tool by its name and measures, made once for all that need the same one.

API::

    make_tool("torque wrench", {"socket": 30.0, "depth": 26.0, "extension": 0.0}) -> cq.Solid
    MEASURES["torque wrench"]              # the names of a tool's measures, mm; a wrench has ``socket`` or ``hexagon``
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import lru_cache

import cadquery as cq

from . import bench_tools, gauges, turning_tools

Maker = Callable[[Mapping[str, float]], cq.Solid]
SOCKET, KEY = ("socket", "depth", "extension"), ("hexagon", "depth", "clear", "extension")
MAKERS: dict[str, Maker] = {
    "torque wrench": turning_tools.make_torque_wrench,
    "hexagon key socket": turning_tools.make_torque_wrench,
    "socket wrench": turning_tools.make_torque_wrench,
    "open wrench": turning_tools.make_open_wrench,
    "soft block": bench_tools.make_soft_block,
    "soft-faced mallet": bench_tools.make_mallet,
    "straightedge": gauges.make_straightedge,
    "feeler blade": gauges.make_feeler_blade,
    "dial indicator": gauges.make_dial_indicator,
    "depth gauge": gauges.make_depth_gauge,
    "caliper": gauges.make_caliper,
    "flat plate": gauges.make_flat_plate,
    "o-ring pick": bench_tools.make_pick,
    "air gun": bench_tools.make_air_gun,
    "swab": bench_tools.make_swab,
    "cloth": bench_tools.make_cloth,
    "brush": bench_tools.make_brush,
    "oil stone": bench_tools.make_oil_stone,
    "lamp": bench_tools.make_lamp,
    "lifting strap": bench_tools.make_lifting_strap,
    "clamp": bench_tools.make_clamp,
}
MEASURES: dict[str, tuple[tuple[str, ...], ...]] = {
    "torque wrench": (SOCKET, KEY),
    "hexagon key socket": (SOCKET, KEY),
    "socket wrench": (SOCKET, KEY),
    "open wrench": (("across",),),
    "soft block": (("gap", "width", "depth", "above"),),
    "soft-faced mallet": (("face",),),
    "straightedge": (("length",),),
    "feeler blade": (("thickness", "width"), ("thickness", "width", "bent")),
    "dial indicator": (("foot_x", "foot_y", "foot_z", "foot_along"),),
    "depth gauge": (("span", "depth"),),
    "caliper": (("opening", "reach"),),
    "flat plate": (("width",),),
    "lifting strap": (("width", "drop"),),
    "clamp": (("opening",),),
}
"""Names of the measures of each tool, in one of these sets; a tool that is not here is the same everywhere."""
DIGITS = 3
"""Digits of a millimetre to which measures are rounded: the same solid for what nobody could tell apart."""


def make_tool(tool: str, measures: Mapping[str, float] | None = None) -> cq.Solid:
    """Return the solid of ``tool`` in its own frame, mm: origin where it touches, +Z the way it comes off the work.

    Same measures give the same object.

    Raises:
        KeyError: of a tool that has no solid, such as a hand.
        ValueError: if its measures are not those of :data:`MEASURES`.
        SolidError: if the CAD kernel cannot make it.

    >>> make_tool("swab") is make_tool("swab", {})
    True
    """
    given = dict(measures or {})
    if set(given) not in [set(names) for names in MEASURES.get(tool, ((),))] and tool in MAKERS:
        raise ValueError(f"{tool}: measures {sorted(given)}, allowed are {MEASURES.get(tool, ((),))}")
    return _made(tool, rounded_measures(given))


def rounded_measures(measures: Mapping[str, float]) -> tuple[tuple[str, float], ...]:
    """Return measures by name, sorted and rounded, as keys and files have them."""
    return tuple((name, round(float(measures[name]), DIGITS) + 0.0) for name in sorted(measures))


@lru_cache(maxsize=256)
def _made(tool: str, measures: tuple[tuple[str, float], ...]) -> cq.Solid:
    return MAKERS[tool](dict(measures))
