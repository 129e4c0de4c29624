"""The probe draws where it can, and says what to install where it cannot; it never takes the process down."""

from __future__ import annotations

import ctypes
import ctypes.util
import subprocess
import sys
from collections.abc import Iterator

import pytest
from benchleaf.render.engine import gl_probe
from benchleaf.render.engine.gl_probe import (
    Attempt,
    NoGraphics,
    device_of,
    ensure_graphics,
    no_graphics_message,
    renderer_name,
)
from benchleaf.render.engine.window import Window


@pytest.fixture(autouse=True)
def _fresh(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Let each test probe anew, and leave the environment as it was."""
    monkeypatch.setenv(gl_probe.WINDOW_VARIABLE, "")
    for name in (gl_probe.DEVICE_VARIABLE, gl_probe.DEVICES_VARIABLE):
        monkeypatch.setenv(name, "")  # so that it is put back
        monkeypatch.delenv(name)
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


def test_the_renderer_is_named_as_by_a_window_that_draws() -> None:
    name = renderer_name()
    window = Window(8, 8, (1.0, 1.0, 1.0))
    window.render()
    told = window.window.ReportCapabilities()
    window.close()
    assert name
    assert f"OpenGL renderer string:  {name}\n" in told


def test_processes_take_the_named_devices_in_turn() -> None:
    names = ["MainProcess", *(f"SpawnProcess-{n}" for n in range(1, 6)), "SpawnProcess-2:10"]
    assert [device_of(name, "3,0,1") for name in names] == [3, 0, 1, 3, 0, 1, 0]
    assert device_of("SpawnProcess-7", "2") == 2
    assert device_of("SpawnProcess-7", " ") is None


@pytest.mark.parametrize("devices", ["gpu", "0;1", "0,,1", "-1", "1.5", "\u0663"])
def test_devices_that_are_no_numbers_are_refused(devices: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(gl_probe.DEVICES_VARIABLE, devices)
    with pytest.raises(NoGraphics, match="takes numbers with commas, such as 0,1") as error:
        ensure_graphics()
    assert repr(devices) in str(error.value)


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="EGL is of Linux")
def test_a_device_that_is_not_there_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(gl_probe.WINDOW_VARIABLE, "vtkEGLRenderWindow")
    monkeypatch.setenv(gl_probe.DEVICES_VARIABLE, "0,57")
    assert ensure_graphics() == "vtkEGLRenderWindow"  # this process draws on the first
    gl_probe.probe_windows.cache_clear()
    monkeypatch.setenv(gl_probe.DEVICES_VARIABLE, "57")
    with pytest.raises(NoGraphics, match=r"cannot be drawn on graphics device 57 of this machine: .*crashed"):
        ensure_graphics()
