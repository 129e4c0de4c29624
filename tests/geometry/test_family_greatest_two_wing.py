"""The whole family of two-wing heads at the greatest size: every combination of options; a file a form, to share work."""

from __future__ import annotations

import pytest
from families import CENTRES, check_family


@pytest.mark.slow
def test_every_combination() -> None:
    check_family(CENTRES["greatest"], "two-wing")
