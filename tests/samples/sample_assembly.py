"""A small invented assembly for tests of pictures: housing, two shafts, rings, body, rotors, nuts, cover."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache

import cadquery as cq
from benchleaf.geometry.assembly import Assembly, Part, Side, TurningGroup
from benchleaf.geometry.frame import Place
from benchleaf.render.drawing.settings import PictureSettings
from benchleaf.render.engine.part_models import PartModels, make_part_models
from benchleaf.sequences.steps.plan import Leg, Move, Plan, Section, Step
from sample_solids import solid_of

HALF = 30.0
"""Half the distance between the shafts, mm."""
STUDS = ((-62.0, 38.0), (62.0, 38.0), (62.0, -38.0), (-62.0, -38.0))


def _ring(outer: float, inner: float, height: float) -> cq.Shape:
    return solid_of(cq.Workplane().circle(outer).circle(inner).extrude(height))


def _housing() -> cq.Shape:
    plate = cq.Workplane().box(150, 110, 40, centered=(True, True, False)).edges("|Z").fillet(14)
    plate = plate.faces(">Z").edges().fillet(3)
    bores = cq.Workplane().pushPoints([(-HALF, 0), (HALF, 0)]).circle(14).extrude(40)
    return solid_of(plate.cut(bores)).moved(cq.Location(cq.Vector(0, 0, -40)))


def _shaft() -> cq.Shape:
    shaft = cq.Workplane().circle(13.9).extrude(45).faces(">Z").workplane().circle(11).extrude(20)
    shaft = (
        shaft.faces(">Z").workplane().circle(9).extrude(20.5).faces(">Z").workplane().circle(6).extrude(14)
    )
    slot = cq.Workplane("XY").box(5, 6, 16).translate((0, 9, 75.8))
    return solid_of(shaft.cut(slot).faces(">Z").chamfer(1)).moved(cq.Location(cq.Vector(0, 0, -40)))


def _body() -> cq.Shape:
    outline = cq.Workplane().box(150, 110, 60, centered=(True, True, False)).edges("|Z").fillet(14)
    outline = outline.union(cq.Workplane("XZ").circle(20).extrude(75, both=True).translate((0, 0, 40)))
    for x in (-HALF, HALF):
        outline = outline.cut(cq.Workplane().workplane(offset=25).circle(38).extrude(40).translate((x, 0, 0)))
        outline = outline.cut(cq.Workplane().circle(18).extrude(30).translate((x, 0, 0)))
    for x, y in STUDS:
        outline = outline.cut(cq.Workplane().circle(5.2).extrude(70).translate((x, y, 0)))
    return solid_of(outline.cut(cq.Workplane("XZ").circle(15).extrude(90, both=True).translate((0, 0, 42))))


def _rotor() -> cq.Shape:
    hub = cq.Workplane().circle(16).extrude(20)
    wings = cq.Workplane().box(74, 20, 20, centered=(True, True, False))
    wings = wings.intersect(cq.Workplane().circle(37).extrude(20)).edges("|Z").fillet(2)
    return solid_of(hub.union(wings).cut(cq.Workplane().circle(9.05).extrude(40)))


def _cover() -> cq.Shape:
    plate = cq.Workplane().box(150, 110, 14, centered=(True, True, False)).edges("|Z").fillet(14)
    plate = plate.faces(">Z").edges().chamfer(1.5)
    return solid_of(plate.cut(cq.Workplane().pushPoints(STUDS).circle(5.2).extrude(20)))


def _nut(flats: float, bore: float, height: float) -> cq.Shape:
    nut = cq.Workplane().polygon(6, flats / 0.866).extrude(height)
    nut = nut.intersect(cq.Workplane().circle(flats * 0.56).extrude(height).edges().chamfer(0.8))
    return solid_of(nut.cut(cq.Workplane().circle(bore).extrude(height)))


@lru_cache(maxsize=1)
def sample_assembly() -> Assembly:
    """Return the assembly; built once a run."""
    parts: dict[str, Part] = {}

    def add(key: str, kind: str, name: str, material: str, solid: cq.Shape, place: Place = Place(),  # noqa: B008
            side: Side | None = None, thread: bool = False) -> None:  # fmt: skip
        parts[key] = Part(key, kind, name, material, solid, place, side, thread=thread)

    sides: tuple[tuple[Side, float], ...] = (("drive", -HALF), ("driven", HALF))
    add("housing", "housing", "Housing", "painted-iron", _housing())
    shaft, seat, oring = _shaft(), _ring(17, 11.05, 8), cq.Solid.makeTorus(12.2, 1.3)
    for side, x in sides:
        add(f"shaft_{side}", "shaft", "Shaft", "316L", shaft, Place.at(x, 0, 0), side)
    stud = solid_of(cq.Workplane().circle(5).extrude(95).faces(">Z").chamfer(0.8))
    for n, (x, y) in enumerate(STUDS, 1):
        add(f"stud_{n}", "stud", "Stud", "316L", stud, Place.at(x, y, 0))
    for side, x in sides:
        add(f"oring_{side}", "oring", "Shaft O-ring", "FKM", oring, Place.at(x, 0, 4), side)
        add(f"seat_{side}", "seat", "Seal seat", "silicon-carbide", seat, Place.at(x, 0, 6), side)
    add("body", "body", "Body", "316L", _body(), Place.at(0, 0, 0.0))
    rotor, nut, key = _rotor(), _nut(22, 6.1, 13), solid_of(cq.Workplane().box(4.9, 5.9, 15.8))
    for side, x in sides:
        turn = Place.turn(90.0) if side == "driven" else Place()
        add(f"key_{side}", "key", "Key", "316L", key, Place.at(x, 9, 35.8), side)
        add(f"rotor_{side}", "rotor", "Rotor", "nickel-alloy", rotor, Place.at(x, 0, 25.5) @ turn, side)
        add(f"nut_{side}", "nut", "Rotor nut", "316L", nut, Place.at(x, 0, 45.6), side, thread=True)
    add("cover_oring", "cover_oring", "Cover O-ring", "EPDM", cq.Solid.makeTorus(48, 2), Place.at(0, 0, 60))
    add("cover", "cover", "Cover", "316L", _cover(), Place.at(0, 0, 62))
    cover_nut = _nut(16, 5.1, 9)
    for n, (x, y) in enumerate(STUDS, 1):
        add(f"cover_nut_{n}", "cover_nut", "Cover nut", "316L", cover_nut, Place.at(x, y, 76), thread=True)
    return Assembly("sample", parts, turning=_turning(parts))


def _turning(parts: Mapping[str, Part]) -> tuple[TurningGroup, ...]:
    """Return the parts that turn with the sample's two shafts, opposite ways."""
    groups = []
    for side, x, ratio in (("drive", -HALF, 1.0), ("driven", HALF, -1.0)):
        keys = [k for k, p in parts.items() if p.side == side and p.kind in ("shaft", "key", "rotor", "nut")]
        groups.append(TurningGroup(side, tuple(keys), (x, 0.0, 0.0), ratio=ratio, carrier=f"shaft_{side}"))
    return tuple(groups)


def sample_plan() -> Plan:
    """Return a short plan over :func:`sample_assembly`."""
    down = (Leg((0.0, 0.0, -1.0)),)
    rows: list[tuple[str, str, tuple[Move, ...]]] = [
        ("oring", "shafts", (Move(("oring_drive", "oring_driven"), down),)),
        ("seat", "shafts", (Move(("seat_drive", "seat_driven"), down),)),
        ("body", "body", (Move(("body",)),)),
        ("key", "rotors", (Move(("key_drive",), (Leg((0.0, -1.0, 0.0)),)),)),
        ("rotor", "rotors", (Move(("rotor_drive",), down),)),
        ("nut", "rotors", (Move(("nut_drive",), (Leg((0.0, 0.0, -1.0), None, -360.0),)),)),
        ("key2", "rotors", (Move(("key_driven",), (Leg((0.0, -1.0, 0.0)),)),)),
        ("rotor2", "rotors", (Move(("rotor_driven",), down),)),
        ("nut2", "rotors", (Move(("nut_driven",), (Leg((0.0, 0.0, -1.0), None, -360.0),)),)),
        ("cover_oring", "cover", (Move(("cover_oring",), down),)),
        ("cover", "cover", (Move(("cover",), down),)),
        ("cover_nuts", "cover", (Move(tuple(f"cover_nut_{n}" for n in range(1, 5)), down),)),
    ]
    given: tuple[str, ...] = (
        "housing",
        "shaft_drive",
        "shaft_driven",
        "stud_1",
        "stud_2",
        "stud_3",
        "stud_4",
    )
    present, steps = given, []
    for number, (name, section, moves) in enumerate(rows, 1):
        steps.append(Step(number, name, section, f"Fit {name}", present, moves))
        present = (*present, *steps[-1].moving)
    steps.append(Step(len(steps) + 1, "check", "cover", "Look", present, focus=("cover_oring", "cover")))
    sections = tuple(Section(s, s.title()) for s in ("shafts", "body", "rotors", "cover"))
    return Plan("assembly", "Assembly", "sample", sections, tuple(steps), given)


@lru_cache(maxsize=1)
def pinned_models() -> PartModels:
    """Return the sample with dowels through two of the body's holes and screws in the others instead of studs."""
    parts = {k: p for k, p in sample_assembly().parts.items() if p.kind not in ("stud", "cover_nut")}
    dowel = solid_of(cq.Workplane("XY", origin=(0, 0, -6)).circle(5).extrude(72))
    screw = solid_of(cq.Workplane().circle(5).extrude(60).faces(">Z").workplane().circle(8).extrude(9))
    for n in (1, 2):
        for kind, solid, (x, y) in (("dowel", dowel, STUDS[2 * n - 2]), ("screw", screw, STUDS[2 * n - 1])):
            key = f"{kind}_{n}"
            parts[key] = Part(key, kind, kind.title(), "316L", solid, Place.at(x, y, 0))
    return make_part_models(replace(sample_assembly(), parts=parts), 1.0 / 1500.0)


SMALL = PictureSettings(width=640, height=480, overview_width=960, overview_height=640, measure_width=480)
"""Small pictures, so that tests of many are quick."""


@lru_cache(maxsize=1)
def sample_models() -> PartModels:
    """Return the models of :func:`sample_assembly`; meshed once a run."""
    return make_part_models(sample_assembly(), 1.0 / 1500.0)
