"""Surfaces are lit as the graphics library lights them, and as the directions of the lights say."""

from __future__ import annotations

import cadquery as cq
import numpy as np
import pytest
from benchleaf.geometry.assembly import Assembly, Part
from benchleaf.geometry.frame import Floats
from benchleaf.render.engine.camera import Camera, make_view
from benchleaf.render.engine.depth_layers import Pixels
from benchleaf.render.engine.gl_probe import ensure_graphics
from benchleaf.render.engine.light import LIGHTS, SPHERE_PIXELS, lit, lit_sphere, on_sphere
from benchleaf.render.engine.material_styles import MATERIALS, MaterialStyle, part_style
from benchleaf.render.engine.part_models import make_part_models
from benchleaf.render.engine.stage import Shown, Stage
from hypothesis import given
from hypothesis import strategies as st
from sample_solids import solid_of

CAMERA = Camera(make_view("", 0.0, 0.0, (0.0, 0.0, 1.0), (0.0, 1.0, 0.0)), (0.0, 0.0, 0.0), 12.0, 1.0)
PLAIN = MaterialStyle((1.0, 1.0, 1.0), 0.1, 0.3, 0.0, 8.0)
STEEL = part_style("plain", "steel").surface


def unit(*v: float) -> Floats:
    """Return the unit vector along ``v``, (1, 3)."""
    return np.array([v]) / float(np.linalg.norm(v))


def test_light_falls_as_the_cosine_of_its_angle() -> None:
    (*key, strength), (*fill, fill_strength), (*low, low_strength) = LIGHTS
    towards = unit(*key)
    expected = 0.1 + 0.3 * (
        strength
        + fill_strength * max(0.0, float((towards @ unit(*fill).T)[0, 0]))
        + low_strength * max(0.0, float((towards @ unit(*low).T)[0, 0]))
    )
    np.testing.assert_allclose(lit(towards, PLAIN), [[expected] * 3])
    np.testing.assert_allclose(lit(unit(0.0, 0.0, -1.0), PLAIN), [[0.1] * 3])  # nothing shines from behind


def test_a_highlight_lies_half_way_between_light_and_eye() -> None:
    (*key, _), *_ = LIGHTS
    shiny = MaterialStyle((0.0, 0.0, 0.0), 0.0, 0.0, 1.0, 400.0)
    half = unit(*np.add(unit(*key)[0], (0.0, 0.0, 1.0)))
    assert lit(half, shiny)[0, 0] == pytest.approx(LIGHTS[0][3], abs=1e-9)
    away = unit(*(half[0] + [0.2, -0.2, 0.0]))
    assert lit(away, shiny)[0, 0] < 0.01


@given(
    st.floats(0.0, 1.75),
    st.floats(0.0, 2 * np.pi),
    st.sampled_from(sorted(MATERIALS)),
    st.sampled_from(["plain", "moving", "context", "focus"]),
)
def test_looked_up_light_is_the_reckoned_light(angle: float, turn: float, key: str, role: str) -> None:
    material = part_style(role, key).surface  # type: ignore[arg-type]
    normal = np.array([[np.sin(angle) * np.cos(turn), np.sin(angle) * np.sin(turn), np.cos(angle)]])
    spot = on_sphere(normal)[0] * SPHERE_PIXELS - 0.5
    column, row = np.floor(spot).astype(int)
    across, up = spot - (column, row)
    picture = lit_sphere(material).astype(float)
    found = (1 - up) * ((1 - across) * picture[row, column] + across * picture[row, column + 1]) + up * (
        (1 - across) * picture[row + 1, column] + across * picture[row + 1, column + 1]
    )
    np.testing.assert_allclose(found, 255.0 * lit(normal, material)[0], atol=2.0)


def test_a_ball_is_lit_as_the_graphics_library_lights_it() -> None:
    """The whole way, from the ball's exact normals to pixels, against the library's own light on a ball of its own."""
    ball = Part("ball", "ball", "Ball", "steel", solid_of(cq.Workplane().sphere(5)))
    with Stage(make_part_models(Assembly("a", {"ball": ball})), 150, 150) as stage:
        ours = stage.draw({"ball": Shown(ball.place, "plain")}, CAMERA).astype(int)
    theirs = _library_ball().astype(int)
    inner = np.hypot(*(np.mgrid[0:300, 0:300] - 149.5)) < 110  # lines lie at the rim
    apart = np.abs(ours - theirs).max(axis=2)[inner]
    assert apart.max() <= 3
    assert apart.mean() < 0.7


def test_a_turned_part_is_lit_from_where_the_eye_is() -> None:
    ball = Part("ball", "ball", "Ball", "steel", solid_of(cq.Workplane().sphere(5)))
    side = Camera(make_view("", 70.0, 35.0, (0.0, 0.0, 1.0), (0.0, 1.0, 0.0)), (0.0, 0.0, 0.0), 12.0, 1.0)
    with Stage(make_part_models(Assembly("a", {"ball": ball})), 150, 150) as stage:
        front, other = (
            stage.draw({"ball": Shown(ball.place, "plain")}, c).astype(int) for c in (CAMERA, side)
        )
        again = stage.draw({"ball": Shown(ball.place, "plain")}, CAMERA).astype(int)
    inner = np.hypot(*(np.mgrid[0:300, 0:300] - 149.5)) < 110
    assert np.abs(front - other).max(axis=2)[inner].mean() < 2.0  # a ball looks the same from all sides
    np.testing.assert_array_equal(front, again)


def _library_ball() -> Pixels:
    """Return a ball of 5 mm lit by the graphics library itself, as seen in CAMERA, (300, 300, 3) uint8."""
    import vtkmodules.vtkRenderingOpenGL2
    from vtkmodules.util.numpy_support import vtk_to_numpy
    from vtkmodules.vtkCommonCore import vtkUnsignedCharArray
    from vtkmodules.vtkFiltersSources import vtkSphereSource
    from vtkmodules.vtkRenderingCore import (
        vtkActor,
        vtkLight,
        vtkPolyDataMapper,
        vtkRenderer,
        vtkRenderWindow,
    )

    assert vtkmodules.vtkRenderingOpenGL2
    ensure_graphics()
    source = vtkSphereSource()
    source.SetRadius(5.0)
    source.SetThetaResolution(300)
    source.SetPhiResolution(300)
    mapper = vtkPolyDataMapper()
    mapper.SetInputConnection(source.GetOutputPort())
    actor = vtkActor()
    actor.SetMapper(mapper)
    p = actor.GetProperty()
    p.SetColor(*STEEL.colour)
    p.SetAmbient(STEEL.ambient)
    p.SetDiffuse(STEEL.diffuse)
    p.SetSpecular(STEEL.specular)
    p.SetSpecularColor(1.0, 1.0, 1.0)
    p.SetSpecularPower(STEEL.power)
    renderer = vtkRenderer()
    renderer.AutomaticLightCreationOff()
    for x, y, z, strength in LIGHTS:
        lamp = vtkLight()
        lamp.SetLightTypeToCameraLight()
        lamp.SetPosition(x, y, z)
        lamp.SetFocalPoint(0.0, 0.0, 0.0)
        lamp.SetIntensity(strength)
        renderer.AddLight(lamp)
    renderer.AddActor(actor)
    window = vtkRenderWindow()
    window.SetOffScreenRendering(1)
    window.SetMultiSamples(0)
    window.SetSize(300, 300)
    window.AddRenderer(renderer)
    camera = renderer.GetActiveCamera()
    camera.SetParallelProjection(True)
    camera.SetPosition(0.0, 0.0, 5000.0)  # so far that all look along one line, as parallel projection has it
    camera.SetParallelScale(6.0)
    camera.SetClippingRange(4900.0, 5100.0)
    window.Render()
    pixels = vtkUnsignedCharArray()
    window.GetPixelData(0, 0, 299, 299, 0, pixels, 0)
    picture: Pixels = vtk_to_numpy(pixels)  # type: ignore[no-untyped-call]
    window.Finalize()
    return picture.reshape(300, 300, 3)[::-1].copy()
