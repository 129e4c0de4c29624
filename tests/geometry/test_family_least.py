"""The family at the least size: each pair of values of two options; every combination is tried by hand."""

from __future__ import annotations

import pytest
from benchleaf.geometry.dimensions.options import RotorForm
from families import CENTRES, ROTORS, check_pairs_of_options


@pytest.mark.slow
@pytest.mark.parametrize("rotor", ROTORS)
def test_each_pair_of_options(rotor: RotorForm) -> None:
    check_pairs_of_options(CENTRES["least"], rotor)
