"""Every combination of options of one form at the greatest size; a file a form, to share the work."""

from __future__ import annotations

import pytest
from families import CENTRES, check_family


@pytest.mark.slow
def test_every_combination() -> None:
    check_family(CENTRES["greatest"], "three-lobe")
