"""The head for other programs: one STEP assembly with names and colours, one glTF binary in metres."""

from __future__ import annotations

import os
import re
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from ..assembly import Assembly
from ..solid import MeshSolid
from .mesh_shapes import MOST_FACETS, faceted_solid, triangulated_face

if TYPE_CHECKING:
    import cadquery as cq

COLOURS: dict[str, tuple[float, float, float]] = {
    "painted-iron": (0.36, 0.47, 0.55),
    "carbon": (0.20, 0.20, 0.22),
    "silicon-carbide": (0.32, 0.34, 0.36),
    "ceramic": (0.93, 0.92, 0.88),
    "nickel-alloy": (0.76, 0.72, 0.64),
    "spring-steel": (0.55, 0.57, 0.62),
    "spring-stainless": (0.63, 0.65, 0.69),
    "ptfe-encapsulated": (0.95, 0.95, 0.93),
    "FKM": (0.16, 0.16, 0.17),
    "EPDM": (0.13, 0.13, 0.14),
    "NBR": (0.15, 0.15, 0.15),
    "VMQ": (0.66, 0.33, 0.26),
    "FFKM": (0.10, 0.10, 0.12),
}
"""Material to colour, linear RGB from 0 to 1; metals not named are a light steel."""
STEEL = (0.78, 0.79, 0.80)


class ExportError(RuntimeError):
    """A file that the CAD kernel could not write."""


def _document(assembly: Assembly, of_mesh: Callable[[MeshSolid], cq.Shape | None]) -> cq.Assembly:
    """Return the parts as the CAD kernel's document; a mesh as what ``of_mesh`` makes of it, None to leave it out."""
    import cadquery as cq

    whole = cq.Assembly(name=assembly.name)
    known: dict[int, cq.Shape | None] = {}
    for part in assembly:
        solid = part.solid
        if isinstance(solid, MeshSolid):
            if id(solid) not in known:
                known[id(solid)] = of_mesh(solid)
            shape = known[id(solid)]
        else:
            shape = solid
        if shape is not None:
            colour = cq.Color(*COLOURS.get(part.material, STEEL))
            whole.add(shape, name=part.key, loc=part.place.location(), color=colour)
    return whole


def _few_facets(solid: MeshSolid) -> bool:
    return len(solid.triangles) <= MOST_FACETS


def write_step(assembly: Assembly, path: Path) -> tuple[str, ...]:
    """Write one STEP file (AP214, mm) with every part named by its key, coloured by its material and in its place.

    The header's time stamp is SOURCE_DATE_EPOCH where that is set, so that the same head gives the same bytes. A part
    that is a mesh is written as a solid with a face for every triangle, or left out where that are too many. Return the
    keys of those left out.

    Raises:
        ExportError: if the kernel cannot write it.
    """
    left_out = tuple(p.key for p in assembly if isinstance(p.solid, MeshSolid) and not _few_facets(p.solid))
    if len(left_out) == len(assembly.parts):
        raise ExportError(f"{path.name}: all parts are meshes, which STEP does not hold")
    _document(assembly, lambda s: faceted_solid(s) if _few_facets(s) else None).export(str(path), "STEP")
    text = path.read_text(encoding="utf-8", errors="strict")
    if "ISO-10303-21" not in text[:200]:
        raise ExportError(f"{path.name}: the CAD kernel wrote no STEP file")
    epoch = os.environ.get("SOURCE_DATE_EPOCH")
    moment = datetime.fromtimestamp(int(epoch), UTC) if epoch else datetime.now(UTC)
    stamp = moment.strftime("%Y-%m-%dT%H:%M:%S")
    path.write_text(
        re.sub(r"'\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d'", f"'{stamp}'", text, count=1), encoding="utf-8"
    )
    return left_out


def write_glb(assembly: Assembly, path: Path, tolerance_mm: float = 0.05, angle_deg: float = 12.0) -> None:
    """Write one glTF binary: metres, Y up, one node and one primitive a part, each named by the part's key.

    Raises:
        ExportError: if the kernel cannot write it.
    """
    from math import radians

    from cadquery.occ_impl.assembly import toCAF
    from OCP.Message import Message_ProgressRange
    from OCP.RWGltf import RWGltf_CafWriter
    from OCP.RWMesh import RWMesh_CoordinateSystem
    from OCP.TCollection import TCollection_AsciiString
    from OCP.TColStd import TColStd_IndexedDataMapOfStringString

    _, document = toCAF(
        _document(assembly, lambda s: triangulated_face(s, tolerance_mm)),
        True,
        True,
        tolerance_mm,
        radians(angle_deg),
    )
    writer = RWGltf_CafWriter(TCollection_AsciiString(str(path)), True)
    converter = writer.ChangeCoordinateSystemConverter()
    # Without the unit the kernel writes millimetres as metres.
    converter.SetInputLengthUnit(0.001)
    converter.SetInputCoordinateSystem(RWMesh_CoordinateSystem.RWMesh_CoordinateSystem_Zup)
    writer.SetMergeFaces(True)
    done = writer.Perform(document, TColStd_IndexedDataMapOfStringString(), Message_ProgressRange())
    if not done or not path.exists():
        raise ExportError(f"{path.name}: the CAD kernel wrote no glTF file")
