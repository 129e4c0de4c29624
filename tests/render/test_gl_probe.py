"""The probe draws where it can, and says what to install where it cannot; it never takes the process down."""

from __future__ import annotations

import ctypes
import ctypes.util
import subprocess
import sys
from collections.abc import Iterator

import pytest
from benchleaf.render.engine import gl_probe
from benchleaf.render.engine.gl_probe import Attempt, NoGraphics, ensure_graphics, no_graphics_message


@pytest.fixture(autouse=True)
def _fresh(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Let each test probe anew, and leave the environment as it was."""
    monkeypatch.setenv(gl_probe.WINDOW_VARIABLE, "")
    gl_probe.probe_windows.cache_clear()
    yield
    gl_probe.probe_windows.cache_clear()


def test_a_machine_that_can_draw_says_so() -> None:
    assert ensure_graphics() in (
        "",
        "vtkEGLRenderWindow",
        "vtkOSOpenGLRenderWindow",
        "vtkXOpenGLRenderWindow",
    )


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="windows of X exist on Linux")
def test_a_crash_of_the_child_becomes_a_message(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(gl_probe.WINDOW_VARIABLE, "vtkXOpenGLRenderWindow")
    monkeypatch.delenv("DISPLAY", raising=False)
    with pytest.raises(NoGraphics, match=r"vtkXOpenGLRenderWindow: VTK crashed \(signal \d+\)"):
        ensure_graphics()


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="libEGL is a Linux library")
def test_a_missing_library_is_named_without_starting_a_child(monkeypatch: pytest.MonkeyPatch) -> None:
    def missing(name: str) -> None:
        raise OSError(name)

    monkeypatch.setattr(ctypes, "CDLL", missing)
    monkeypatch.setattr(ctypes.util, "find_library", lambda name: None)
    monkeypatch.setattr(subprocess, "run", lambda *a, **k: pytest.fail("no child is needed"))
    monkeypatch.delenv("DISPLAY", raising=False)
    with pytest.raises(NoGraphics) as error:
        ensure_graphics()
    text = str(error.value)
    assert "libEGL is missing" in text
    assert "apt-get install libegl1 libgl1-mesa-dri" in text


@pytest.mark.parametrize(
    ("platform", "hint"), [("linux", "libgl1-mesa-dri"), ("darwin", "desktop"), ("win32", "graphics driver")]
)
def test_each_system_has_its_hint(platform: str, hint: str) -> None:
    assert hint in no_graphics_message(platform, (Attempt("", "VTK crashed (signal 11)", False),))
