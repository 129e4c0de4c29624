"""Loose parts turned over, where a step looks at a side of them that would lie away from the reader."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np

from ...geometry.frame import Place
from ..engine.part_models import PartModels
from .zones import Aim

FACING = 0.5
"""A surface whose way out lies along the front direction by more than this is seen from that side."""


def turned_over(models: PartModels, places: Mapping[str, Place], aims: Iterable[Aim]) -> dict[str, Place]:
    """Return the places of parts that are turned half round about the upright, each through its own middle.

    Parts of which only the side behind is looked at; and of two equal parts the second, where surfaces that both are
    looked at for lie in front and behind.
    """
    front = np.array(models.front)
    sides: dict[str, set[bool]] = {}
    for aim in aims:
        if aim.part in places and aim.close_up:
            looks = float(np.array(places[aim.part].direction(aim.surface.direction)) @ front)
            if abs(looks) > FACING:
                sides.setdefault(models.parts[aim.part].kind, set()).add(looks > 0)
    found: dict[str, Place] = {}
    for kind, seen in sides.items():
        equal = [k for k in places if models.parts[k].kind == kind]
        behind = equal if seen == {False} else equal[1:] if len(seen) == len(equal) == 2 else []
        for key in behind:
            low, high = models.parts[key].box(places[key])
            x, y, z = ((low + high) / 2).tolist()
            found[key] = Place.turn(180.0, models.up, (x, y, z)) @ places[key]
    return found
