"""Look before you leap: find out in a child process whether pictures can be drawn here.

Without a working GL library VTK does not raise, it kills the process. So a few pixels are drawn in a child first, and
its exit code is turned into a message that names what to install.
"""

from __future__ import annotations

import ctypes.util
import os
import re
import subprocess
import sys
from dataclasses import dataclass
from functools import lru_cache
from multiprocessing import current_process

WINDOW_VARIABLE = "VTK_DEFAULT_OPENGL_WINDOW"
"""VTK reads from here which kind of window it opens."""
DEVICE_VARIABLE = "VTK_EGL_DEVICE_INDEX"
"""VTK reads from here on which graphics device EGL opens it, and on no other."""
DEVICES_VARIABLE = "BENCHLEAF_GRAPHICS_DEVICES"
"""Numbers of the devices to draw on, with commas: the processes of a build take them in turn."""
_RENDERER = "OpenGL renderer string:"

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
print(window.ReportCapabilities())
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
    renderer: str = ""
    """What drew, as the graphics library calls it."""


def ensure_graphics() -> str:
    """Make sure that pictures can be drawn, and have VTK use the kind of window that works.

    Returns the kind of window, '' where VTK's own choice is right. Costs about a second once a process. Where devices
    are named (:data:`DEVICES_VARIABLE`), this process draws on its own.

    Raises:
        NoGraphics: if nothing can be drawn; names the packages to install.
    """
    device = device_of(current_process().name, os.environ.get(DEVICES_VARIABLE, ""))
    if device is not None:
        os.environ[DEVICE_VARIABLE] = str(device)
    attempts = probe_windows()
    if attempts and attempts[-1].works:
        window = attempts[-1].window
        if window:
            os.environ[WINDOW_VARIABLE] = window
        return window
    raise NoGraphics(no_graphics_message(sys.platform, attempts))


def renderer_name() -> str:
    """Return what draws the pictures of this process, as the graphics library calls it: ``llvmpipe (...)``, a device.

    Opens no window here: it was told when drawing was tried in a child process.

    Raises:
        NoGraphics: as :func:`ensure_graphics`.
    """
    ensure_graphics()
    return probe_windows()[-1].renderer


def device_of(process: str, devices: str) -> int | None:
    """Return on which of ``devices`` (numbers with commas) a process draws, None where none are named.

    The first is that of the process a build starts in, and workers, which have a number at the end of their name, take
    the others in turn.

    Raises:
        NoGraphics: if ``devices`` are no such numbers.

    >>> [device_of(name, "0, 2") for name in ("MainProcess", "SpawnProcess-1", "SpawnProcess-2")]
    [0, 2, 0]
    """
    if not devices.strip():
        return None
    named = [d.strip() for d in devices.split(",")]
    if not all(d.isascii() and d.isdigit() for d in named):
        raise NoGraphics(f"{DEVICES_VARIABLE} is {devices!r}; it takes numbers with commas, such as 0,1")
    number = re.search(r"\d+$", process)
    return int(named[int(number.group()) % len(named) if number else 0])


def install_hint(platform: str = sys.platform) -> str:
    """Return which packages bring what drawing and the CAD kernel need on ``platform``."""
    return _HINTS.get(platform, _HINTS["linux"])


def no_graphics_message(platform: str, attempts: tuple[Attempt, ...]) -> str:
    """Return what to tell the user when no attempt worked on ``platform`` (as in ``sys.platform``)."""
    tried = "; ".join(f"{a.window or 'default window'}: {a.outcome}" for a in attempts)
    device = os.environ.get(DEVICE_VARIABLE)
    where = "this machine" if device is None else f"graphics device {device} of this machine"
    return f"Pictures cannot be drawn on {where}: no working OpenGL ({tried}).\n{install_hint(platform)}"


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
        told = child.stdout.decode(errors="replace").splitlines()
        renderer = next((t.partition(_RENDERER)[2].strip() for t in told if _RENDERER in t), "")
        return Attempt(window, "works", True, renderer)
    if child.returncode < 0:
        return Attempt(window, f"VTK crashed (signal {-child.returncode})", False)
    last = child.stderr.decode(errors="replace").strip().splitlines()
    reason = last[-1] if last else f"exit code {child.returncode}"
    return Attempt(window, "the drawn pixels are wrong" if child.returncode == 3 else reason, False)
