"""Look before you leap: find out in a child process whether pictures can be drawn here.

Without a working GL library VTK does not raise, it kills the process. So a few pixels are drawn in a child first, and
its exit code is turned into a message that names what to install.
"""

from __future__ import annotations

import ctypes.util
import os
import subprocess
import sys
from dataclasses import dataclass
from functools import lru_cache

WINDOW_VARIABLE = "VTK_DEFAULT_OPENGL_WINDOW"
"""VTK reads from here which kind of window it opens."""

_DRAW = """
import numpy
import vtkmodules.vtkRenderingOpenGL2
from vtkmodules.util.numpy_support import vtk_to_numpy
from vtkmodules.vtkCommonCore import vtkUnsignedCharArray
from vtkmodules.vtkRenderingCore import vtkRenderWindow, vtkRenderer
window = vtkRenderWindow()
window.SetOffScreenRendering(1)
window.SetSize(8, 8)
renderer = vtkRenderer()
renderer.SetBackground(1.0, 0.0, 0.0)
window.AddRenderer(renderer)
window.Render()
pixels = vtkUnsignedCharArray()
window.GetPixelData(0, 0, 7, 7, 0, pixels, 0)
drawn = vtk_to_numpy(pixels).reshape(-1, 3)
window.Finalize()
raise SystemExit(0 if drawn.shape == (64, 3) and (drawn == [255, 0, 0]).all() else 3)
"""

_HINTS = {
    "linux": (
        "Install a software GL with EGL, then try again:\n"
        "  Debian, Ubuntu:  apt-get install libegl1 libgl1-mesa-dri libgl1\n"
        "  Fedora, RHEL:    dnf install mesa-libEGL mesa-dri-drivers mesa-libGL\n"
        "  Arch:            pacman -S mesa\n"
        "  Alpine:          apk add mesa-egl mesa-dri-gallium mesa-gl"
    ),
    "darwin": "macOS brings OpenGL with it; run from a session that is logged in to the desktop, not over SSH alone.",
    "win32": "Windows needs OpenGL 3.2 or later: install the graphics driver, "
    "or put Mesa's opengl32.dll beside python.exe.",
}


class NoGraphics(RuntimeError):
    """No picture can be drawn on this machine; the message says what to install."""


@dataclass(frozen=True)
class Attempt:
    """One try in a child: kind of window ('' is VTK's own choice) and how it ended."""

    window: str
    outcome: str
    works: bool


def ensure_graphics() -> str:
    """Make sure that pictures can be drawn, and have VTK use the kind of window that works.

    Returns the kind of window, '' where VTK's own choice is right. Costs about a second once a process.

    Raises:
        NoGraphics: if nothing can be drawn; names the packages to install.
    """
    attempts = probe_windows()
    if attempts and attempts[-1].works:
        window = attempts[-1].window
        if window:
            os.environ[WINDOW_VARIABLE] = window
        return window
    raise NoGraphics(no_graphics_message(sys.platform, attempts))


def install_hint(platform: str = sys.platform) -> str:
    """Return which packages bring what drawing and the CAD kernel need on ``platform``."""
    return _HINTS.get(platform, _HINTS["linux"])


def no_graphics_message(platform: str, attempts: tuple[Attempt, ...]) -> str:
    """Return what to tell the user when no attempt worked on ``platform`` (as in ``sys.platform``)."""
    tried = "; ".join(f"{a.window or 'default window'}: {a.outcome}" for a in attempts)
    return f"Pictures cannot be drawn on this machine: no working OpenGL ({tried}).\n{install_hint(platform)}"


@lru_cache(maxsize=1)
def probe_windows() -> tuple[Attempt, ...]:
    """Try the kinds of window in order; the last one in the result works, or none does."""
    done: list[Attempt] = []
    for window in _windows():
        library = _missing_library(window)
        done.append(Attempt(window, f"{library} is missing", False) if library else _try_to_draw(window))
        if done[-1].works:
            break
    return tuple(done)


def _windows() -> tuple[str, ...]:
    chosen = os.environ.get(WINDOW_VARIABLE, "")
    if chosen:
        return (chosen,)
    if not sys.platform.startswith("linux"):
        return ("",)
    windows = ("vtkEGLRenderWindow", "vtkOSOpenGLRenderWindow")
    return (*windows, "vtkXOpenGLRenderWindow") if os.environ.get("DISPLAY") else windows


def _missing_library(window: str) -> str:
    """Return the library that ``window`` needs and that is plainly not there, '' if none."""
    needs = {"vtkEGLRenderWindow": ("EGL", "libEGL"), "vtkOSOpenGLRenderWindow": ("OSMesa", "libOSMesa")}
    if window not in needs or not sys.platform.startswith("linux"):
        return ""
    name, shown = needs[window]
    for soname in (f"lib{name}.so.1", f"lib{name}.so.8", f"lib{name}.so"):
        try:
            ctypes.CDLL(soname)
        except OSError:
            continue
        return ""
    return "" if ctypes.util.find_library(name) else shown


def _try_to_draw(window: str) -> Attempt:
    environment = dict(os.environ)
    if window:
        environment[WINDOW_VARIABLE] = window
    try:
        child = subprocess.run(
            [sys.executable, "-c", _DRAW],
            env=environment,
            stdin=subprocess.DEVNULL,
            capture_output=True,
            timeout=120,
            check=False,
        )
    except (OSError, subprocess.TimeoutExpired) as error:
        return Attempt(window, f"the trial did not finish ({type(error).__name__})", False)
    if child.returncode == 0:
        return Attempt(window, "works", True)
    if child.returncode < 0:
        return Attempt(window, f"VTK crashed (signal {-child.returncode})", False)
    last = child.stderr.decode(errors="replace").strip().splitlines()
    reason = last[-1] if last else f"exit code {child.returncode}"
    return Attempt(window, "the drawn pixels are wrong" if child.returncode == 3 else reason, False)
