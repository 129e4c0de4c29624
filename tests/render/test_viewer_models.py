"""The viewer's model: every part once, twins on one mesh, tools and free springs with theirs; kept by its inputs."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import numpy as np
import pytest
from acts_samples import make_wrench, wrench
from benchleaf.geometry.assembly import Assembly, Part
from benchleaf.geometry.frame import Place
from benchleaf.geometry.parts.rings import wave_spring
from benchleaf.render.drawing.settings import PictureSettings
from benchleaf.render.engine.camera import sensible_views
from benchleaf.render.engine.hatching import hatch_of
from benchleaf.render.engine.material_styles import part_style
from benchleaf.render.engine.part_models import make_part_models
from benchleaf.render.pictures.studio import Studio
from benchleaf.render.pictures.viewer.mesh_packing import unpack_meshes
from benchleaf.render.pictures.viewer.model_making import make_viewer_model
from benchleaf.render.pictures.viewer.step_motion import plan_motion
from benchleaf.render.pictures.viewer.viewer_models import (
    MESHES,
    MODEL,
    MOTION,
    PlanMotion,
    keep_motion,
    keep_viewer_model,
    kept_motion,
    kept_viewer_model,
    motion_key,
    shape_name,
    viewer_key,
)
from benchleaf.sequences.steps.plan import Leg, Move, Plan, Section, Step
from benchleaf.sequences.work.store import Store
from proof_samples import plan_of
from sample_assembly import SMALL, sample_models, sample_plan

VIEW = sensible_views((0.0, 0.0, 1.0), (0.0, 1.0, 0.0))[0]
WRENCH = PlanMotion((), {"tool:torque wrench": wrench()})


@pytest.fixture(scope="module", name="motion")
def _motion() -> PlanMotion:
    plan = sample_plan()
    with Studio(sample_models(), SMALL) as studio:
        return plan_motion(studio, plan, [VIEW] * len(plan.steps), {})


def test_every_part_is_there_and_twins_share_their_mesh(motion: PlanMotion) -> None:
    models = sample_models()
    model, content = make_viewer_model(models, [motion])
    assert [p.key for p in model.parts] == list(models.parts)
    assert len(model.meshes) == len({id(m.mesh) for m in models})
    read = unpack_meshes(model.meshes, content)
    for number, (part, own) in enumerate(zip(model.parts, models, strict=True)):
        mesh = read[part.mesh]
        apart = np.abs(mesh.points[mesh.triangles] - own.mesh.points[own.mesh.triangles]).max()
        assert apart <= model.meshes[part.mesh].step_mm
        hatch = hatch_of(own.material, number)
        assert (part.hatch_deg, part.hatch_spacing) == (hatch.angles_deg, hatch.spacing)
        assert model.styles["moving"][part.material] == part_style("moving", part.material)
    assert model.steps == motion.steps
    assert [(g.parts, g.ratio) for g in model.groups] == [(g.parts, g.ratio) for g in models.turning]


def test_tools_and_free_springs_have_meshes_of_their_own() -> None:
    solid, springy = wave_spring(16.0, 19.0, 3.75, 0.25, 6, 6.75)
    part = Part("spring", "spring", "Spring", "1.4310", solid, Place.at(0, 0, 20), elastic=springy)
    models = make_part_models(Assembly("springs", {"spring": part}))
    step = Step(1, "fit", "s", "Fit", (), (Move(("spring",), (Leg((0, 0, -1.0), 30.0),)),))
    plan = Plan("assembly", "A", "a", (Section("s", "S"),), (step,))
    with Studio(models) as studio:
        motion = plan_motion(studio, plan, [VIEW], {})
    model, content = make_viewer_model(models, [motion, WRENCH], make_wrench)
    read = unpack_meshes(model.meshes, content)
    free = read[model.shapes[shape_name(motion.steps[0], "spring")]]
    assert np.ptp(read[model.parts[0].mesh].points[:, 2]) == pytest.approx(3.75, abs=0.1)
    assert np.ptp(free.points[:, 2]) == pytest.approx(6.75, abs=0.1)
    (tool,) = model.tools
    assert tool.tool == "torque wrench"
    assert read[tool.mesh].points[:, 0].max() == pytest.approx(60.0, abs=0.01)


def test_what_is_kept_comes_back_and_damage_is_seen(tmp_path: Path, motion: PlanMotion) -> None:
    store = Store(tmp_path)
    keep_motion(store, "a" * 64, motion)
    assert kept_motion(store, "a" * 64) == motion
    model, content = make_viewer_model(sample_models(), [motion])
    keep_viewer_model(store, "b" * 64, model, content)
    assert kept_viewer_model(store, "b" * 64) == (model, content)
    store.put("c" * 64, {MODEL: b"{}", MESHES: content, MOTION: b"{}"})
    assert kept_viewer_model(store, "c" * 64) is None
    assert kept_motion(store, "c" * 64) is None
    assert kept_viewer_model(store, "d" * 64) is None


def test_a_key_rests_on_moves_tools_and_models_and_on_no_word() -> None:
    plan, settings = plan_of(), PictureSettings()
    base = motion_key("m", settings, plan)
    told = dataclasses.replace(plan, steps=tuple(dataclasses.replace(s, title="Other") for s in plan.steps))
    assert motion_key("m", settings, told) == base
    fewer = dataclasses.replace(plan, steps=plan.steps[:-1])
    others = [
        motion_key("n", settings, plan),
        motion_key("m", settings, fewer),
        motion_key("m", settings, plan, {1: (wrench(),)}),
        motion_key("m", dataclasses.replace(settings, width=800), plan),
    ]
    assert {key.changed_from(base) for key in others} == {("views",)}
    assert len({key.digest for key in (base, *others)}) == 5
    whole = viewer_key("m", [base])
    assert viewer_key("n", [base]).changed_from(whole) == ("models",)
    assert viewer_key("m", others[:1]).changed_from(whole) == ("steps",)
