"""The viewer's files: the script is what its sources make, the model names parts and steps in the page's words."""

from __future__ import annotations

import base64
import dataclasses
import hashlib
import json
import re
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest
from benchleaf.render.engine.camera import sensible_views
from benchleaf.render.pictures.studio import Studio
from benchleaf.render.pictures.viewer.model_making import make_viewer_model
from benchleaf.render.pictures.viewer.step_motion import plan_motion
from benchleaf.render.pictures.viewer.viewer_models import ViewerModel
from benchleaf.site.pages.booklet import make_parts_list
from benchleaf.site.pages.viewer.viewer_files import BUILT, SAID, ViewerNames, step_name, viewer_files
from benchleaf.site.words.catalogue import load_words
from sample_assembly import SMALL, sample_assembly, sample_models, sample_plan

WORDS = load_words()
SOURCES = BUILT.parent.parent / "viewer"
VIEW = sensible_views((0.0, 0.0, 1.0), (0.0, 1.0, 0.0))[0]


@pytest.fixture(scope="module", name="model")
def _model() -> tuple[ViewerModel, bytes]:
    plan = sample_plan()
    with Studio(sample_models(), SMALL) as studio:
        motion = plan_motion(studio, plan, [VIEW] * len(plan.steps), {})
        return make_viewer_model(studio.models, [motion])


def told(files: dict[str, bytes]) -> tuple[dict[str, Any], bytes]:
    text = files["viewer/model.js"].decode()
    found = re.fullmatch(r"window\.benchleafModel=(\[.*\]);\n", text, re.S)
    assert found
    data, meshes = json.loads(found[1])
    return data, base64.b64decode(meshes)


def names(terms: tuple[str, ...] = ()) -> ViewerNames:
    assembly = sample_assembly()
    return ViewerNames(assembly, make_parts_list(assembly, WORDS), (sample_plan(),), terms)


def test_the_script_is_made_of_these_sources() -> None:
    """As the recipe reckons it, so that neither is changed without the other."""
    of_sources = hashlib.sha256()
    scripts = sorted(f"src/{f.name}" for f in (SOURCES / "src").iterdir())
    for name in ("build.mjs", "package.json", *scripts):
        of_sources.update(name.encode() + b"\0" + (SOURCES / name).read_bytes() + b"\0")
    head = (BUILT / "viewer.js").read_text("utf-8").splitlines()[0]
    assert f"Sources: {of_sources.hexdigest()}" in head, "run the recipe: site/pages/viewer/build.mjs"


def test_the_script_is_small_and_calls_nobody() -> None:
    text = (BUILT / "viewer.js").read_text("utf-8")
    assert len(text) < 600_000
    assert "MIT License" in text.splitlines()[0]
    assert "Permission is hereby granted" in (BUILT / "viewer-licence.txt").read_text("utf-8")
    assert not re.search(r"\beval\(|new Function\(|XMLHttpRequest\(", text)


def test_the_recipe_makes_it_to_the_letter(tmp_path: Path) -> None:
    """Where its libraries are installed beside the sources, by hand: nothing is fetched here."""
    node, libraries = shutil.which("node"), SOURCES / "node_modules"
    if node is None or not libraries.is_dir():
        pytest.skip("the recipe's libraries are not installed")
    shutil.copytree(SOURCES, tmp_path / "viewer", ignore=shutil.ignore_patterns("node_modules", "*.py"))
    (tmp_path / "viewer" / "node_modules").symlink_to(libraries.resolve())
    (tmp_path / "assets" / "viewer").mkdir(parents=True)
    subprocess.run([node, "build.mjs"], cwd=tmp_path / "viewer", check=True, capture_output=True)
    for name in ("viewer.js", "viewer-licence.txt"):
        assert (tmp_path / "assets" / "viewer" / name).read_bytes() == (BUILT / name).read_bytes()


def test_parts_are_named_and_linked(model: tuple[ViewerModel, bytes]) -> None:
    data, meshes = told(viewer_files(*model, names(("rotor",)), WORDS))
    assert meshes == model[1]
    by_key = {p["id"]: p for p in data["parts"]}
    assert by_key["rotor_drive"]["name"] == "Rotor (drive side)"
    assert by_key["rotor_drive"]["term"] == "glossary.html#term-rotor"
    assert "term" not in by_key["body"]
    rows = {key: row.item for row in names().rows for key in row.keys}
    assert {key: p["item"] for key, p in by_key.items()} == rows
    assert by_key["stud_2"]["list"] == f"index.html#item-{rows['stud_2']}"


def test_steps_are_told_by_numbers_of_parts(model: tuple[ViewerModel, bytes]) -> None:
    data, _ = told(viewer_files(*model, names(), WORDS))
    keys = [p["id"] for p in data["parts"]]
    assert [s["id"] for s in data["steps"]] == [step_name("assembly", s.number) for s in sample_plan().steps]
    for step, plain in zip(data["steps"], sample_plan().steps, strict=True):
        assert step["title"] == plain.title
        assert {keys[n] for n in step["parts"]} == {*plain.present, *plain.moving, *plain.focus}
        assert tuple(keys[n] for n in step["moving"]) == plain.moving
        assert {keys[t["part"]] for act in step["acts"] for t in act} == set(plain.moving)
    assert set(data["words"]) == set(SAID)
    assert data["words"]["close"] == WORDS("viewer.close")


def test_a_text_can_end_no_script(model: tuple[ViewerModel, bytes]) -> None:
    plan = sample_plan()
    sly = dataclasses.replace(plan.steps[0], title='"];alert(1);["</script>\u2028')
    whole = dataclasses.replace(names(), plans=(dataclasses.replace(plan, steps=(sly, *plan.steps[1:])),))
    data, _ = told(viewer_files(*model, whole, WORDS))
    assert data["steps"][0]["title"] == sly.title
