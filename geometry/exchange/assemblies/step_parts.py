"""One solid as a STEP file, for the parts of a draft."""

from __future__ import annotations

import os
import re
import tempfile
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from ..cad_export import ExportError

if TYPE_CHECKING:
    import cadquery as cq


def step_of_solid(solid: cq.Shape, name: str) -> bytes:
    """Return a solid as a STEP file in mm, the same in every run but for its date (``SOURCE_DATE_EPOCH``).

    Raises:
        ExportError: if the CAD kernel cannot write it.
    """
    from OCP.IFSelect import IFSelect_RetDone
    from OCP.Interface import Interface_Static
    from OCP.STEPControl import STEPControl_AsIs, STEPControl_Writer

    Interface_Static.SetCVal_s("write.step.unit", "MM")
    Interface_Static.SetCVal_s("write.step.product.name", name)
    writer = STEPControl_Writer()
    writer.Transfer(solid.wrapped, STEPControl_AsIs)
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "part.step"
        if writer.Write(str(file)) != IFSelect_RetDone:
            raise ExportError(f"{name}: the CAD kernel wrote no STEP file")
        text = file.read_bytes()
    epoch = os.environ.get("SOURCE_DATE_EPOCH")
    if epoch is None:
        return text
    date = datetime.fromtimestamp(int(epoch), UTC).strftime("%Y-%m-%dT%H:%M:%S").encode()
    return re.sub(rb"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d", date, text, count=1)
