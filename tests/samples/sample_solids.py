"""Solids of the CAD kernel, for tests: of a workplane, of a part."""

from __future__ import annotations

import cadquery as cq
from benchleaf.geometry.solid import Solid


def solid_of(work: cq.Workplane) -> cq.Shape:
    """Return the shape on top of the stack."""
    shape = work.val()
    assert isinstance(shape, cq.Shape), shape
    return shape


def kernel(solid: Solid | None) -> cq.Shape:
    """Return a part's solid as what it is in a test without mesh parts: one of the CAD kernel."""
    assert isinstance(solid, cq.Shape), solid
    return solid
