"""Files of the smallest assembly there is: a box and a lid, proven in a second."""

from __future__ import annotations

from pathlib import Path

import cadquery as cq

ASSEMBLY = """\
assembly: Box and lid
parts:
  - {part: box, name: Box, file: box.step}
  - {part: lid, name: Lid, file: box.step, shift_mm: [0, 0, 10]}
sequences: fit.yaml
"""
FIT = """\
sequence: assembly
title: Fit
given: [box]
sections: [{id: all, title: All}]
steps:
  - {id: lid, section: all, title: Put the lid on, fit: lid, cautions: sharp_edges}
"""


def write_small_assembly(folder: Path) -> Path:
    """Write them into ``folder`` and return the file that names the others."""
    cq.exporters.export(cq.Workplane().box(10, 10, 10), str(folder / "box.step"))
    (folder / "lid.yaml").write_text(ASSEMBLY, "utf-8")
    (folder / "fit.yaml").write_text(FIT, "utf-8")
    return folder / "lid.yaml"
