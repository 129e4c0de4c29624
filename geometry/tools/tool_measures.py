"""Measures of a tool by the surface that it goes on: across flats, gap, how deep and how far.

What only the parts in their places can tell (a gap, what stands up inside a socket, where a stand finds ground) comes
as arguments; what nobody measures has a usual value here.
"""

from __future__ import annotations

from ..frame import Vec3
from ..surfaces import FAR_MM, Surface
from .bench_tools import MALLET_FACES_MM
from .tool_solids import MEASURES

SOCKET_OVER_MM = 2.0
"""Room in a socket over what stands up in it."""
KEY_SHARE = 0.9
"""How much of a screw's socket a key fills."""
EXTENSIONS_MM = (0.0, 75.0, 125.0, 250.0)
"""Extensions of a socket wrench, shortest first: lengths of a usual set."""
KEY_LENGTHS_MM = (25.0, 50.0, 100.0, 150.0)
"""Free lengths of hexagon keys, shortest first: likewise."""
LEAST_BLADE_MM = 0.03
"""Thinnest blade of a usual set of feeler gauges."""
BLADE_WIDTHS_MM = (12.7, 6.0, 3.0)
"""Widths of feeler blades, widest first: a hollow joint takes only a narrow one."""
BLOCK_MM = (30.0, 12.0)
"""Width of a soft block at most and at least."""
BLOCK_ABOVE_MM = 45.0
"""How far a soft block stands out, for the hand."""
OVERHANG_MM = 15.0
"""How far a straightedge, a bridge or a plate reaches beyond what it lies on, on each side."""


def tool_measures(
    tool: str,
    surface: Surface | None = None,
    *,
    depth_mm: float = 0.0,
    gap_mm: float = 0.0,
    width_mm: float = 0.0,
    extension_mm: float = 0.0,
    foot: Vec3 = (80.0, 0.0, 0.0),
    foot_along: int = 0,
) -> dict[str, float]:
    """Return the measures of ``tool`` on ``surface``, mm, as :func:`.tool_solids.make_tool` takes them.

    Args:
        tool: its name.
        surface: gives widths across flats, diameters and extents.
        depth_mm: of a socket's hollow, of a hexagon key in its screw, of a block, gauge or jaw below the origin.
        gap_mm: what a block fills, what a clamp or a caliper spans.
        width_mm: how wide the work is where the tool lies across it.
        extension_mm: of a socket; of a hexagon key its free length.
        foot: of an indicator's stand, own frame.
        foot_along: way in which the stand stands up: 0 along +Z, 1 along +Y.

    >>> hexagon = Surface("hexagon", "hexagon", (0.0, 0.0, 0.0), size_mm=17.0, along_mm=(0.0, 10.0))
    >>> tool_measures("torque wrench", hexagon, depth_mm=12.0)
    {'socket': 17.0, 'depth': 12.0, 'extension': 0.0}
    """
    size = surface.size_mm if surface else 0.0
    if tool in ("torque wrench", "hexagon key socket", "socket wrench"):
        if surface is not None and surface.kind == "socket":
            clear = extension_mm or KEY_LENGTHS_MM[0]
            return {"hexagon": size, "depth": depth_mm, "clear": clear, "extension": 0.0}
        return {"socket": size, "depth": depth_mm, "extension": extension_mm}
    if tool == "soft block":
        return {"gap": gap_mm, "width": width_mm, "depth": depth_mm, "above": BLOCK_ABOVE_MM}
    if tool == "dial indicator":
        return {**{f"foot_{n}": v for n, v in zip("xyz", foot, strict=True)}, "foot_along": float(foot_along)}
    wide = width_mm or size or _across(surface)
    given = {
        "across": size,
        "face": next((f for f in MALLET_FACES_MM if f >= wide), MALLET_FACES_MM[-1]),
        "length": wide + 2 * OVERHANG_MM,
        "thickness": LEAST_BLADE_MM,
        "width": width_mm
        if tool == "feeler blade"
        else wide + 2 * OVERHANG_MM
        if tool == "flat plate"
        else wide,
        "span": max(wide, 2 * OVERHANG_MM),
        "depth": depth_mm,
        "opening": gap_mm or wide,
        "reach": depth_mm,
        "drop": depth_mm,
    }
    return {name: given[name] for name in MEASURES.get(tool, ((),))[0]}


def _across(surface: Surface | None) -> float:
    """Return how wide a whole ring is, mm; something to hold on to where nothing says it."""
    if surface is not None and surface.radius_mm[1] < FAR_MM:
        return 2 * surface.radius_mm[1]
    return 60.0
