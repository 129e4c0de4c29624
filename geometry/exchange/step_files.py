"""STEP files of strangers, read and judged in a child process; what comes back is one closed solid."""

from __future__ import annotations

import io
from pathlib import Path
from typing import TYPE_CHECKING, Any

from .bounded import Refused

if TYPE_CHECKING:
    import cadquery as cq

MOST_BYTES = 20_000_000
"""A single machined part takes some hundred kilobytes; ten times a large casting is enough."""
MOST_FACES = 5_000


def read_step_here(file: Path) -> bytes:
    """Return the one closed solid of a STEP file, in mm, in the CAD kernel's binary form.

    The reader converts the unit that the file states. For a child process: a damaged file can end the process.

    Raises:
        Refused: if the file is huge, no STEP file, broken, not closed, or holds several solids.
    """
    _check_file(file)
    solids = _solids_of(file)
    if len(solids) != 1:
        what = f"{len(solids)} solids" if solids else "no solid, only surfaces or curves"
        raise Refused(what, "one closed solid", "join or knit the part into one solid, and export it alone")
    solid = solids[0]
    faces = _count_faces(solid)
    if faces > MOST_FACES:
        raise Refused(f"{faces} faces", f"up to {MOST_FACES}", "leave out threads, knurls and lettering")
    if not _is_sound(solid):
        raise Refused("a solid that is not closed", "a closed, valid solid", "heal it and export it again")
    return _as_bytes(solid)


def solid_of_bytes(made: bytes) -> cq.Solid:
    """Return the solid that :func:`read_step_here` made."""
    import cadquery as cq

    solid = cq.Shape.importBin(io.BytesIO(made))
    assert isinstance(solid, cq.Solid)
    return solid


def _check_file(file: Path) -> None:
    size = file.stat().st_size
    if size > MOST_BYTES:
        raise Refused(
            f"{size / 1e6:.0f} MB",
            f"up to {MOST_BYTES / 1e6:.0f} MB",
            "export this part alone, without threads and lettering",
        )
    with file.open("rb") as stream:
        head = stream.read(400)
    if b"ISO-10303-21" not in head:
        raise Refused(
            "no STEP header", "a STEP file (ISO 10303-21)", "export the part as STEP AP214 or AP242"
        )


def _solids_of(file: Path) -> list[Any]:
    """Return the kernel's solids of a STEP file; without CadQuery, which takes as long to import again."""
    from OCP.IFSelect import IFSelect_RetDone
    from OCP.Interface import Interface_Static
    from OCP.STEPControl import STEPControl_Reader
    from OCP.TopAbs import TopAbs_SOLID
    from OCP.TopExp import TopExp_Explorer

    try:
        Interface_Static.SetCVal_s("xstep.cascade.unit", "MM")
        reader = STEPControl_Reader()
        if reader.ReadFile(str(file)) != IFSelect_RetDone:
            raise ValueError("not read")
        reader.TransferRoots()
        solids = []
        for n in range(reader.NbShapes()):
            explorer = TopExp_Explorer(reader.Shape(n + 1), TopAbs_SOLID)
            while explorer.More():
                solids.append(explorer.Current())
                explorer.Next()
    except MemoryError:
        raise
    except Exception as fault:  # the kernel's reader raises bare types that carry no reason
        what = f"a file the CAD kernel cannot read ({type(fault).__name__})"
        raise Refused(what, "a whole STEP file", "export it again") from fault
    return solids


def _count_faces(solid: Any) -> int:
    from OCP.TopAbs import TopAbs_FACE
    from OCP.TopExp import TopExp
    from OCP.TopTools import TopTools_IndexedMapOfShape

    faces = TopTools_IndexedMapOfShape()
    TopExp.MapShapes_s(solid, TopAbs_FACE, faces)
    return int(faces.Extent())


def _is_sound(solid: Any) -> bool:
    """Return whether a solid is valid, closed and has a volume."""
    from OCP.BRep import BRep_Tool
    from OCP.BRepCheck import BRepCheck_Analyzer
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps
    from OCP.TopAbs import TopAbs_SHELL
    from OCP.TopExp import TopExp_Explorer

    if not BRepCheck_Analyzer(solid).IsValid():
        return False
    properties = GProp_GProps()
    BRepGProp.VolumeProperties_s(solid, properties)
    if not properties.Mass() > 0:
        return False
    shells = TopExp_Explorer(solid, TopAbs_SHELL)
    while shells.More():
        if not BRep_Tool.IsClosed_s(shells.Current()):
            return False
        shells.Next()
    return True


def _as_bytes(solid: Any) -> bytes:
    from OCP.BinTools import BinTools

    out = io.BytesIO()
    BinTools.Write_s(solid, out)
    return out.getvalue()
