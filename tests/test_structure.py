"""The house: imports run one way between rooms and between sub-rooms, no circle anywhere, folders one can take in."""

from __future__ import annotations

import ast
import importlib
from collections import Counter
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pytest
from program_files import ROOMS, ROOT, import_graph, imports_in, module_of, modules

SUB_ROOMS = {
    "geometry": ("meshes", "engineering", "dimensions", "profiles", "parts", "tools", "head", "exchange"),
    "sequences": (
        "work",
        "files",
        "values",
        "records",
        "steps",
        "additions",
        "upkeep",
        "fleet",
        "calculations",
        "order",
        "misfits",
        "reach",
        "proof",
        "training",
        "own",
        "texts",
    ),
    "render": ("engine", "drawing", "acts", "composition", "pictures"),
    "site": ("words", "folders", "pages", "build", "booklets", "extras", "preview"),
}
"""Lowest first: a sub-room imports those before it. Modules at a room's root stand below them, but for ``site``."""
MOST_MODULES = 14


def upward(root: Path = ROOT) -> list[str]:
    """Return each import of a higher room, as ``importing module -> imported name``."""
    found = []
    for file in modules(root):
        own = ROOMS.index(file.relative_to(root).parts[0])
        for name in imports_in(file, root):
            parts = name.split(".")
            # An import of the package itself could reach any room.
            if len(parts) < 2 or (parts[1] in ROOMS and ROOMS.index(parts[1]) > own):
                found.append(f"{module_of(file, root)} -> {name}")
    return found


def upstairs(root: Path = ROOT) -> list[str]:
    """Return each import of a higher sub-room of the same room."""
    found = []
    for name, imported in import_graph(root).items():
        for other in imported:
            (_, room, *own), (_, there, *its) = name.split("."), other.split(".")
            if room == there and level(room, its) > level(room, own):
                found.append(f"{name} -> {other}")
    return found


def level(room: str, path: list[str]) -> int:
    """Return how high a module stands in its room."""
    if len(path) == 1:
        return 99 if room == "site" else -1
    return SUB_ROOMS[room].index(path[0])


def circle(root: Path = ROOT) -> list[str]:
    """Return the modules of a circle of imports, empty where there is none."""
    try:
        TopologicalSorter(import_graph(root)).prepare()
    except CycleError as e:
        return list(e.args[1])
    return []


def test_imports_run_one_way_between_rooms() -> None:
    assert upward() == []


def test_imports_run_one_way_between_sub_rooms() -> None:
    assert upstairs() == []


def test_there_is_no_circle_of_imports() -> None:
    assert circle() == []
    assert sum(len(v) for v in import_graph().values()) > 2 * len(modules()), "the graph sees the imports"


def test_every_folder_is_a_known_sub_room_and_tells_what_it_is_for() -> None:
    for room, inner in SUB_ROOMS.items():
        found = {f.relative_to(ROOT / room).parts[0] for f in modules() if f.is_relative_to(ROOT / room)}
        assert {p for p in found if not p.endswith(".py")} == set(inner), room
        for name in ("", *inner):
            package = importlib.import_module(".".join(p for p in ("benchleaf", room, name) if p))
            assert len(package.__doc__ or "") > 60, package.__name__


def test_a_package_file_holds_a_docstring_alone() -> None:
    for init in (f for room in ROOMS for f in (ROOT / room).rglob("__init__.py")):
        text = init.read_text("utf-8").strip()
        assert text.startswith('"""'), init
        assert text.endswith('"""'), init
        assert text.count('"""') == 2, init


def test_folders_hold_few_modules() -> None:
    count = Counter(str(f.parent.relative_to(ROOT)) for f in modules())
    assert {folder: n for folder, n in count.items() if n > MOST_MODULES} == {}


def test_no_class_has_the_name_of_another() -> None:
    where: dict[str, list[str]] = {}
    for file in modules():
        for node in ast.parse(file.read_text("utf-8")).body:
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                where.setdefault(node.name, []).append(module_of(file))
    assert len(where) > 150
    assert {name: at for name, at in where.items() if len(at) > 1} == {}


def write(root: Path, name: str, text: str) -> None:
    for room in ROOMS:
        (root / room).mkdir(exist_ok=True)
    file = root / name
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_text(text)


UPWARD = [
    ("geometry/a/b.py", "from ...sequences.steps import plan\n"),
    ("geometry/a/b.py", "from ... import sequences\n"),
    ("geometry/a/b.py", "import benchleaf.render\n"),
    ("geometry/b.py", "from .. import site\n"),
    ("sequences/a/b.py", "def f():\n    from benchleaf.render.engine import grid\n"),
    ("sequences/a/b.py", "from ...site.words.catalogue import Words\n"),
    ("render/a/b/c.py", "from ....site.pages import pages\n"),
    ("render/b.py", "import benchleaf.site.command as c\n"),
    ("site/a/b.py", "import benchleaf\n"),
]


@pytest.mark.parametrize(("name", "text"), UPWARD)
def test_an_upward_import_is_found(tmp_path: Path, name: str, text: str) -> None:
    write(tmp_path, name, text)
    assert upward(tmp_path) != []


def test_a_downward_import_is_none(tmp_path: Path) -> None:
    write(tmp_path, "site/a/b.py", "from ...geometry.frame import Place\nfrom ... import render\n")
    assert [u for u in upward(tmp_path) if not u.endswith("-> benchleaf")] == []


def test_an_import_of_a_higher_sub_room_is_found(tmp_path: Path) -> None:
    write(tmp_path, "geometry/head/head.py", "")
    write(tmp_path, "geometry/meshes/sweeps.py", "from ..head.head import Head\n")
    write(tmp_path, "geometry/frame.py", "")
    assert upstairs(tmp_path) == ["benchleaf.geometry.meshes.sweeps -> benchleaf.geometry.head.head"]
    write(tmp_path, "geometry/frame.py", "from .meshes import sweeps\n")
    write(tmp_path, "geometry/meshes/sweeps.py", "from ..frame import Place\n")
    assert upstairs(tmp_path) == ["benchleaf.geometry.frame -> benchleaf.geometry.meshes.sweeps"]


def test_a_circle_is_found(tmp_path: Path) -> None:
    write(tmp_path, "render/a/one.py", "from .two import x\n")
    write(tmp_path, "render/a/two.py", "from ..b import three\n")
    write(tmp_path, "render/b/three.py", "def f():\n    from ..a.one import y\n")
    assert set(circle(tmp_path)) == {f"benchleaf.render.{m}" for m in ("a.one", "a.two", "b.three")}
