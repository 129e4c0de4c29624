"""A user's own STEP solid in place of a part of the head."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from ..assembly import Assembly, Part
from ..frame import Place

if TYPE_CHECKING:
    import cadquery as cq

MOST_BYTES = 20_000_000
"""A single machined part takes some hundred kilobytes; ten times a large casting is enough."""
MOST_FACES = 5_000
A = TypeVar("A", bound=Assembly)
UNIT_RATIOS = {25.4: "inches", 10.0: "centimetres", 1000.0: "metres"}


class OwnPartError(ValueError):
    """A user's STEP file that cannot stand in for a part: what was found, what is allowed, the likely fix."""

    def __init__(self, file: Path, found: str, allowed: str, fix: str) -> None:
        self.file, self.found, self.allowed, self.fix = file, found, allowed, fix
        super().__init__(f"{file.name}: found {found}, allowed {allowed}; {fix}")

    def __reduce__(self) -> tuple[type[OwnPartError], tuple[Path, str, str, str]]:
        """Let it come back whole from another process."""
        return OwnPartError, (self.file, self.found, self.allowed, self.fix)


@dataclass(frozen=True)
class OwnPart:
    """A STEP file and how its frame lies in the part's own frame (see :class:`..assembly.Part`)."""

    file: Path
    transform: Place = Place()  # noqa: RUF009 - frozen


def read_step(file: Path) -> cq.Solid:
    """Return the one closed solid of a STEP file, in mm (the reader converts the unit that the file states).

    Raises:
        OwnPartError: if the file is missing, huge, no STEP file, broken, not closed, or holds several solids.
    """
    import cadquery as cq

    if not file.is_file():
        raise OwnPartError(file, "no such file", "a STEP file in the fleet's folder", "check the name")
    size = file.stat().st_size
    if size > MOST_BYTES:
        raise OwnPartError(
            file,
            f"{size / 1e6:.0f} MB",
            f"up to {MOST_BYTES / 1e6:.0f} MB",
            "export this part alone, without threads and lettering",
        )
    with file.open("rb") as stream:
        head = stream.read(400)
    if b"ISO-10303-21" not in head:
        raise OwnPartError(
            file, "no STEP header", "a STEP file (ISO 10303-21)", "export the part as STEP AP214 or AP242"
        )
    try:
        shape = cq.importers.importStep(str(file))
    except Exception as fault:  # the kernel's reader raises bare types that carry no reason
        raise OwnPartError(
            file,
            f"a file the CAD kernel cannot read ({type(fault).__name__})",
            "a whole STEP file",
            "export it again",
        ) from fault
    solids = [s for v in shape.vals() if isinstance(v, cq.Shape) for s in v.Solids()]
    if len(solids) != 1:
        what = f"{len(solids)} solids" if solids else "no solid, only surfaces or curves"
        raise OwnPartError(
            file, what, "one closed solid", "join or knit the part into one solid, and export it alone"
        )
    solid = solids[0]
    faces = len(solid.Faces())
    if faces > MOST_FACES:
        raise OwnPartError(
            file, f"{faces} faces", f"up to {MOST_FACES}", "leave out threads, knurls and lettering"
        )
    if not solid.isValid() or solid.Volume() <= 0 or not _closed(solid):
        raise OwnPartError(
            file, "a solid that is not closed", "a closed, valid solid", "heal it and export it again"
        )
    return solid


def _closed(solid: cq.Solid) -> bool:
    from OCP.BRep import BRep_Tool

    return all(BRep_Tool.IsClosed_s(shell.wrapped) for shell in solid.Shells())


def check_unit(file: Path, solid: cq.Solid, like: Part) -> None:
    """Check that ``solid`` is about as big as the part it replaces.

    Raises:
        OwnPartError: where its size is off by the ratio of two units, or more than three times.
    """
    own, usual = solid.BoundingBox().DiagonalLength, like.solid.BoundingBox().DiagonalLength
    for ratio, unit in UNIT_RATIOS.items():
        for factor, words in (
            (ratio, f"drawn in {unit} but marked as mm"),
            (1 / ratio, f"drawn in mm but marked as {unit}"),
        ):
            if abs(usual / own / factor - 1) < 0.25 * min(1.0, abs(factor - 1)):
                raise OwnPartError(
                    file,
                    f"a solid {own:.4g} mm across where the {like.name.lower()} is {usual:.4g} mm",
                    "the part's true size",
                    f"it looks {words}: export it with the right unit",
                )
    if not 1 / 3 < own / usual < 3:
        raise OwnPartError(
            file,
            f"a solid {own:.4g} mm across where the {like.name.lower()} is {usual:.4g} mm",
            f"{usual / 3:.4g} to {3 * usual:.4g} mm across",
            "check that the file is this part and states its unit",
        )


def with_own_parts(assembly: A, own: Mapping[str, OwnPart]) -> A:
    """Return the assembly with some parts' solids replaced; each keeps its place, name, material and squeeze.

    Raises:
        KeyError: for a part that the assembly does not have.
        OwnPartError: for a file that cannot stand in.
    """
    parts = dict(assembly.parts)
    for key, given in own.items():
        part = parts[key]
        solid = read_step(given.file)
        check_unit(given.file, solid, part)
        parts[key] = replace(part, solid=solid.moved(given.transform.location()))
    return replace(assembly, parts=parts)
