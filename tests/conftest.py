"""What holds for every test.

Two markers are set by rule, from what a test module imports, itself or through helper modules of ``tests/samples``:
``gl`` where that is a module of the picture room which opens windows of the graphics library or imports what does,
``browser`` where it is ``browsing``, which drives Chromium. ``slow`` is set by hand. So ``-m "not gl and not browser"``
runs on a machine with neither, and ``-m "not slow"`` is what to run between edits.

Files that take long begin first (``tests/samples/heavy_files.py``): processes that share the files end together.
"""

from __future__ import annotations

from functools import cache

import pytest
from heavy_files import heaviest_first
from hypothesis import settings
from module_marks import marks_of

# Speed is measured in benchmarks; a busy machine must not fail a test.
settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")


def pytest_configure(config: pytest.Config) -> None:
    """Have files handed out in the order of the tests, and not by how many a file holds."""
    if hasattr(config.option, "loadscopereorder"):
        config.option.loadscopereorder = False


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark each test by what its module imports; heavy files come first."""
    heaviest_first(items)
    marks = cache(marks_of)
    for item in items:
        for mark in sorted(marks(item.path)):
            item.add_marker(mark)
