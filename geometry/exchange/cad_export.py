"""The head for other programs: one STEP assembly with names and colours, one glTF binary in metres."""

from __future__ import annotations

import os
import re
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from ..assembly import Assembly

if TYPE_CHECKING:
    import cadquery as cq

COLOURS: dict[str, tuple[float, float, float]] = {
    "painted-iron": (0.36, 0.47, 0.55),
    "carbon": (0.20, 0.20, 0.22),
    "silicon-carbide": (0.32, 0.34, 0.36),
    "ceramic": (0.93, 0.92, 0.88),
    "nickel-alloy": (0.76, 0.72, 0.64),
    "spring-steel": (0.55, 0.57, 0.62),
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


def _document(assembly: Assembly) -> cq.Assembly:
    import cadquery as cq

    whole = cq.Assembly(name=assembly.name)
    for part in assembly:
        colour = cq.Color(*COLOURS.get(part.material, STEEL))
        whole.add(part.solid, name=part.key, loc=part.place.location(), color=colour)
    return whole


def write_step(assembly: Assembly, path: Path) -> None:
    """Write one STEP file (AP214, mm) with every part named by its key, coloured by its material and in its place.

    The header's time stamp is SOURCE_DATE_EPOCH where that is set, so that the same head gives the same bytes.

    Raises:
        ExportError: if the kernel cannot write it.
    """
    _document(assembly).export(str(path), "STEP")
    text = path.read_text(encoding="utf-8", errors="strict")
    if "ISO-10303-21" not in text[:200]:
        raise ExportError(f"{path.name}: the CAD kernel wrote no STEP file")
    epoch = os.environ.get("SOURCE_DATE_EPOCH")
    moment = datetime.fromtimestamp(int(epoch), UTC) if epoch else datetime.now(UTC)
    stamp = moment.strftime("%Y-%m-%dT%H:%M:%S")
    path.write_text(
        re.sub(r"'\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d'", f"'{stamp}'", text, count=1), encoding="utf-8"
    )


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

    _, document = toCAF(_document(assembly), True, True, tolerance_mm, radians(angle_deg))
    writer = RWGltf_CafWriter(TCollection_AsciiString(str(path)), True)
    converter = writer.ChangeCoordinateSystemConverter()
    # Without the unit the kernel writes millimetres as metres.
    converter.SetInputLengthUnit(0.001)
    converter.SetInputCoordinateSystem(RWMesh_CoordinateSystem.RWMesh_CoordinateSystem_Zup)
    writer.SetMergeFaces(True)
    done = writer.Perform(document, TColStd_IndexedDataMapOfStringString(), Message_ProgressRange())
    if not done or not path.exists():
        raise ExportError(f"{path.name}: the CAD kernel wrote no glTF file")
