"""Markers set by rule: what may draw is ``gl``, what opens pages is ``browser``, through helper modules too."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from module_marks import WINDOWS, drawing_modules, marks_of, reaching
from program_files import ROOT

TESTS = ROOT / "tests"


def test_what_imports_a_window_may_draw() -> None:
    graph = {"a": {"b"}, "b": {"window"}, "c": {"d"}, "d": set[str](), "window": {"d"}}
    assert reaching(graph, {"window"}) == {"a", "b", "window"}
    drawing = drawing_modules()
    assert drawing > WINDOWS
    assert {
        f"benchleaf.render.{n}" for n in ("engine.stage", "pictures.studio", "pictures.overview")
    } < drawing
    assert not {f"benchleaf.render.{n}" for n in ("engine.camera", "drawing.manifest")} & drawing


@pytest.mark.parametrize(
    ("text", "marks"),
    [
        ("import benchleaf.render.engine.stage", {"gl"}),
        ("from benchleaf.render.engine import stage", {"gl"}),
        ("def test() -> None:\n    from benchleaf.render.pictures.studio import Studio", {"gl"}),
        ("from benchleaf.render.engine.camera import Camera", set()),
        ("from benchleaf.geometry.head.head import make_head", set()),
        ("from browsing import browser", {"browser"}),
        ("import draws", {"gl"}),
        ("from opens import page", {"browser"}),
        ("from opens import page\nimport draws", {"browser", "gl"}),
        ("import plain", set()),
    ],
)
def test_marks_follow_imports(tmp_path: Path, text: str, marks: set[str]) -> None:
    samples = tmp_path / "samples"
    samples.mkdir()
    (samples / "draws.py").write_text("from benchleaf.render.pictures.studio import Studio\n")
    (samples / "opens.py").write_text("import browsing\nimport opens\n")
    (samples / "plain.py").write_text("import math\n")
    module = tmp_path / "test_seeded.py"
    module.write_text(text + "\n")
    assert marks_of(module, samples) == marks


def test_marks_are_set() -> None:
    """The rule is at work, and the markers are known by name."""
    files = [f"tests/render/{n}.py" for n in ("test_callouts", "test_compose")]
    command = [sys.executable, "-m", "pytest", "--collect-only", "-q", "-p", "no:xdist", "-m", "gl", *files]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    found = {line.split("::")[0] for line in done.stdout.splitlines() if "::" in line}
    assert found == {"tests/render/test_compose.py"}


def test_rooms_have_the_marks_that_they_should() -> None:
    marks = {f.relative_to(TESTS).as_posix(): marks_of(f) for f in TESTS.rglob("test_*.py")}
    assert all(not found for file, found in marks.items() if file.startswith("geometry/"))
    assert marks["render/test_golden_pictures.py"] == {"gl"}
    assert marks["render/test_camera.py"] == set()
    assert marks["end_to_end/test_pages_in_browser.py"] == {"browser"}
    assert marks["end_to_end/test_library.py"] == {"browser", "gl"}
