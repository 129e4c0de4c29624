"""The tree of a STEP assembly: every solid with its name, colour, material and place, read in a child process.

AP203, AP214 and AP242 alike, by the CAD kernel's own reader of such trees. What is no sound closed solid is mended
where it can be (sewn, made solid), and is left out and told where it cannot.
"""

from __future__ import annotations

import pickle
import re
from collections.abc import Iterator, Sequence
from contextlib import chdir
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from ..bounded import Refused
from ..own_parts import STEP_ENDINGS
from ..step_files import _as_bytes as as_bytes
from ..step_files import _count_faces as count_faces
from ..step_files import _is_sound as is_sound
from .named_files import named_files
from .solid_frames import SolidFacts, facts_of

MOST_BYTES = 300_000_000
MOST_PLACED = 2_000
"""Parts in place that are taken in; the proof of more would take days."""
MOST_FACES = 5_000
"""Of one solid."""
SEW_MM = 0.02
"""Gaps between faces up to this are closed."""
LEAST_THICK_MM = 1e-4
MOST_NAMES = 5
"""Of files that are missing so many are told by name."""
NUMBERED = re.compile(r"(NAUO|NAUO_|Instance)?[\s_.:#-]*\d+", re.IGNORECASE)
"""Names of instances that only count them, as writers do: they name nothing, whatever the product is called."""
MADE_UP = ("=>[", "Open CASCADE STEP translator")
"""Beginnings of names that the kernel puts where there is none."""
_NUMBERED = re.compile(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}", re.IGNORECASE)
Matrix = tuple[tuple[float, ...], ...]


@dataclass(frozen=True)
class FoundShape:
    """A solid as the file has it once, in its own frame, mm."""

    binary: bytes
    facts: SolidFacts


@dataclass(frozen=True)
class FoundPlace:
    """A solid in its place: which one, what it is called from the top down, where it stands, how it looks."""

    shape: int
    names: tuple[str, ...]
    matrix: Matrix
    """Rows of a rigid transform, (3, 4), mm."""
    colour: str = ""
    """As ``#rrggbb``; empty where the file says none."""
    material: str = ""


@dataclass(frozen=True)
class FoundTree:
    """All that one file holds."""

    shapes: tuple[FoundShape, ...]
    places: tuple[FoundPlace, ...]
    remarks: tuple[str, ...] = ()


def read_tree_here(file: Path) -> bytes:
    """Return the :class:`FoundTree` of a STEP file as bytes for :func:`tree_of_bytes`; for a child process.

    Raises:
        Refused: if it is huge, no STEP file, cannot be read, or holds no solid.
    """
    size = file.stat().st_size
    if size > MOST_BYTES:
        raise Refused(
            f"{size / 1e6:.0f} MB", f"up to {MOST_BYTES / 1e6:.0f} MB", "export a part of the assembly"
        )
    with file.open("rb") as stream:
        start = stream.read(400)
    if b"ISO-10303-21" not in start:
        fix = "export the assembly as STEP AP214 or AP242"
        raise Refused("no STEP header", "a STEP file (ISO 10303-21)", fix)
    named = named_files(file, MOST_BYTES)
    try:
        tree = _Reader(file).tree()
    except (MemoryError, Refused, AttributeError, NameError):  # these would be faults of ours
        raise
    except Exception as fault:  # the kernel's reader raises bare types that carry no reason
        what = f"a file the CAD kernel cannot read ({type(fault).__name__})"
        raise Refused(what, "a whole STEP file", "export it again") from fault
    if not tree.places:
        what = "; ".join(("no closed solid", *tree.remarks[:3]))
        if named.missing:
            what = f"no closed solid; its parts stand in other files: {_some(named.missing)}"
            raise Refused(what, "parts in it, or in STEP files beside it", "export it as one STEP file")
        raise Refused(what, "an assembly of closed solids", "export solids, not surfaces or curves")
    absent = [n for n in named.missing if n.casefold().endswith(STEP_ENDINGS)]
    if absent:
        more = f"names {_some(absent)}, not found beside it: parts may be missing"
        tree = replace(tree, remarks=(*tree.remarks, more))
    return pickle.dumps(tree)


def _some(names: Sequence[str]) -> str:
    """Return the first names, and how many more there are."""
    first = ", ".join(f"'{n}'" for n in names[:MOST_NAMES])
    return first if len(names) <= MOST_NAMES else f"{first} and {len(names) - MOST_NAMES} more"


def tree_of_bytes(made: bytes) -> FoundTree:
    """Return what :func:`read_tree_here` found."""
    tree = pickle.loads(made)
    assert isinstance(tree, FoundTree)
    return tree


class _Reader:
    """One file on its way into a :class:`FoundTree`."""

    def __init__(self, file: Path) -> None:
        self.file = file
        self.shapes: list[FoundShape] = []
        self.places: list[FoundPlace] = []
        self.remarks: dict[str, int] = {}
        self._known: dict[str, list[int]] = {}

    def tree(self) -> FoundTree:
        from OCP.TDF import TDF_LabelSequence

        self.document = self._document()
        free = TDF_LabelSequence()
        self._shapes_of.GetFreeShapes(free)
        if not _states_unit(self.file):
            self._remark("the file states no unit of length; its figures are taken for millimetres")
        from OCP.TopLoc import TopLoc_Location

        for n in range(1, free.Length() + 1):
            self._label(free.Value(n), (), TopLoc_Location(), "", "")
        said = (text if count == 1 else f"{text} ({count} times)" for text, count in self.remarks.items())
        return FoundTree(tuple(self.shapes), tuple(self.places), tuple(said))

    def _document(self) -> Any:
        from OCP.IFSelect import IFSelect_RetDone
        from OCP.Interface import Interface_Static
        from OCP.STEPCAFControl import STEPCAFControl_Reader
        from OCP.TCollection import TCollection_ExtendedString
        from OCP.TDocStd import TDocStd_Document
        from OCP.XCAFDoc import XCAFDoc_DocumentTool

        Interface_Static.SetCVal_s("xstep.cascade.unit", "MM")
        document = TDocStd_Document(TCollection_ExtendedString("assembly"))
        reader = STEPCAFControl_Reader()
        reader.SetNameMode(True)
        reader.SetColorMode(True)
        reader.SetMatMode(True)
        with chdir(self.file.parent):  # parts in files of their own are looked for there
            if reader.ReadFile(self.file.name) != IFSelect_RetDone:
                raise ValueError("not read")
            if not reader.Transfer(document):
                raise ValueError("not transferred")
        main = document.Main()
        self._shapes_of = XCAFDoc_DocumentTool.ShapeTool_s(main)
        self._colours_of = XCAFDoc_DocumentTool.ColorTool_s(main)
        self._materials_of = XCAFDoc_DocumentTool.MaterialTool_s(main)
        return document

    def _remark(self, text: str) -> None:
        self.remarks[text] = self.remarks.get(text, 0) + 1

    def _label(self, label: Any, above: tuple[str, ...], at: Any, colour: str, instance: str) -> None:
        """Take in a label of the tree: an assembly with its components, or a shape."""
        from OCP.TDF import TDF_Label, TDF_LabelSequence

        name = instance if instance and not NUMBERED.fullmatch(instance) else _name_of(label)
        colour = self._colour(label) or colour
        if self._shapes_of.IsAssembly_s(label):
            parts = TDF_LabelSequence()
            self._shapes_of.GetComponents_s(label, parts)
            for n in range(1, parts.Length() + 1):
                component, referred = parts.Value(n), TDF_Label()
                if not self._shapes_of.GetReferredShape_s(component, referred):
                    continue
                there = at.Multiplied(self._shapes_of.GetLocation_s(component))
                own = self._colour(component)
                self._label(referred, (*above, name), there, own or colour, _name_of(component))
            return
        shape = self._shapes_of.GetShape_s(label)
        if shape.IsNull():
            return self._remark(f"'{name}' has no shape and is left out")
        self._simple(label, shape, (*above, name), at, colour)
        return None

    def _simple(self, label: Any, shape: Any, names: tuple[str, ...], at: Any, colour: str) -> None:
        from OCP.gp import gp_Trsf

        whole: gp_Trsf = at.Transformation()
        material = _material_of(label)
        if whole.IsNegative() or abs(whole.ScaleFactor() - 1.0) > 1e-9:
            # Mirrored or scaled: no rigid place carries it there, so it is a shape of its own.
            from OCP.BRepBuilderAPI import BRepBuilderAPI_Transform

            shape, whole = BRepBuilderAPI_Transform(shape, whole, True).Shape(), gp_Trsf()
            found = self._solids(shape, names)
        else:
            entry = _entry(label)
            if entry not in self._known:
                self._known[entry] = self._solids(shape, names)
            found = self._known[entry]
        rows = tuple(tuple(whole.Value(r, c) for c in range(1, 5)) for r in range(1, 4))
        for n, number in enumerate(found, start=1):
            if len(self.places) >= MOST_PLACED:
                raise Refused(
                    f"more than {MOST_PLACED} solids", f"up to {MOST_PLACED}", "export a part of it"
                )
            called = names if len(found) == 1 else (*names, f"{names[-1]} {n}")
            self.places.append(FoundPlace(number, called, rows, colour, material))

    def _solids(self, shape: Any, names: tuple[str, ...]) -> list[int]:
        """Return the numbers of the sound solids in a shape."""
        called = names[-1] or "a part without a name"
        found, told = [], len(self.remarks)
        for solid in _closed(shape):
            faces = count_faces(solid)
            if faces > MOST_FACES:
                self._remark(f"'{called}' has {faces} faces, more than {MOST_FACES}, and is left out")
                continue
            sound = _sound(solid)
            if sound is None:
                self._remark(f"'{called}' is no closed, valid solid and is left out")
                continue
            facts = facts_of(sound)
            if min(facts.extent) < LEAST_THICK_MM:
                self._remark(f"'{called}' has no thickness and is left out")
                continue
            self.shapes.append(FoundShape(as_bytes(sound), facts))
            found.append(len(self.shapes) - 1)
        if found or len(self.remarks) > told:
            return found
        if not _has_faces(shape):
            self._remark(f"'{called}' holds curves or points alone and is left out")
        else:
            self._remark(f"'{called}' holds surfaces that close no solid and is left out")
        return found

    def _colour(self, label: Any) -> str:
        from OCP.Quantity import Quantity_Color
        from OCP.XCAFDoc import XCAFDoc_ColorType

        colour = Quantity_Color()
        for kind in (XCAFDoc_ColorType.XCAFDoc_ColorSurf, XCAFDoc_ColorType.XCAFDoc_ColorGen):
            if self._colours_of.GetColor_s(label, kind, colour):
                return _hex(colour)
        return ""


def _entry(label: Any) -> str:
    """Return where a label stands in the document, once for each."""
    from OCP.TCollection import TCollection_AsciiString
    from OCP.TDF import TDF_Tool

    text = TCollection_AsciiString()
    TDF_Tool.Entry_s(label, text)
    return str(text.ToCString())


def _hex(colour: Any) -> str:
    from OCP.Quantity import Quantity_TypeOfColor

    values = np.array(colour.Values(Quantity_TypeOfColor.Quantity_TOC_sRGB))
    r, g, b = (round(255 * min(1.0, max(0.0, float(v)))) for v in values)
    return f"#{r:02x}{g:02x}{b:02x}"


def _name_of(label: Any) -> str:
    from OCP.TDataStd import TDataStd_Name

    name = TDataStd_Name()
    if not label.FindAttribute(TDataStd_Name.GetID_s(), name):
        return ""
    text = " ".join(said_once(str(name.Get().ToExtString())).split())
    # What the reader makes up where the file has no name, and what a writer numbers a part by that nobody has named.
    made_up = (
        text.startswith(MADE_UP)
        or text in ("COMPOUND", "SOLID", "SHELL", "NONE")
        or _NUMBERED.fullmatch(text)
    )
    return "" if made_up else text


def said_once(text: str) -> str:
    """Return a name of a file whose writer took its UTF-8 for Latin-1 and encoded it again; any other as it is.

    >>> said_once("GehÃ¤use"), said_once("Gehäuse"), said_once("销")
    ('Gehäuse', 'Gehäuse', '销')
    """
    try:
        return text.encode("latin-1").decode("utf-8")
    except UnicodeError:  # letters beyond Latin-1, or such as stand for themselves
        return text


def _material_of(label: Any) -> str:
    """Return what the file says that a shape is made of: the name of its material, empty where it has none."""
    from OCP.TDataStd import TDataStd_TreeNode
    from OCP.TDF import TDF_AttributeIterator
    from OCP.XCAFDoc import XCAFDoc_Material

    attributes = TDF_AttributeIterator(label)
    while attributes.More():
        # The kernel crashes when asked for an attribute that is not there.
        link, found = attributes.Value(), XCAFDoc_Material()
        if isinstance(link, TDataStd_TreeNode) and link.HasFather():
            material = link.Father().Label()
            if material.IsAttribute(XCAFDoc_Material.GetID_s()):
                material.FindAttribute(XCAFDoc_Material.GetID_s(), found)
                name = found.GetName()
                return " ".join(said_once(name.ToCString()).split()) if name is not None else ""
        attributes.Next()
    return ""


def _states_unit(file: Path) -> bool:
    text = file.read_bytes().upper()
    return b"LENGTH_UNIT" in text


def _closed(shape: Any) -> Iterator[Any]:
    """Yield the solids of a shape; of shells that belong to none, the solids that they close."""
    from OCP.BRep import BRep_Tool
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeSolid, BRepBuilderAPI_Sewing
    from OCP.TopAbs import TopAbs_FACE, TopAbs_SHELL, TopAbs_SOLID
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS

    yield from _all(shape, TopAbs_SOLID)
    loose = [*_all(shape, TopAbs_SHELL, TopAbs_SOLID), *_all(shape, TopAbs_FACE, TopAbs_SHELL)]
    if not loose:
        return
    open_ones = []
    for piece in loose:
        if piece.ShapeType() == TopAbs_SHELL and BRep_Tool.IsClosed_s(piece):
            yield BRepBuilderAPI_MakeSolid(TopoDS.Shell_s(piece)).Solid()
        else:
            open_ones.append(piece)
    if not open_ones:
        return
    sewing = BRepBuilderAPI_Sewing(SEW_MM)
    for piece in open_ones:
        sewing.Add(piece)
    sewing.Perform()
    sewn = sewing.SewedShape()
    explorer = TopExp_Explorer(sewn, TopAbs_SHELL)
    while explorer.More():
        if BRep_Tool.IsClosed_s(explorer.Current()):
            yield BRepBuilderAPI_MakeSolid(TopoDS.Shell_s(explorer.Current())).Solid()
        explorer.Next()


def _all(shape: Any, kind: Any, outside: Any = None) -> list[Any]:
    from OCP.TopExp import TopExp_Explorer

    explorer = TopExp_Explorer(shape, kind) if outside is None else TopExp_Explorer(shape, kind, outside)
    found = []
    while explorer.More():
        found.append(explorer.Current())
        explorer.Next()
    return found


def _has_faces(shape: Any) -> bool:
    from OCP.TopAbs import TopAbs_FACE

    return bool(_all(shape, TopAbs_FACE))


def _sound(solid: Any) -> Any | None:
    """Return a solid that is valid, closed and not inside out, mended where that is simple; None where it is not."""
    from OCP.BRepLib import BRepLib
    from OCP.ShapeFix import ShapeFix_Shape
    from OCP.TopAbs import TopAbs_SOLID
    from OCP.TopoDS import TopoDS

    if is_sound(solid):
        return solid
    turned = TopoDS.Solid_s(solid)
    BRepLib.OrientClosedSolid_s(turned)
    if is_sound(turned):
        return turned
    fix = ShapeFix_Shape(solid)
    fix.Perform()
    mended = [s for s in _all(fix.Shape(), TopAbs_SOLID) if is_sound(s)]
    return mended[0] if len(mended) == 1 else None
