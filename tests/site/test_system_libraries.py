"""A missing system library is named with the packages that bring it."""

from __future__ import annotations

import pytest
from benchleaf.render.engine.gl_probe import NoGraphics
from benchleaf.site.build.system_libraries import Machine, MissingLibrary, check_libraries


def test_missing_libraries_are_all_named() -> None:
    said = r"begin: libnone\.so\.1 and libnix\.so\.2 missing\.\n(.|\n)*apt-get install libegl1 libgl1-mesa-dri libgl1\n"
    with pytest.raises(MissingLibrary, match=said):
        check_libraries(("libnone.so.1", "libc.so.6", "libnix.so.2"), "linux")


def test_nothing_is_looked_for_elsewhere() -> None:
    check_libraries(("libnone.so.1",), "win32")
    check_libraries(("libnone.so.1",), "darwin")


def test_a_machine_is_asked_once_and_tells_what_draws() -> None:
    asked: list[int] = []

    def probe() -> str:
        asked.append(1)
        return "llvmpipe"

    machine = Machine(probe=probe)
    assert (machine.renderer, asked) == ("", []), "nobody has asked to draw yet"
    machine.begin()
    for _ in range(3):
        machine.check()
    assert (machine.renderer, len(asked)) == ("llvmpipe", 1)


def test_what_keeps_a_machine_from_drawing_is_raised_where_somebody_wants_to() -> None:
    def probe() -> str:
        raise NoGraphics("seeded")

    machine = Machine(probe=probe)
    machine.begin()
    with pytest.raises(NoGraphics, match="seeded"):
        machine.check()


def test_where_others_work_nothing_is_asked_here() -> None:
    machine = Machine(here=False, probe=lambda: pytest.fail("asked"))
    machine.begin()
    machine.check()
    assert machine.renderer == ""
