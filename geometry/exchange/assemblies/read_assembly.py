"""Read a stranger's assembly: one STEP file, several, or meshes; equal solids are found and counted.

read_assembly(files, unit) -> StrangerAssembly
"""

from __future__ import annotations

import io
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from ...frame import Floats, Place
from ...solid import MeshSolid, Solid, moved
from ..bounded import Refused, Task, read_bounded
from ..mesh_files import MESH_ENDINGS, WITHOUT_UNIT, Unit, mesh_of_bytes, read_mesh_here
from ..own_parts import STEP_ENDINGS
from .solid_frames import SolidFacts, carried_onto
from .step_tree import FoundTree, read_tree_here, tree_of_bytes

if TYPE_CHECKING:
    import cadquery as cq

ENDINGS = (*STEP_ENDINGS, *MESH_ENDINGS)
SECONDS = 300.0
"""For one file: what takes longer has too many parts to be proven anyhow."""


class AssemblyFileError(ValueError):
    """Files of an assembly that cannot be read: what was found, what is allowed, the likely fix, a line a file."""


@dataclass(frozen=True, eq=False)
class StrangerSolid:
    """A solid as it is once, in a frame of its own, and what is known of its shape."""

    solid: Solid
    facts: SolidFacts | None
    """None of a mesh."""


@dataclass(frozen=True)
class StrangerPart:
    """A part in its place: which solid, what its file calls it from the top down, where it stands."""

    solid: int
    names: tuple[str, ...]
    place: Place
    colour: str = ""
    material: str = ""

    @property
    def name(self) -> str:
        """What people call it: the last name that says something, but not that of the whole; empty where none does."""
        return next((n for n in reversed(self.names[1:] or self.names) if n), "")


@dataclass(frozen=True)
class StrangerAssembly:
    """All parts of a stranger's files."""

    name: str
    solids: tuple[StrangerSolid, ...]
    parts: tuple[StrangerPart, ...]
    remarks: tuple[str, ...] = field(default=())


def read_assembly(
    files: Sequence[Path], unit: Unit | None = None, seconds: float = SECONDS
) -> StrangerAssembly:
    """Return the assembly of one or several files; a child process reads them, within limits of time and memory.

    Args:
        files: STEP or mesh files, told apart by their endings; a STEP file may hold any number of parts, a mesh one.
        unit: of mesh files that state none.
        seconds: limit for one file.

    Raises:
        AssemblyFileError: with a line for each file that cannot be read.
        ReaderFailed: if the child cannot begin.
    """
    wrong = [line for file in files if (line := _unfit(file, unit))]
    if wrong:
        raise AssemblyFileError("\n".join(wrong))
    tasks = [
        Task(read_tree_here, f) if _is_step(f) else Task(read_mesh_here, f, (_unit_of(f, unit),))
        for f in files
    ]
    made = read_bounded(tasks, seconds=seconds)
    wrong = [
        f"{f.name}: found {m.found}; allowed: {m.allowed}; likely fix: {m.fix}"
        for f, m in zip(files, made, strict=True)
        if isinstance(m, Refused)
    ]
    if wrong:
        raise AssemblyFileError("\n".join(wrong))
    gathered = _Gathered()
    for file, got in zip(files, made, strict=True):
        assert isinstance(got, bytes)
        if _is_step(file):
            gathered.tree(tree_of_bytes(got), file.stem, alone=len(files) == 1)
        else:
            gathered.mesh(mesh_of_bytes(got), file.stem)
    return StrangerAssembly(
        gathered.name or files[0].stem, tuple(gathered.solids), tuple(gathered.parts), tuple(gathered.remarks)
    )


def _is_step(file: Path) -> bool:
    return file.suffix.casefold() in STEP_ENDINGS


def _unit_of(file: Path, unit: Unit | None) -> Unit | None:
    return unit if file.suffix.casefold() in WITHOUT_UNIT else None


def _unfit(file: Path, unit: Unit | None) -> str:
    """Return why a file is not read at all; empty where it is."""
    if not file.is_file():
        return f"{file}: found no such file; allowed: files that are there; likely fix: check the name"
    if file.suffix.casefold() not in ENDINGS:
        allowed = ", ".join(ENDINGS)
        return f"{file.name}: found '{file.suffix}'; allowed: {allowed}; likely fix: export it as STEP AP214 or AP242"
    if file.suffix.casefold() in WITHOUT_UNIT and unit is None:
        allowed = "a unit for files that state none"
        return f"{file.name}: found no unit; allowed: {allowed}; likely fix: add --unit mm, or the unit of its figures"
    return ""


class _Gathered:
    def __init__(self) -> None:
        self.name = ""
        self.solids: list[StrangerSolid] = []
        self.parts: list[StrangerPart] = []
        self.remarks: list[str] = []
        self._meshes: dict[bytes, int] = {}

    def tree(self, tree: FoundTree, stem: str, alone: bool) -> None:
        """Take in the tree of a STEP file, each solid in its own frame and once."""
        self.remarks += [f"{stem}: {text}" for text in tree.remarks]
        known: dict[int, tuple[int, Place]] = {}
        for found in tree.places:
            if found.shape not in known:
                known[found.shape] = self._solid(tree, found.shape)
            number, own = known[found.shape]
            matrix = np.eye(4)
            matrix[:3, :] = found.matrix
            names = tuple(_clean(n) for n in found.names)
            if not any(names):
                names = (stem,)
            self.parts.append(
                StrangerPart(number, names, Place.from_matrix(matrix) @ own, found.colour, found.material)
            )
        tops = {p.names[0] for p in self.parts if len(p.names) > 1}
        if alone and len(tops) == 1:
            self.name = tops.pop()

    def _solid(self, tree: FoundTree, shape: int) -> tuple[int, Place]:
        """Return the number of the solid that a shape of the tree is, and the place of its frame in the shape's."""
        facts = tree.shapes[shape].facts
        for n, other in enumerate(self.solids):
            if other.facts is not None and (onto := carried_onto(other.facts, facts)) is not None:
                return n, onto @ other.facts.frame
        frame = facts.frame
        own = _of_binary(tree.shapes[shape].binary)
        self.solids.append(StrangerSolid(moved(own, frame.inverse()), facts))
        return len(self.solids) - 1, frame

    def mesh(self, solid: MeshSolid, stem: str) -> None:
        """Take in a mesh file, which is one part in the place that its figures give it."""
        middle = (solid.points.min(axis=0) + solid.points.max(axis=0)) / 2
        own = solid.moved(Place.at(*(-middle).tolist()))
        at = np.round(own.points, 4)
        digest = MeshSolid(at + 0.0, own.triangles).digest
        if digest not in self._meshes:
            self._meshes[digest] = len(self.solids)
            self.solids.append(StrangerSolid(own, None))
        self.parts.append(StrangerPart(self._meshes[digest], (_clean(stem),), _shift(middle)))
        self.remarks += [f"{stem}: {text}" for text in solid.remarks]


def _shift(v: Floats) -> Place:
    return Place.at(float(v[0]), float(v[1]), float(v[2]))


def _of_binary(made: bytes) -> cq.Shape:
    import cadquery as cq

    return cq.Shape.importBin(io.BytesIO(made))


def _clean(name: str) -> str:
    """Return a name without what cannot be printed, in one line and at most 80 characters."""
    kept = "".join(c if not unicodedata.category(c).startswith("C") else " " for c in name)
    return " ".join(kept.split())[:80]
