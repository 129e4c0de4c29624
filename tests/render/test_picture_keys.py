"""Keys of pictures: whatever a picture rests on makes another key, words make none; what is kept comes back."""

from __future__ import annotations

import dataclasses
from pathlib import Path

from benchleaf.geometry.frame import Place
from benchleaf.render.composition.pair_views import PairScene
from benchleaf.render.drawing.settings import PictureSettings
from benchleaf.render.engine.camera import sensible_views
from benchleaf.render.pictures.picture_keys import (
    keep_views,
    kept_likeness,
    kept_views,
    models_key,
    overview_key,
    pair_keys,
    picture_jobs,
    step_key,
    views_key,
)
from benchleaf.sequences.steps.plan import Plan
from benchleaf.sequences.work.store import Store
from proof_samples import plan_of

VIEWS = sensible_views((0.0, 0.0, 1.0), (0.0, 1.0, 0.0))
SETTINGS = PictureSettings()
MODELS = models_key("a design", SETTINGS.detail).digest


def test_models_are_those_of_a_design_at_a_fineness() -> None:
    keys = [models_key("a", 0.1), models_key("b", 0.1), models_key("a", 0.2)]
    assert len({k.digest for k in keys}) == 3
    assert keys[0].changed_from(keys[2]) == ("detail",)


def test_whatever_a_step_shows_makes_another_key_and_no_word_does() -> None:
    step = plan_of().steps[1]
    base = step_key(MODELS, SETTINGS, step, VIEWS[0], "assembly-02", False)
    told = dataclasses.replace(step, title="Other", acts=("Other.",), why="Other.", look=("Other.",))
    told = dataclasses.replace(told, examples=("scratch",))
    assert step_key(MODELS, SETTINGS, told, VIEWS[0], "assembly-02", False) == base
    others = {
        "models": step_key("b", SETTINGS, step, VIEWS[0], "assembly-02", False),
        "settings": step_key(
            MODELS, dataclasses.replace(SETTINGS, width=800), step, VIEWS[0], "assembly-02", False
        ),
        "step": step_key(
            MODELS, SETTINGS, dataclasses.replace(step, present=()), VIEWS[0], "assembly-02", False
        ),
        "view": step_key(MODELS, SETTINGS, step, VIEWS[1], "assembly-02", False),
        "files": step_key(MODELS, SETTINGS, step, VIEWS[0], "assembly-03", False),
        "view_changed": step_key(MODELS, SETTINGS, step, VIEWS[0], "assembly-02", True),
    }
    assert {name: key.changed_from(base) for name, key in others.items()} == {n: (n,) for n in others}


def test_right_and_wrong_of_a_pair_have_a_key_each() -> None:
    scene = PairScene("x", "fit", 1, {"nut": Place()}, {"nut": Place.at(0, 0, 1)})
    right, wrong = pair_keys(MODELS, SETTINGS, scene)
    assert wrong.changed_from(right) == ("which",)
    changes = {
        "name": "y",
        "step": "lay",
        "number": 2,
        "right": {"nut": Place.at(1, 0, 0)},
        "wrong": {},
        "around": {"stud": Place()},
        "second": True,
        "out": (0.0, 1.0, 0.0),
        "free": ("nut",),
        "opened": True,
        "links": ("stud",),
        "wrong_material": "FKM",
    }
    assert set(changes) == {f.name for f in dataclasses.fields(PairScene)}, "whatever is shown is in the key"
    for name, value in changes.items():
        other = pair_keys(MODELS, SETTINGS, dataclasses.replace(scene, **{name: value}))  # type: ignore[arg-type]
        assert {k.digest for k in other}.isdisjoint({right.digest, wrong.digest}), name


def test_kinds_are_told_apart() -> None:
    plan = plan_of()
    keys = [overview_key(MODELS, SETTINGS, "overview"), views_key(MODELS, SETTINGS, plan)]
    assert [k.kind for k in keys] == ["overview", "views"]
    assert keys[0].digest != keys[1].digest


def test_views_come_back_to_the_last_bit_and_name_the_same_pictures(tmp_path: Path) -> None:
    plan: Plan = plan_of()
    store, key = Store(tmp_path), views_key(MODELS, SETTINGS, plan)
    views = tuple(VIEWS[n % 3] for n in range(len(plan.steps)))
    assert kept_views(store, key) is None
    keep_views(store, key, views, [(n % 2, VIEWS[0]) for n in range(len(views))])
    alike = kept_likeness(store, key)
    assert alike is not None
    assert [a == alike[0] for a in alike] == [n % 2 == 0 for n in range(len(views))]
    back = kept_views(store, key)
    assert back == views
    first = [step_key(MODELS, SETTINGS, *job) for job in picture_jobs(plan, views)]
    assert [step_key(MODELS, SETTINGS, *job) for job in picture_jobs(plan, back)] == first
    assert [job[3] for job in picture_jobs(plan, views)][:2] == [False, True]
