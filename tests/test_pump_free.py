"""A pump is one kind of assembly: what draws, proves and makes pages names no part of one, nor imports what does."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from itertools import chain
from pathlib import Path

import pytest
from benchleaf.geometry.dimensions.parts_list import KINDS, part_kinds
from benchleaf.sequences.steps.conditions import all_options
from program_files import ROOMS, ROOT, import_graph, module_of, modules

FREE = (
    "geometry.assembly",
    "geometry.frame",
    "geometry.meshes",
    "sequences.order",
    "sequences.misfits",
    "sequences.proof",
    "sequences.training",
    "render",
    "site.pages",
    "site.words",
)
"""Rooms and modules that know assemblies of any kind."""
KNOWS_HEADS = ("sequences.proof.head_proof", "sequences.proof.head_work")
"""Modules among them that know heads on purpose: the build calls on them, and none of the others may."""
PUMP = (
    "geometry.dimensions",
    "geometry.parts",
    "geometry.head",
    "geometry.profiles.rotor_profiles",
    "geometry.profiles.profile_turn",
    "geometry.profiles.displacement",
    "sequences.fleet",
    "sequences.calculations.head_calculations",
    "sequences.calculations.nut_calculations",
    "sequences.calculations.plausibility",
    "sequences.values.head_values",
    "sequences.values.instruments",
    "sequences.values.value_names",
    *KNOWS_HEADS,
)
"""Modules that name parts of a pump, with those that :func:`names_in` finds by their texts."""


def parts_of_pumps() -> frozenset[str]:
    """Return every kind of a head's parts, and the key of each part that a head can have."""
    keys = chain.from_iterable(part_kinds(o) for o in all_options("seal", "cover"))
    return frozenset(KINDS) | frozenset(keys)


PARTS = parts_of_pumps()


def lies_in(module: str, places: tuple[str, ...]) -> bool:
    """Return whether a dotted module (``benchleaf.render.svg``) is one of ``places`` or lies in one."""
    name = module.removeprefix("benchleaf.")
    return any(name == p or name.startswith(f"{p}.") for p in places)


def names_in(file: Path) -> Iterator[str]:
    """Yield each text in a module's code that is a kind or key of a pump's part."""
    for node in ast.walk(ast.parse(file.read_text("utf-8"))):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and node.value in PARTS:
            yield node.value


def is_free(module: str) -> bool:
    return lies_in(module, FREE) and not lies_in(module, KNOWS_HEADS)


def named(root: Path = ROOT) -> list[str]:
    """Return each text of a free module that names a part of a pump, with the module."""
    free = {f: m for f in modules(root) if is_free(m := module_of(f, root))}
    return [f"{module} names {text!r}" for file, module in free.items() for text in names_in(file)]


def reached(root: Path = ROOT) -> list[str]:
    """Return for each free module the shortest way of imports to a module that names a part of a pump."""
    graph = import_graph(root)
    pump = {m for f in modules(root) if lies_in(m := module_of(f, root), PUMP) or any(names_in(f))}
    found = []
    for module in filter(is_free, graph):
        ways, todo = {module: module}, [module]
        for here in todo:  # grows while it is gone through
            for other in sorted(graph[here] - ways.keys()):
                ways[other] = f"{ways[here]} -> {other}"
                todo.append(other)
        found += [ways[m] for m in todo if m in pump][:1]
    return found


def test_no_free_module_names_a_part_of_a_pump() -> None:
    assert named() == []


def test_no_free_module_imports_one_that_names_a_part_of_a_pump() -> None:
    """Directly, in a function, for types alone, or through whatever it imports."""
    assert reached() == []


def test_the_lists_name_what_is_there() -> None:
    every = {module_of(f) for f in modules()}
    for place in (*FREE, *PUMP):
        assert any(lies_in(m, (place,)) for m in every), place
    assert sum(map(is_free, every)) > 50
    assert {"rotor", "cover_oring", "rotor_drive", "cover_nut_4", "seal_pin_driven_2"} <= PARTS


def test_what_knows_heads_is_found_by_its_texts_too() -> None:
    """Taken out of the list, those that make a head and read its sequences are still found."""
    by_text = {module_of(f).removeprefix("benchleaf.") for f in modules() if any(names_in(f))}
    assert {
        "geometry.head.head",
        "geometry.dimensions.parts_list",
        "sequences.steps.sequence_file",
    } <= by_text


def write(root: Path, files: dict[str, str]) -> None:
    for room in ROOMS:
        (root / room).mkdir(exist_ok=True)
    for name, text in files.items():
        (root / name).parent.mkdir(parents=True, exist_ok=True)
        (root / name).write_text(text)


HEAD = {"geometry/head/head.py": "ROTOR = 1\n"}
OFFENCES = {
    "directly": {"render/engine/stage.py": "from ...geometry.head.head import ROTOR\n"},
    "in a function": {"site/pages/cards.py": "def f():\n    from ...geometry.head import head\n"},
    "for types alone": {
        "sequences/order/order.py": "from typing import TYPE_CHECKING\n"
        "if TYPE_CHECKING:\n    from ...geometry.head.head import ROTOR\n"
    },
    "through another room": {
        "site/pages/booklet.py": "from ...sequences.values.some import x\n",
        "sequences/values/some.py": "from ..work.other import x\n",
        "sequences/work/other.py": "import benchleaf.geometry.head.head\n",
    },
    "through a module that names a part": {
        "render/pictures/studio.py": "from ..drawing import marks\n",
        "render/drawing/marks.py": "from ...sequences.work.rings import KIND\n",
        "sequences/work/rings.py": "KIND = 'cover_oring'\n",
    },
    "through the module that may know heads": {
        "sequences/proof/head_proof.py": "from ...geometry.head.head import ROTOR\n",
        "sequences/proof/prove.py": "from .head_proof import ROTOR\n",
    },
}


@pytest.mark.parametrize("files", OFFENCES.values(), ids=OFFENCES)
def test_a_way_to_the_pump_is_found(tmp_path: Path, files: dict[str, str]) -> None:
    write(tmp_path, {**HEAD, **files})
    assert reached(tmp_path) != []


def test_the_way_is_told(tmp_path: Path) -> None:
    write(tmp_path, {**HEAD, **OFFENCES["through another room"]})
    way = ("site.pages.booklet", "sequences.values.some", "sequences.work.other", "geometry.head.head")
    assert reached(tmp_path) == [" -> ".join(f"benchleaf.{m}" for m in way)]


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("render/pictures/svg.py", "def f(part):\n    return part.kind == 'disc_spring'\n"),
        ("sequences/misfits/misfits.py", "SHAFTS = ('shaft_drive',)\n"),
        ("site/pages/cards.py", "KINDS = {'cover': 1}\n"),
        ("geometry/meshes/overlaps.py", "def f(kind):\n    match kind:\n        case 'rotor': return 1\n"),
    ],
)
def test_a_named_part_is_found(tmp_path: Path, name: str, text: str) -> None:
    write(tmp_path, {name: text})
    assert len(named(tmp_path)) == 1


def test_who_may_know_heads_is_left_alone(tmp_path: Path) -> None:
    write(
        tmp_path,
        {
            **HEAD,
            "sequences/proof/head_proof.py": "from ...geometry.head.head import ROTOR\nKIND = 'rotor'\n",
            "site/booklets/head_nodes.py": "from ...geometry.head.head import ROTOR\nKIND = 'rotor'\n",
            "render/engine/stage.py": "from ...geometry.assembly import Part\n",
            "geometry/assembly.py": '"""The rotor of a head."""\nKIND = "housing"\n',
        },
    )
    assert reached(tmp_path) == []
    assert named(tmp_path) == []
