"""Room that a socket wrench takes round its nut: recesses are made for it, tools are drawn by it."""

from __future__ import annotations

SOCKET_OUTSIDE = 1.3
"""Outside of a thin-walled socket, in widths across flats of its nut. A round figure of the trade, no standard's."""
