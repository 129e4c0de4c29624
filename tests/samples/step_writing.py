"""STEP assemblies written with the CAD kernel, in any schema and unit, for tests of their reader."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import chdir
from dataclasses import dataclass
from pathlib import Path

import cadquery as cq
from OCP.gp import gp_Trsf
from OCP.Interface import Interface_Static
from OCP.Quantity import Quantity_Color, Quantity_TypeOfColor
from OCP.STEPCAFControl import STEPCAFControl_Writer
from OCP.STEPControl import STEPControl_AsIs
from OCP.TCollection import TCollection_ExtendedString, TCollection_HAsciiString
from OCP.TDataStd import TDataStd_Name
from OCP.TDF import TDF_Label
from OCP.TDocStd import TDocStd_Document
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS_Shape
from OCP.XCAFDoc import XCAFDoc_ColorType, XCAFDoc_DocumentTool

SCHEMAS = {"AP203": "AP203", "AP214": "AP214IS", "AP242": "AP242DIS"}


@dataclass(frozen=True)
class Placed:
    """A shape or an assembly in a place; shapes of one object are instances."""

    of: Branch | TopoDS_Shape
    place: gp_Trsf | None = None
    name: str = ""


@dataclass(frozen=True)
class Branch:
    """An assembly of a tree."""

    name: str
    parts: Sequence[Placed]


@dataclass(frozen=True)
class Look:
    """Name, colour and material of a shape."""

    name: str
    colour: tuple[float, float, float] | None = None
    material: str = ""


def shift(x: float, y: float, z: float) -> gp_Trsf:
    """Return a shift as the CAD kernel has it."""
    found = gp_Trsf()
    found.SetTranslation(cq.Vector(x, y, z).wrapped)
    return found


def write_step(
    tree: Branch | Sequence[Placed],
    looks: dict[int, Look],
    file: Path,
    schema: str = "AP214",
    unit: str = "MM",
    apart: bool = False,
) -> Path:
    """Write a tree as a STEP file; ``looks`` are those of its shapes by ``id``; return the file.

    With ``apart`` each shape stands in a file of its own beside it, which it names.
    """
    document = TDocStd_Document(TCollection_ExtendedString("x"))
    tool = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    colours = XCAFDoc_DocumentTool.ColorTool_s(document.Main())
    materials = XCAFDoc_DocumentTool.MaterialTool_s(document.Main())
    known: dict[int, TDF_Label] = {}

    def label(of: Branch | TopoDS_Shape) -> TDF_Label:
        if id(of) in known:
            return known[id(of)]
        if isinstance(of, Branch):
            made = tool.NewShape()
            _name(made, of.name)
            for part in of.parts:
                at = TopLoc_Location(part.place or gp_Trsf())
                component = tool.AddComponent(made, label(part.of), at)
                if part.name:
                    _name(component, part.name)
        else:
            made = tool.AddShape(of, False)
            look = looks.get(id(of), Look(""))
            _name(made, look.name)
            if look.colour:
                colour = Quantity_Color(*look.colour, Quantity_TypeOfColor.Quantity_TOC_sRGB)
                colours.SetColor(made, colour, XCAFDoc_ColorType.XCAFDoc_ColorSurf)
            if look.material:
                said = [TCollection_HAsciiString(t) for t in (look.material, "", "density", "RATIO_MEASURE")]
                materials.SetMaterial(made, said[0], said[1], 0.0, said[2], said[3])
        known[id(of)] = made
        return made

    for top in [Placed(tree)] if isinstance(tree, Branch) else tree:
        label(top.of)
    tool.UpdateAssemblies()
    writer = STEPCAFControl_Writer()
    Interface_Static.SetCVal_s("write.step.schema", SCHEMAS[schema])
    Interface_Static.SetCVal_s("write.step.unit", unit)
    # What has no name gets the kernel's own, and not the one that another export of this process has left.
    Interface_Static.SetCVal_s("write.step.product.name", "Open CASCADE STEP translator 7.9")
    try:
        writer.SetColorMode(True)
        writer.SetNameMode(True)
        with chdir(file.parent):
            assert writer.Transfer(document, STEPControl_AsIs, *([f"{file.stem}-"] if apart else []))
            writer.Write(file.name)
    finally:
        Interface_Static.SetCVal_s("write.step.schema", "AP214IS")
        Interface_Static.SetCVal_s("write.step.unit", "MM")
    return file


def _name(label: TDF_Label, name: str) -> None:
    TDataStd_Name.Set_s(label, TCollection_ExtendedString(name, True))
