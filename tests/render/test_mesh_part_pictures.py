"""A part that is a mesh is drawn as its solid is: same lines, same shading, but for the facets of its outline."""

from __future__ import annotations

import io
from dataclasses import replace

import cadquery as cq
import numpy as np
import pytest
from benchleaf.geometry.assembly import Assembly
from benchleaf.render.drawing.still_files import STILL_ENDING
from benchleaf.render.engine.part_models import PartModels, make_part_models
from benchleaf.render.pictures.step_pictures import Picture, render_plan
from benchleaf.sequences.steps.plan import Plan
from mesh_samples import mesh_solid
from PIL import Image
from sample_assembly import SMALL, sample_assembly, sample_models, sample_plan

STEPS = ("body", "rotor", "nut", "cover")


def mesh_models() -> PartModels:
    """Return the sample with every part as a mesh, as it would come from files; twins share theirs."""
    known = {}
    parts = {}
    for part in sample_assembly():
        assert isinstance(part.solid, cq.Shape)
        if id(part.solid) not in known:
            known[id(part.solid)] = mesh_solid(part.solid, 0.02, 8.0)
        parts[part.key] = replace(part, solid=known[id(part.solid)])
    return make_part_models(Assembly("sample", parts), 1.0 / 1500.0)


@pytest.fixture(scope="module", name="both")
def _both(tmp_path_factory: pytest.TempPathFactory) -> dict[str, tuple[Picture, Picture]]:
    whole = sample_plan()
    plan: Plan = replace(whole, steps=tuple(s for s in whole.steps if s.id in STEPS))
    folder = tmp_path_factory.mktemp("pictures")
    taken = [render_plan(models, plan, folder, SMALL) for models in (sample_models(), mesh_models())]
    return {p.manifest.step: (p, q) for p, q in zip(*taken, strict=True)}


def pixels(picture: Picture) -> np.ndarray:
    with Image.open(io.BytesIO(picture.content[STILL_ENDING])) as image:
        return np.asarray(image.convert("RGB")).astype(int)


@pytest.mark.parametrize("step", STEPS)
def test_pictures_differ_along_outlines_alone(both: dict[str, tuple[Picture, Picture]], step: str) -> None:
    solid, mesh = both[step]
    assert mesh.manifest.camera.view == solid.manifest.camera.view
    assert mesh.manifest.camera.height_mm == pytest.approx(solid.manifest.camera.height_mm, rel=1e-3)
    off = np.abs(pixels(mesh) - pixels(solid)).max(axis=2)
    assert (off > 40).mean() < 0.002
    assert off.mean() < 2.0
    for key, part in solid.manifest.parts.items():
        if part.visible_px > 400:
            assert mesh.manifest.parts[key].visible_px == pytest.approx(part.visible_px, rel=0.03), key
