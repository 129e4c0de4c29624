"""Models of parts: boxes where they stand, axes that are told apart, and a digest of all that pictures depend on."""

from __future__ import annotations

import pickle
from dataclasses import replace

import cadquery as cq
import numpy as np
import pytest
from benchleaf.geometry.assembly import Assembly, Part
from benchleaf.geometry.frame import Place
from benchleaf.render.engine.part_models import PartModels, make_part_models, mesh_digest
from sample_assembly import HALF, sample_assembly, sample_models
from sample_solids import kernel, solid_of


def test_boxes_are_those_of_the_solids_in_place() -> None:
    models = sample_models()
    for part in sample_assembly():
        box = kernel(part.placed()).copy().BoundingBox()
        low, high = models.parts[part.key].box()
        np.testing.assert_allclose(low, (box.xmin, box.ymin, box.zmin), atol=0.3)
        np.testing.assert_allclose(high, (box.xmax, box.ymax, box.zmax), atol=0.3)
    moved = models.parts["cover"].box(models.parts["cover"].place.moved(1.0, 2.0, 3.0))
    np.testing.assert_allclose(moved[0] - models.parts["cover"].box()[0], (1.0, 2.0, 3.0), atol=1e-9)


def test_equal_parts_share_their_mesh_and_the_extent_is_that_of_all() -> None:
    models = sample_models()
    assert models.parts["rotor_drive"].mesh is models.parts["rotor_driven"].mesh
    points = np.concatenate([m.place.points(m.mesh.points) for m in models])
    assert models.extent_mm == pytest.approx(float(np.ptp(points, axis=0).max()), rel=1e-3)


def test_parts_on_one_shaft_share_an_axis() -> None:
    models = sample_models()
    front = np.array(models.front)
    found = {
        k: models.axis_of(k, models.parts[k].place, front, 1.0)
        for k in ("shaft_drive", "seat_drive", "nut_drive", "seat_driven")
    }
    assert found["seat_drive"][0] == found["nut_drive"][0] == found["shaft_drive"][0]
    assert found["seat_driven"][0] != found["seat_drive"][0]
    np.testing.assert_allclose(found["seat_drive"][1], (-HALF, 0.0, 0.0), atol=1e-6)


def changed(models: PartModels, **fields: object) -> PartModels:
    """Return the models with fields of one part changed."""
    cover = replace(models.parts["cover"], **fields)  # type: ignore[arg-type]
    return replace(models, parts={**models.parts, "cover": cover})


def test_the_digest_sees_whatever_a_picture_depends_on() -> None:
    models = sample_models()
    mesh = models.parts["cover"].mesh
    others = [
        changed(models, kind="lid"),
        changed(models, material="FKM"),
        changed(models, thread=True),
        changed(models, place=Place.at(0, 0, 62.001)),
        changed(models, mesh=replace(mesh, points=mesh.points + 1e-4)),
        changed(models, mesh=replace(mesh, edges=mesh.edges[1:], edge_normals=mesh.edge_normals[1:])),
        replace(models, up=(1.0, 0.0, 0.0)),
        replace(models, front=(0.0, 0.0, -1.0)),
    ]
    digests = [m.digest for m in (models, *others)]
    assert len(set(digests)) == len(digests)
    assert replace(models).digest == models.digest
    assert changed(models, place=Place.at(0, 0, 62.0 + 1e-12)).digest == models.digest, (
        "no rounding of the kernel"
    )
    assert mesh_digest(replace(mesh, points=mesh.points + 1e-9)) == mesh_digest(mesh)


def test_models_travel_between_processes() -> None:
    models = sample_models()
    assert pickle.loads(pickle.dumps(models)).digest == models.digest


def test_two_digits_of_tolerance_let_equal_sizes_share_their_meshes() -> None:
    block = solid_of(cq.Workplane().box(100.01, 10, 10))
    models = make_part_models(Assembly("one", {"a": Part("a", "a", "A", "316L", block)}), 1 / 3000)
    assert models.parts["a"].mesh.tolerance_mm == 0.033
