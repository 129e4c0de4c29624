"""An off-screen window of the graphics library: aimed, drawn, and read back."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from .camera import Camera
from .depth_layers import Pixels
from .material_styles import Rgb

DEPTH_SHARE = 1.998
"""Range of depth that a picture covers, as a multiple of its reach."""

_GL_BLEND = 0x0BE2


class Window:
    """An off-screen window with one renderer."""

    def __init__(self, width: int, height: int, ground: Rgb) -> None:
        import vtkmodules.vtkRenderingOpenGL2
        from vtkmodules.vtkCommonCore import vtkCommand
        from vtkmodules.vtkRenderingCore import vtkRenderer, vtkRenderWindow

        assert vtkmodules.vtkRenderingOpenGL2  # imported so that the window below is one of OpenGL's
        self.window: Any = vtkRenderWindow()
        self.window.SetOffScreenRendering(1)
        self.window.SetMultiSamples(0)
        self.window.SwapBuffersOff()  # nobody looks at it: what is drawn is read from where it was drawn
        self.window.SetSize(width, height)
        self.renderer: Any = vtkRenderer()
        self.renderer.SetBackground(*ground)
        self.renderer.AutomaticLightCreationOff()
        self.window.AddRenderer(self.renderer)
        # Nothing is transparent: what is drawn need not be mixed with what was there.
        self.renderer.AddObserver(
            vtkCommand.StartEvent, lambda *_: self.window.GetState().vtkglDisable(_GL_BLEND)
        )

    def cover(self, width: int, height: int) -> None:
        """Draw on the lower left ``width`` x ``height`` pixels of the window only."""
        size = self.window.GetSize()
        self.renderer.SetViewport(0.0, 0.0, width / size[0], height / size[1])

    def aim(self, camera: Camera, reach: float) -> float:
        """Point the camera; return the range of depth that the picture covers, mm."""
        c = self.renderer.GetActiveCamera()
        eye, centre = camera.view.axes[2], np.array(camera.centre)
        c.SetParallelProjection(True)
        c.SetFocalPoint(*centre)
        c.SetPosition(*(centre + eye * reach))
        c.SetViewUp(*camera.view.axes[1])
        c.SetParallelScale(camera.height_mm / 2.0)
        c.SetClippingRange(reach * 0.001, reach * 1.999)
        return reach * DEPTH_SHARE

    def render(self) -> None:
        """Have all drawn; the work is done when it is read, or in parallel once another window is current."""
        self.window.Render()

    def make_current(self) -> None:
        """Make this the window that is drawn to; the one before it is sent all that it has not begun with."""
        self.window.MakeCurrent()

    def read(self, width: int, height: int, left: int = 0, low: int = 0) -> Pixels:
        """Return ``width`` x ``height`` pixels of what was drawn last, top row first; from the lower left corner on,
        or from ``left`` and ``low`` pixels away from it.
        """
        from vtkmodules.util.numpy_support import vtk_to_numpy
        from vtkmodules.vtkCommonCore import vtkUnsignedCharArray

        array = vtkUnsignedCharArray()
        self.window.GetPixelData(left, low, left + width - 1, low + height - 1, 0, array, 0)
        pixels: Pixels = vtk_to_numpy(array)  # type: ignore[no-untyped-call]
        return pixels.reshape(height, width, 3)[::-1]

    def read_depth(self, width: int, height: int, left: int = 0, low: int = 0) -> NDArray[np.float32]:
        """Return the depth (0 near to 1 far) of what was drawn last, top row first; of pixels as of :meth:`read`."""
        from vtkmodules.util.numpy_support import vtk_to_numpy
        from vtkmodules.vtkCommonCore import vtkFloatArray

        array = vtkFloatArray()
        self.window.GetZbufferData(left, low, left + width - 1, low + height - 1, array)
        depth: NDArray[np.float32] = vtk_to_numpy(array)  # type: ignore[no-untyped-call]
        return depth.reshape(height, width)[::-1]

    def close(self) -> None:
        """Free the window."""
        if self.window is not None:
            self.renderer.RemoveAllViewProps()
            self.window.Finalize()
            self.window = self.renderer = None
