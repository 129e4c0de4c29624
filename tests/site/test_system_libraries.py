"""A missing system library is named with the packages that bring it."""

from __future__ import annotations

import pytest
from benchleaf.site.build.system_libraries import MissingLibrary, check_libraries


def test_missing_libraries_are_all_named() -> None:
    said = r"begin: libnone\.so\.1 and libnix\.so\.2 missing\.\n(.|\n)*apt-get install libegl1 libgl1-mesa-dri libgl1\n"
    with pytest.raises(MissingLibrary, match=said):
        check_libraries(("libnone.so.1", "libc.so.6", "libnix.so.2"), "linux")


def test_nothing_is_looked_for_elsewhere() -> None:
    check_libraries(("libnone.so.1",), "win32")
    check_libraries(("libnone.so.1",), "darwin")
