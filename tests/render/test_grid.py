"""The measuring grid tells the same by coarse surfaces as by fine ones, and nothing vanishes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import cadquery as cq
import numpy as np
import pytest
import pyvista as pv
from benchleaf.geometry.assembly import Assembly, Part
from benchleaf.geometry.frame import Floats, Place
from benchleaf.geometry.meshes.tessellation import Ints, coarse_surface, make_mesh, open_edges
from benchleaf.render.engine import grid
from benchleaf.render.engine.actors import surface_data
from benchleaf.render.engine.camera import Camera, make_view
from benchleaf.render.engine.part_models import make_part_models
from benchleaf.render.engine.stage import Stage
from sample_solids import solid_of

VIEW = make_view("", 25.0, 30.0, (0.0, 0.0, 1.0), (0.0, 1.0, 0.0))
CAMERA = Camera(VIEW, (0.0, 0.0, 0.0), 110.0, 1.0)
WIDTH = 120


def _parts() -> dict[str, Part]:
    ring = solid_of(cq.Workplane().circle(40).circle(30).extrude(10).edges().fillet(2))
    ball = solid_of(cq.Workplane().sphere(12))
    shim = solid_of(cq.Workplane().circle(25).circle(20).extrude(0.1))
    return {
        "ring": Part("ring", "ring", "Ring", "316L", ring),
        "ball": Part("ball", "ball", "Ball", "FKM", ball, Place.at(0, 0, 4)),
        "shim": Part("shim", "shim", "Shim", "316L", shim, Place.at(0, 0, 20)),
    }


@pytest.fixture(scope="module", name="stage")
def _stage() -> Iterator[Stage]:
    with Stage(make_part_models(Assembly("three", _parts())), 100, 100) as stage:
        yield stage


def test_a_coarse_surface_is_closed_with_fewer_triangles_near_the_fine_one() -> None:
    mesh = make_mesh(_parts()["ring"].solid, 0.01)
    points, triangles = coarse_surface(mesh, 0.1)
    assert open_edges(triangles) == 0
    assert len(triangles) < 0.5 * len(mesh.triangles)
    fine, coarse = _surface(mesh.joined_points, mesh.joined_triangles), _surface(points, triangles)
    for one, other in ((fine, coarse), (coarse, fine)):
        samples = pv.PolyData(np.concatenate([one.points, one.cell_centers().points]))
        apart = samples.compute_implicit_distance(other)["implicit_distance"]
        assert np.abs(apart).max() < 0.2
        assert np.abs(apart).mean() < 0.1
    assert coarse.volume == pytest.approx(mesh.volume_mm3, rel=0.03)


def _surface(points: Floats, triangles: Ints) -> pv.PolyData:
    return surface_data(points, triangles)


@pytest.mark.parametrize(
    ("solid", "off_mm"),
    [
        (cq.Workplane().circle(25).circle(20).extrude(0.1), 2.0),
        (cq.Workplane().circle(25).circle(24.5).extrude(8), 0.5),
        (cq.Workplane().sphere(1.5), 1.0),
    ],
    ids=["shim", "sleeve", "ball"],
)
def test_a_part_thinner_than_the_coarse_surface_may_be_off_stays_as_it_is(
    solid: cq.Workplane, off_mm: float
) -> None:
    mesh = make_mesh(solid_of(solid), 0.01)
    points, triangles = coarse_surface(mesh, off_mm)
    assert open_edges(triangles) == 0
    assert _surface(points, triangles).volume >= 0.8 * mesh.volume_mm3


def test_coarse_surfaces_are_seen_where_fine_ones_are(stage: Stage, monkeypatch: pytest.MonkeyPatch) -> None:
    places = {k: m.place for k, m in stage.models.parts.items()}
    coarse = stage.ids(places, CAMERA, WIDTH)
    monkeypatch.setattr(grid, "COARSE_PIXELS", 0.0)
    fine = stage.ids(places, CAMERA, WIDTH)
    assert (fine.near_mm != coarse.near_mm).mean() > 0.01, "coarse surfaces were drawn"
    assert fine.seen == coarse.seen == set(places)
    assert (fine.part != coarse.part).mean() < 0.004
    both = (fine.part == coarse.part) & (fine.part >= 0)
    assert np.median(np.abs(fine.near_mm - coarse.near_mm)[both]) < 0.15


def test_fine_pixels_get_fine_surfaces(stage: Stage, monkeypatch: pytest.MonkeyPatch) -> None:
    places = {k: m.place for k, m in stage.models.parts.items()}
    as_ever = stage.ids(places, CAMERA, 900)
    monkeypatch.setattr(grid, "COARSE_PIXELS", 0.0)
    fine = stage.ids(places, CAMERA, 900)
    np.testing.assert_array_equal(as_ever.near_mm, fine.near_mm)
    np.testing.assert_array_equal(as_ever.part, fine.part)


@pytest.mark.parametrize("width", [60, WIDTH, 700])
def test_a_mask_is_where_anything_is_seen(stage: Stage, width: int) -> None:
    places = {k: stage.models.parts[k].place for k in ("ring", "ball")}
    np.testing.assert_array_equal(
        stage.mask(places, CAMERA, width), stage.ids(places, CAMERA, width).part >= 0
    )


def test_more_parts_than_a_byte_counts_keep_their_numbers(stage: Stage) -> None:
    ball = stage.models.parts["ball"]
    spots = [(x, y) for y in range(-400, 401, 50) for x in range(-400, 401, 50)]
    many = {f"ball {n}": Place.at(x, y, 0) for n, (x, y) in enumerate(spots)}
    front = make_view("", 0.0, 0.0, (0.0, 0.0, 1.0), (0.0, 1.0, 0.0))
    stage.add_models(replace(ball, key=key) for key in many)
    try:
        ids = stage.ids(many, Camera(front, (0.0, 0.0, 0.0), 900.0, 1.0), 900)
    finally:
        stage.remove_models()
    assert len(many) > 255
    assert ids.seen == set(many)
    for key, (x, y) in zip(many, spots, strict=True):
        assert ids.keys[ids.part[450 - y, 450 + x]] == key


def test_a_window_of_the_grid_tells_the_same(stage: Stage) -> None:
    ids = stage.ids({k: m.place for k, m in stage.models.parts.items()}, CAMERA, WIDTH)
    part = ids.window(slice(40, 80), slice(30, 90))
    np.testing.assert_array_equal(part.mask(["ball"]), ids.mask(["ball"])[40:80, 30:90])
    np.testing.assert_array_equal(part.near_mm, ids.near_mm[40:80, 30:90])


@pytest.mark.parametrize("height_mm", [400.0, 110.0, 8.0])
def test_what_is_packed_is_opened_as_it_was(stage: Stage, height_mm: float) -> None:
    places = {k: m.place for k, m in stage.models.parts.items()}
    ids = stage.ids(places, replace(CAMERA, height_mm=height_mm), WIDTH)
    small = grid.packed(ids)
    opened = small.opened()
    assert opened.keys == ids.keys
    assert np.array_equal(opened.part, ids.part)
    assert np.array_equal(opened.near_mm, ids.near_mm)
    assert small.bytes <= ids.bytes
    assert (small.bytes < 0.2 * ids.bytes) == (height_mm == 400.0)


def test_a_grid_of_nothing_is_packed_too(stage: Stage) -> None:
    ids = stage.ids({"ball": Place.at(0, 900, 0)}, CAMERA, WIDTH)
    opened = grid.packed(ids).opened()
    assert not opened.seen
    assert np.array_equal(opened.near_mm, ids.near_mm)
