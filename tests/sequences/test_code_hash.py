"""The hash of code sees every module that a result rests on, however deep it lies, and no other."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from benchleaf.render.pictures.picture_keys import DRAWING
from benchleaf.sequences.proof.evidence_keys import PROVING
from benchleaf.sequences.work.code_hash import code_files, code_hash
from program_files import ROOT, import_graph

FILES = {
    "geometry/meshes/sweeps.py": "from ..frame import Place\n",
    "geometry/frame.py": "",
    "geometry/meshes/aside.py": "",
    "geometry/meshes/table.csv": "a,b\n",
    "sequences/proof/proving.py": "def f():\n    from ...geometry.meshes import sweeps\n",
}


@pytest.fixture
def rooms(tmp_path: Path) -> Path:
    for name, text in FILES.items():
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_text(text)
    return tmp_path


def fresh_hash(rooms: Path) -> str:
    """Return the hash as a new process takes it: nothing changes while a process runs."""
    code_hash.cache_clear()
    from benchleaf.sequences.work.code_hash import imports_of

    imports_of.cache_clear()
    return code_hash("sequences.proof.proving", rooms=rooms)


@pytest.mark.parametrize("name", sorted(set(FILES) - {"geometry/meshes/aside.py"}))
def test_a_change_of_what_it_rests_on_is_seen(rooms: Path, name: str) -> None:
    before = fresh_hash(rooms)
    (rooms / name).write_text(FILES[name] + "\n# changed\n")
    assert fresh_hash(rooms) != before


def test_a_change_of_another_module_is_not(rooms: Path) -> None:
    before = fresh_hash(rooms)
    (rooms / "geometry/meshes/aside.py").write_text("x = 1\n")
    assert fresh_hash(rooms) == before


def test_a_missing_module_is_told(rooms: Path) -> None:
    with pytest.raises(FileNotFoundError):
        code_files("sequences.proof.nothing", rooms=rooms)


@pytest.mark.parametrize("modules", [(PROVING,), DRAWING])
def test_it_reaches_what_a_walk_over_the_imports_reaches(modules: tuple[str, ...]) -> None:
    graph = import_graph()
    waiting, reached = [f"benchleaf.{m}" for m in modules], set()
    while waiting:
        name = waiting.pop()
        if name not in reached:
            reached.add(name)
            waiting += graph[name]
    files = {ROOT.joinpath(*name.split(".")[1:]).with_suffix(".py") for name in reached}
    assert {f for f in code_files(*modules) if f.suffix == ".py"} == files
    assert len(files) > 15


def test_it_reaches_what_is_loaded_when_the_module_is(tmp_path: Path) -> None:
    """The independent witness: the interpreter itself."""
    code = f"import sys, benchleaf.{PROVING}; print(*[m for m in sys.modules if m.startswith('benchleaf.')])"
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=tmp_path
    )
    names = {ROOT.joinpath(*n.split(".")[1:]).with_suffix(".py") for n in done.stdout.split()}
    assert {f for f in names if f.is_file()} <= set(code_files(PROVING))
