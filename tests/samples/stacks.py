"""Stack-ups by the usual proportions, for tests of parts."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.dimensions.size import example_measures, make_size
from benchleaf.geometry.dimensions.stack_up import StackUp


def stack_of(
    centre_mm: float = 80.0, overrides: Mapping[str, float] | None = None, **options: Any
) -> StackUp:
    """Return the stack-up of an example size with ``options``."""
    chosen = Options(**options)
    return StackUp(make_size("t", example_measures(centre_mm, chosen.rotor), overrides), chosen)
