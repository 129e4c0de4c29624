"""The whole family with a single seal: every combination of options, at the least, usual and greatest size."""

from __future__ import annotations

import pytest
from benchleaf.geometry.dimensions.options import RotorForm
from families import CENTRES, ROTORS, check_family


@pytest.mark.slow
@pytest.mark.parametrize("rotor", ROTORS)
@pytest.mark.parametrize("centre_mm", CENTRES)
def test_every_combination(centre_mm: float, rotor: RotorForm) -> None:
    check_family(centre_mm, rotor, "single")
