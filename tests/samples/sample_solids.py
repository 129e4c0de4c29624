"""The solid of a CadQuery workplane, for tests."""

from __future__ import annotations

import cadquery as cq


def solid_of(work: cq.Workplane) -> cq.Shape:
    """Return the shape on top of the stack."""
    shape = work.val()
    assert isinstance(shape, cq.Shape), shape
    return shape
