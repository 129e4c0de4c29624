"""The whole family at the usual size, every combination of options; a file a size, so that heads share solids."""

from __future__ import annotations

import pytest
from benchleaf.geometry.dimensions.options import RotorForm
from families import CENTRES, ROTORS, check_family


@pytest.mark.slow
@pytest.mark.parametrize("rotor", ROTORS)
def test_every_combination(rotor: RotorForm) -> None:
    check_family(CENTRES["usual"], rotor)
