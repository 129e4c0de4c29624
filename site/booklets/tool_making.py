"""Makes tools for pictures: these know no solid, and are told how a tool comes to be."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ...geometry.solid import Solid


def make_tool(tool: str, measures: Mapping[str, float]) -> Solid:
    """Return the solid of a tool; the CAD kernel is loaded only where one has to be made.

    Raises:
        SolidError: if the kernel cannot make it.
    """
    from ...geometry.tools import tool_solids

    return tool_solids.make_tool(tool, measures)
