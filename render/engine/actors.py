"""Actors of the stage: a part's surface with the light that falls on it, its edges and outline as ribbons."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, cast

import numpy as np
from numpy.typing import NDArray

from ...geometry.frame import Floats, Place, Vec3
from ...geometry.meshes.tessellation import Ints
from .camera import Camera
from .light import on_sphere, sphere_texture
from .line_work import Ribbons, edge_segments, edge_spacing, silhouette
from .material_styles import MaterialStyle, Rgb, Role, part_style
from .part_models import PartModel

if TYPE_CHECKING:
    import pyvista as pv

MOST_OUTLINE = 0.3
"""Greatest width of a part's outline as a share of the part's thickness."""
CROWDED = 0.22
"""Greatest width of an edge line as a share of the space between edges."""

DISCARD = "if (gl_FragData[0].a <= 0.0)"
"""Where the graphics library's shaders leave out what is wholly transparent."""


class Textures:
    """Pictures of lit spheres as textures of one window, made when first asked for."""

    def __init__(self) -> None:
        self._made: dict[MaterialStyle, Any] = {}

    def of(self, material: MaterialStyle) -> Any:
        """Return the texture of ``material``."""
        if material not in self._made:
            self._made[material] = sphere_texture(material)
        return self._made[material]

    def clear(self) -> None:
        """Forget them."""
        self._made.clear()


class PartActors:
    """Surface, edges and outline of one part on the stage."""

    def __init__(self, model: PartModel, textures: Textures, cell_mm: float) -> None:
        self._model, self._textures = model, textures
        self._data = surface_data(model.mesh.points, model.mesh.triangles)
        self.surface = surface_actor(self._data)
        self._turned: tuple[float, ...] = ()
        self.edges = Lines(edge_segments(model.mesh), edge_spacing(model.mesh, cell_mm))
        self.outline = Lines(np.empty((0, 2, 3)))
        self.hatch = Lines(np.empty((0, 2, 3)) if model.hatch is None else model.hatch)
        self._seen_from: tuple[float, ...] = ()
        low, high = model.mesh.box
        self._thickness_mm = float((high - low).min())

    @property
    def lines(self) -> tuple[Lines, ...]:
        """Edges, outline and hatch."""
        return self.edges, self.outline, self.hatch

    def show(self, place: Place, role: Role, camera: Camera, scale: float, pixel_mm: float) -> None:
        """Set the actors for a part in ``place``; ``scale`` is of line widths, which are in pixels of ``pixel_mm``."""
        style = part_style(role, self._model.material)
        matrix = place.matrix()
        self.surface.SetUserMatrix(vtk_matrix(matrix))
        self.surface.SetTexture(self._textures.of(style.surface))
        self._turn(camera.view.axes @ matrix[:3, :3])
        eye = camera.view.axes[2]
        turned = matrix[:3, :3].T @ eye
        own = (float(turned[0]), float(turned[1]), float(turned[2]))
        seen_from = tuple(round(c, 9) for c in own)
        if seen_from != self._seen_from:
            self._seen_from = seen_from
            self.outline.segments = silhouette(self._model.mesh, own)
        # Lines stand a little nearer than their faces; the rounding of a part hides the inner half of its outline. A
        # ghost's outline stands far behind, so that only the outermost line is left.
        outline = min(1.7 * style.outline * scale, MOST_OUTLINE * self._thickness_mm / pixel_mm)
        edge = min(style.edge * scale, outline)
        lift = (1.0 + 0.5 * outline) * pixel_mm
        if role == "ghost":
            lift = -self._model.mesh.reach_mm
        for lines, width, nearer in (
            (self.edges, edge, (1.0 + edge) * pixel_mm),
            (self.outline, outline, lift),
            (self.hatch, style.edge * scale * 0.8, 2.0 * pixel_mm),
        ):
            lifted = matrix.copy()
            lifted[:3, 3] += eye * nearer
            lines.show(lifted, own, width * pixel_mm, style.line)

    def _turn(self, rotation: Floats) -> None:
        """Find the normals' spots in pictures of a sphere; ``rotation`` (3, 3) takes them to right, up, to the eye."""
        turned = tuple(np.round(rotation, 9).ravel().tolist())
        if turned != self._turned:
            self._turned = turned
            self._data.point_data.active_texture_coordinates = cast(
                Any, on_sphere(self._model.mesh.normals @ np.reshape(turned, (3, 3)).T)
            )


class Lines:
    """Line segments of one part as ribbons, made anew only when view or width changed."""

    def __init__(self, segments: Floats, spacing_mm: Floats | None = None) -> None:
        import pyvista as pv

        self.segments, self._spacing_mm = segments, spacing_mm
        self._shown_as: tuple[object, ...] = ()
        self._ribbons: tuple[tuple[object, ...], Ribbons] | None = None
        self._data: Any = pv.PolyData()
        self.actor = _actor(self._data)
        self.actor.GetProperty().LightingOff()

    def show(self, matrix: Floats, eye: Vec3, width_mm: float, colour: Rgb) -> None:
        """Set the actor for lines so wide, in the place ``matrix`` (4, 4); ``eye`` in the lines' own frame."""
        visible = width_mm > 0 and len(self.segments) > 0
        self.actor.SetVisibility(visible)
        if not visible:
            return
        facing = (id(self.segments), tuple(round(c, 9) for c in eye))
        if (facing, round(width_mm, 7)) != self._shown_as:
            widths = np.full(len(self.segments), width_mm)
            if self._spacing_mm is not None:
                widths = np.minimum(widths, CROWDED * self._spacing_mm)
            if self._ribbons is None or self._ribbons[0] != facing:
                self._ribbons = facing, Ribbons(self.segments, eye)
                self._data = surface_data(self._ribbons[1].points(widths), self._ribbons[1].triangles)
                self.actor.GetMapper().SetInputData(self._data)
            else:  # only wider or narrower: the same triangles
                _move(self._data, self._ribbons[1].points(widths))
            self._shown_as = facing, round(width_mm, 7)
        self.actor.SetUserMatrix(vtk_matrix(matrix))
        self.actor.GetProperty().SetColor(*colour)


def surface_data(points: Floats | NDArray[np.float32], triangles: Ints) -> pv.PolyData:
    """Return ``points`` (n, 3) with ``triangles`` (m, 3) as PyVista data."""
    import pyvista as pv
    from vtkmodules.util.numpy_support import numpy_to_vtk
    from vtkmodules.vtkCommonCore import vtkPoints
    from vtkmodules.vtkCommonDataModel import vtkCellArray

    # Straight into the library's own arrays: a picture has a hundred sets of lines, each of which is made anew.
    data = pv.PolyData()
    corners, cells = vtkPoints(), vtkCellArray()
    corners.SetData(numpy_to_vtk(np.ascontiguousarray(points), deep=True))  # type: ignore[no-untyped-call]
    numbers = np.ascontiguousarray(triangles, dtype=np.int32).ravel()
    cells.SetData(3, numpy_to_vtk(numbers, deep=True))  # type: ignore[no-untyped-call]
    data.SetPoints(corners)
    data.SetPolys(cells)
    return data


def _move(data: pv.PolyData, points: NDArray[np.float32]) -> None:
    """Have ``data`` another array (n, 3) of points."""
    from vtkmodules.util.numpy_support import numpy_to_vtk

    data.GetPoints().SetData(numpy_to_vtk(points, deep=True))  # type: ignore[no-untyped-call]
    data.GetPoints().Modified()
    data.Modified()


def surface_actor(data: pv.PolyData) -> Any:
    """Return the actor of a closed surface, white or of the colour that it is given.

    Of it, what looks away from the eye is hidden by what looks to it, and is not drawn.
    """
    actor = _actor(data)
    actor.GetProperty().BackfaceCullingOn()
    actor.GetProperty().LightingOff()
    return actor


def _actor(data: Any) -> Any:
    from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper

    mapper = vtkPolyDataMapper()
    mapper.SetInputData(data)
    mapper.ScalarVisibilityOff()
    mapper.StaticOn()
    actor = vtkActor()
    actor.SetMapper(mapper)
    # Nothing is transparent: a shader that may discard would have the depth of each pixel written after it has run.
    actor.GetShaderProperty().AddFragmentShaderReplacement(DISCARD, True, "if (false)", True)
    return actor


def vtk_matrix(matrix: Floats) -> Any:
    """Return ``matrix`` (4, 4) as the graphics library's."""
    from vtkmodules.vtkCommonMath import vtkMatrix4x4

    m = vtkMatrix4x4()
    m.DeepCopy(matrix.ravel().tolist())
    return m
