"""A user's own solid in place of a part of the head: a STEP file, or a mesh file where there is no better."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from importlib import import_module
from pathlib import Path
from typing import TypeVar

import numpy as np

from ..assembly import Assembly, Part
from ..frame import Place
from ..solid import MeshSolid, Solid, box_mm, moved
from .bounded import Refused, Task, read_bounded
from .mesh_files import MESH_ENDINGS, UNITS_MM, Unit, mesh_of_bytes, read_mesh_here
from .step_files import read_step_here, solid_of_bytes

STEP_ENDINGS = (".step", ".stp")
PART_ENDINGS = (*STEP_ENDINGS, *MESH_ENDINGS)
A = TypeVar("A", bound=Assembly)
UNIT_NAMES = {"mm": "millimetres", "in": "inches", "cm": "centimetres", "m": "metres"}


class OwnPartError(ValueError):
    """A user's file that cannot stand in for a part: what was found, what is allowed, the likely fix."""

    def __init__(self, file: Path, found: str, allowed: str, fix: str) -> None:
        self.file, self.found, self.allowed, self.fix = file, found, allowed, fix
        super().__init__(f"{file.name}: found {found}, allowed {allowed}; {fix}")

    def __reduce__(self) -> tuple[type[OwnPartError], tuple[Path, str, str, str]]:
        """Let it come back whole from another process."""
        return OwnPartError, (self.file, self.found, self.allowed, self.fix)


@dataclass(frozen=True)
class OwnPart:
    """A STEP or mesh file and how its frame lies in the part's own frame (see :class:`..assembly.Part`)."""

    file: Path
    transform: Place = Place()  # noqa: RUF009 - frozen
    unit: Unit | None = None
    """Of a mesh file that states none (see :data:`.mesh_files.WITHOUT_UNIT`)."""


def read_solids(files: Sequence[tuple[Path, Unit | None]]) -> list[Solid | OwnPartError]:
    """Return the one closed solid of each file, in mm, or why there is none; a child process reads them.

    Args:
        files: STEP and mesh files, told apart by their endings, with the unit of those that state none.

    Raises:
        ReaderFailed: if the child cannot begin.
    """
    faults: dict[int, OwnPartError] = {}
    tasks: dict[int, Task] = {}
    for n, (file, unit) in enumerate(files):
        is_step = file.suffix.casefold() in STEP_ENDINGS
        if not file.is_file():
            faults[n] = OwnPartError(file, "no such file", "a file in the fleet's folder", "check the name")
        else:
            tasks[n] = Task(read_step_here, file) if is_step else Task(read_mesh_here, file, (unit,))
    has_step = any(task.reader is read_step_here for task in tasks.values())
    # What the results need takes as long to import as the child takes to read.
    meanwhile = partial(import_module, "cadquery") if has_step else lambda: None
    made = dict(zip(tasks, read_bounded(list(tasks.values()), meanwhile), strict=True))
    results: list[Solid | OwnPartError] = []
    for n, (file, _) in enumerate(files):
        got = faults.get(n) or made[n]
        if isinstance(got, Refused):
            got = OwnPartError(file, got.found, got.allowed, got.fix)
        if isinstance(got, bytes):
            results.append(solid_of_bytes(got) if tasks[n].reader is read_step_here else mesh_of_bytes(got))
        else:
            results.append(got)
    return results


def read_solid(file: Path, unit: Unit | None = None) -> Solid:
    """Return the one closed solid of a STEP or mesh file, in mm.

    Raises:
        OwnPartError: if the file is missing, huge, broken, not closed, or holds several solids.
        ReaderFailed: as :func:`read_solids`.
    """
    (got,) = read_solids([(file, unit)])
    if isinstance(got, OwnPartError):
        raise got
    return got


def check_unit(file: Path, solid: Solid, like: Part, unit: Unit | None = None) -> None:
    """Check that ``solid`` is about as big as the part it replaces.

    Args:
        file: where it comes from.
        solid: in mm, as read.
        like: the part.
        unit: what the figures of the file were taken for, where it states no unit itself.

    Raises:
        OwnPartError: where its size is off by the ratio of two units, or more than three times.
    """
    own, usual = _across_mm(solid), _across_mm(like.solid)
    found = f"a solid {own:.4g} mm across where the {like.name.lower()} is {usual:.4g} mm"
    for factor, fix in _other_units(unit):
        if abs(usual / own / factor - 1) < 0.25 * min(1.0, abs(factor - 1)):
            raise OwnPartError(file, found, "the part's true size", fix)
    if not 1 / 3 < own / usual < 3:
        raise OwnPartError(
            file,
            found,
            f"{usual / 3:.4g} to {3 * usual:.4g} mm across",
            "check that the file is this part and states its unit",
        )


def _other_units(unit: Unit | None) -> Iterator[tuple[float, str]]:
    """Yield how much too small a part is whose unit was mistaken, and the likely fix."""
    if unit is not None:
        for other, name in UNIT_NAMES.items():
            if other != unit:
                yield UNITS_MM[other] / UNITS_MM[unit], f"it looks drawn in {name}: write unit: {other}"
        return
    for other, name in UNIT_NAMES.items():
        if other != "mm":
            ratio = UNITS_MM[other]
            yield ratio, f"it looks drawn in {name} but marked as mm: export it with the right unit"
            yield 1 / ratio, f"it looks drawn in mm but marked as {name}: export it with the right unit"


def _across_mm(solid: Solid) -> float:
    low, high = box_mm(solid)
    return float(np.linalg.norm(high - low))


def with_own_parts(assembly: A, own: Mapping[str, OwnPart]) -> A:
    """Return the assembly with some parts' solids replaced; each keeps its place, name, material and squeeze.

    Parts that name one file in one frame share its solid.

    Raises:
        KeyError: for a part that the assembly does not have.
        OwnPartError: for a file that cannot stand in.
    """
    parts = dict(assembly.parts)
    files = list(dict.fromkeys((given.file, given.unit) for given in own.values()))
    read = dict(zip(files, read_solids(files), strict=True))
    placed: dict[OwnPart, Solid] = {}
    for key, given in own.items():
        part, solid = parts[key], read[given.file, given.unit]
        if isinstance(solid, OwnPartError):
            raise solid
        check_unit(given.file, solid, part, given.unit)
        if given not in placed:
            placed[given] = moved(solid, given.transform)
        parts[key] = replace(part, solid=placed[given])
    return replace(assembly, parts=parts)


def remarks_on(assembly: Assembly) -> tuple[str, ...]:
    """Return what the owner of mesh parts has to know of them: what was mended, how fine they are."""
    said = dict.fromkeys(
        f"{part.name}: {remark}"
        for part in assembly
        if isinstance(part.solid, MeshSolid)
        for remark in part.solid.remarks
    )
    return tuple(said)
