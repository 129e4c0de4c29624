"""The stage: one off-screen plotter that keeps every part of an assembly ready and draws picture after picture.

Surfaces are shaded from the kernel's exact normals; lines (model edges, silhouettes) lie a hair nearer to the eye than
their surface, which in parallel projection moves nothing in the picture. A second renderer in the same window draws
each part in a colour of its own: from that the manifest learns what is visible.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import TracebackType
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ..geometry.frame import Floats, Place, Vec3
from .camera import Camera
from .contours import edge_segments, make_contour, make_ribbons
from .gl_probe import ensure_graphics
from .looks import Look, Rgb, Role, look
from .models import Model, Models

if TYPE_CHECKING:
    import pyvista as pv

Pixels = NDArray[np.uint8]
REFERENCE_WIDTH = 1600


@dataclass(frozen=True)
class Shown:
    """One part in a picture: where, and in which role."""

    place: Place
    role: Role = "context"


@dataclass(frozen=True)
class Ids:
    """What is where: ``part`` (h, w) int16 index into ``keys`` or -1, ``near_mm`` (h, w) float32 towards the eye."""

    keys: tuple[str, ...]
    part: NDArray[np.int16]
    near_mm: NDArray[np.float32]

    def mask(self, keys: Iterable[str]) -> NDArray[np.bool_]:
        """Return where one of ``keys`` is seen, (h, w) bool."""
        wanted = [self.keys.index(k) for k in keys if k in self.keys]
        return np.isin(self.part, np.array(wanted, dtype=np.int16))


class Stage:
    """Draws pictures of one set of models; use as a context manager, or call :meth:`close`."""

    def __init__(self, models: Models, width: int, height: int, supersample: int = 2) -> None:
        ensure_graphics()
        import pyvista as pv

        self.models = models
        self.width, self.height, self.supersample = width, height, supersample
        self._pv = pv
        self._plotter = pv.Plotter(
            off_screen=True,
            window_size=[width * supersample, height * supersample],
            lighting="none",
            shape=(1, 1),
            border=False,
        )
        self._plotter.render_window.SetMultiSamples(0)
        self._plotter.background_color = "white"
        _light(self._plotter)
        self._ids_view = self._add_ids_renderer()
        self._actors: dict[str, _PartActors] = {}
        self._flat: dict[int, Any] = {}

    def __enter__(self) -> Stage:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Free the window and all that it holds; may be called again."""
        if self._plotter is not None:
            self._plotter.close()
            self._plotter = None
            self._actors.clear()
            self._flat.clear()

    def draw(self, shown: Mapping[str, Shown], camera: Camera) -> Pixels:
        """Return the picture, (height * supersample, width * supersample, 3) uint8."""
        scale = self.supersample * self.width / REFERENCE_WIDTH
        millimetre_px = camera.height_mm / (self.height * self.supersample)
        for key, actors in self._actors.items():
            if key not in shown:
                actors.hide()
        for key, s in shown.items():
            self._part(key).show(s, camera, scale, millimetre_px)
        renderer = self._plotter.renderer
        self._aim(renderer, camera)
        renderer.SetDraw(True)
        self._ids_view.SetDraw(False)
        self._plotter.render_window.Render()
        return self._read_pixels(self.width * self.supersample, self.height * self.supersample)

    def ids(self, shown: Mapping[str, Place], camera: Camera, width: int) -> Ids:
        """Return what is visible where, on a grid ``width`` wide (at most the window's width)."""
        height = max(1, round(width / camera.aspect))
        window = self._plotter.render_window.GetSize()
        keys = tuple(shown)
        for key, actor in self._flat.items():
            actor.SetVisibility(key in shown)
        for number, key in enumerate(keys):
            actor = self._flat_actor(key)
            actor.SetVisibility(True)
            actor.SetUserMatrix(_vtk_matrix(shown[key].matrix()))
            actor.GetProperty().SetColor(((number + 1) & 255) / 255.0, ((number + 1) >> 8) / 255.0, 0.0)
        self._ids_view.SetViewport(0.0, 0.0, width / window[0], height / window[1])
        depth = self._aim(self._ids_view, camera)
        self._plotter.renderer.SetDraw(False)
        self._ids_view.SetDraw(True)
        self._plotter.render_window.Render()
        pixels = self._read_pixels(width, height).astype(np.int16)
        near = self._read_depth(width, height)
        part = pixels[:, :, 0] + (pixels[:, :, 1] << 8) - 1
        return Ids(keys, part, (depth * (0.5 - near)).astype(np.float32))

    # -- inside ------------------------------------------------------------------------------------------------

    def _add_ids_renderer(self) -> Any:
        from vtkmodules.vtkRenderingCore import vtkRenderer

        renderer = vtkRenderer()
        renderer.SetBackground(0.0, 0.0, 0.0)
        renderer.SetDraw(False)
        renderer.AutomaticLightCreationOff()
        self._plotter.render_window.AddRenderer(renderer)
        return renderer

    def _part(self, key: str) -> _PartActors:
        if key not in self._actors:
            self._actors[key] = _PartActors(self._pv, self.models.parts[key])
            self._actors[key].add_to(self._plotter.renderer)
        return self._actors[key]

    def _flat_actor(self, key: str) -> Any:
        if key not in self._flat:
            actor = _actor(surface_data(self._pv, self.models.parts[key]))
            actor.GetProperty().LightingOff()
            self._ids_view.AddActor(actor)
            self._flat[key] = actor
        return self._flat[key]

    def _reach(self, camera: Camera) -> float:
        return 4.0 * max(self.models.extent_mm, camera.height_mm, camera.width_mm)

    def _aim(self, renderer: Any, camera: Camera) -> float:
        """Point the renderer's camera; return the depth range in mm."""
        reach = self._reach(camera)
        c = renderer.GetActiveCamera()
        eye, centre = camera.view.axes[2], np.array(camera.centre)
        c.SetParallelProjection(True)
        c.SetFocalPoint(*centre)
        c.SetPosition(*(centre + eye * reach))
        c.SetViewUp(*camera.view.axes[1])
        c.SetParallelScale(camera.height_mm / 2.0)
        c.SetClippingRange(reach * 0.001, reach * 1.999)
        return reach * 1.998

    def _read_pixels(self, width: int, height: int) -> Pixels:
        from vtkmodules.util.numpy_support import vtk_to_numpy
        from vtkmodules.vtkCommonCore import vtkUnsignedCharArray

        array = vtkUnsignedCharArray()
        self._plotter.render_window.GetPixelData(0, 0, width - 1, height - 1, 0, array, 0)
        return np.ascontiguousarray(vtk_to_numpy(array).reshape(height, width, 3)[::-1])

    def _read_depth(self, width: int, height: int) -> NDArray[np.float32]:
        from vtkmodules.util.numpy_support import vtk_to_numpy
        from vtkmodules.vtkCommonCore import vtkFloatArray

        array = vtkFloatArray()
        self._plotter.render_window.GetZbufferData(0, 0, width - 1, height - 1, array)
        return np.ascontiguousarray(vtk_to_numpy(array).reshape(height, width)[::-1])


class _PartActors:
    """Surface, edges and outline of one part on the stage."""

    def __init__(self, pv: Any, model: Model) -> None:
        self._pv, self._model = pv, model
        self.surface = _actor(surface_data(pv, model))
        self.edges = _Lines(pv, edge_segments(model.mesh))
        self.outline = _Lines(pv, np.empty((0, 2, 3)))
        self._seen_from: tuple[float, ...] = ()

    def add_to(self, renderer: Any) -> None:
        for actor in (self.surface, self.edges.actor, self.outline.actor):
            renderer.AddActor(actor)

    def hide(self) -> None:
        for actor in (self.surface, self.edges.actor, self.outline.actor):
            actor.SetVisibility(False)

    def show(self, shown: Shown, camera: Camera, scale: float, pixel_mm: float) -> None:
        style = look(shown.role, self._model.material)
        _set_surface(self.surface, style)
        matrix = shown.place.matrix()
        self.surface.SetUserMatrix(_vtk_matrix(matrix))
        self.surface.SetVisibility(True)
        eye = camera.view.axes[2]
        turned = matrix[:3, :3].T @ eye
        own = (float(turned[0]), float(turned[1]), float(turned[2]))
        seen_from = tuple(round(c, 9) for c in own)
        if seen_from != self._seen_from:
            self._seen_from = seen_from
            self.outline.segments = make_contour(self._model.mesh, own)
        # Edges stand a little nearer than their faces. The outline stands a little behind: the part itself hides
        # its inner half, evenly, so that small round parts are not eaten by their own outline. A ghost's stands far
        # behind, so that only the outermost line is left.
        edge, outline = style.edge * scale, 2.0 * style.outline * scale
        back = self._model.mesh.reach_mm if shown.role == "ghost" else 0.5 * pixel_mm
        for lines, width, nearer in (
            (self.edges, edge, (1.0 + edge) * pixel_mm),
            (self.outline, outline, -back),
        ):
            lifted = matrix.copy()
            lifted[:3, 3] += eye * nearer
            lines.show(lifted, own, width * pixel_mm, style.line)


class _Lines:
    """Line segments of one part as ribbons, laid anew only when view or width changed."""

    def __init__(self, pv: Any, segments: Floats) -> None:
        self._pv = pv
        self.segments = segments
        self._laid: tuple[object, ...] = ()
        self.actor = _actor(pv.PolyData())
        self.actor.GetProperty().LightingOff()

    def show(self, matrix: Floats, eye: Vec3, width_mm: float, colour: Rgb) -> None:
        visible = width_mm > 0 and len(self.segments) > 0
        self.actor.SetVisibility(visible)
        if not visible:
            return
        wanted = (id(self.segments), tuple(round(c, 9) for c in eye), round(width_mm, 9))
        if wanted != self._laid:
            points, triangles = make_ribbons(self.segments, eye, width_mm)
            data = self._pv.PolyData()
            if len(points):
                data = self._pv.PolyData.from_regular_faces(points.astype(np.float32), triangles)
            self.actor.GetMapper().SetInputData(data)
            self._laid = wanted
        self.actor.SetUserMatrix(_vtk_matrix(matrix))
        self.actor.GetProperty().SetColor(*colour)


def surface_data(pv: Any, model: Model) -> pv.PolyData:
    """Return the model's split mesh with its exact normals as PyVista data."""
    data = pv.PolyData.from_regular_faces(model.mesh.points, model.mesh.triangles)
    data.point_data.active_normals = model.mesh.normals.astype(np.float32)
    return data


def _actor(data: Any) -> Any:
    from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper

    mapper = vtkPolyDataMapper()
    mapper.SetInputData(data)
    mapper.ScalarVisibilityOff()
    mapper.StaticOn()
    actor = vtkActor()
    actor.SetMapper(mapper)
    return actor


def _set_surface(actor: Any, style: Look) -> None:
    p, m = actor.GetProperty(), style.surface
    p.SetInterpolationToPhong()
    p.SetColor(*m.colour)
    p.SetAmbient(m.ambient)
    p.SetDiffuse(m.diffuse)
    p.SetSpecular(m.specular)
    p.SetSpecularPower(m.power)
    p.SetSpecularColor(1.0, 1.0, 1.0)


def _light(plotter: Any) -> None:
    """Three lights that travel with the eye: key from upper left, fill from the right, a little from below."""
    from vtkmodules.vtkRenderingCore import vtkLight

    for x, y, z, strength in ((-0.55, 0.95, 1.0, 0.88), (0.9, 0.2, 0.7, 0.42), (0.1, -0.9, 0.5, 0.16)):
        light = vtkLight()
        light.SetLightTypeToCameraLight()
        light.SetPosition(x, y, z)
        light.SetFocalPoint(0.0, 0.0, 0.0)
        light.SetIntensity(strength)
        plotter.renderer.AddLight(light)


def _vtk_matrix(matrix: Floats) -> Any:
    from vtkmodules.vtkCommonMath import vtkMatrix4x4

    m = vtkMatrix4x4()
    m.DeepCopy(matrix.ravel().tolist())
    return m
