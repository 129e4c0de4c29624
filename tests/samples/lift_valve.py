"""The lift valve of the worked example, modelled: body, seat, plug on its stem, bonnet, packing, handwheel.

An invented valve of no maker. Run it to write the STEP assembly that the shipped example was begun from:
``python tests/samples/lift_valve.py lift-valve.step``; with a folder it writes the shipped parts.
"""

from __future__ import annotations

import sys
from pathlib import Path

import cadquery as cq

SCREWS = ((32.0, 24.0), (-32.0, 24.0), (-32.0, -24.0), (32.0, -24.0))
STUDS = ((20.0, 0.0), (-20.0, 0.0))
GAP = 0.1
"""Play of every sliding fit on the radius, mm."""


def _round(*steps: tuple[float, float]) -> cq.Workplane:
    """Return round steps (radius, height) one on the other from z = 0 upwards."""
    z, made = 0.0, cq.Workplane()
    for radius, height in steps:
        step = cq.Workplane(origin=(0, 0, z)).circle(radius).extrude(height)
        made = made.union(step) if z else step
        z += height
    return made


def _bored(solid: cq.Workplane, *bores: tuple[float, float, float]) -> cq.Workplane:
    """Cut bores (radius, from z, to z) about the axis."""
    for radius, low, high in bores:
        solid = solid.cut(cq.Workplane(origin=(0, 0, low)).circle(radius).extrude(high - low))
    return solid


def _hexagon(across: float, height: float, bore: float) -> cq.Workplane:
    nut = cq.Workplane().polygon(6, across / 0.8660254).extrude(height)
    nut = nut.intersect(cq.Workplane().circle(across * 0.56).extrude(height).edges().chamfer(0.6))
    return nut.cut(cq.Workplane().circle(bore).extrude(height))


def body() -> cq.Workplane:
    """Body: a block with a stepped bore from above, a port to either side, four holes for screws."""
    block = cq.Workplane().box(90, 70, 66, centered=(True, True, False)).edges("|Z").fillet(9)
    block = _bored(block, (24, 34, 66), (20, 20, 34), (13, 8, 20))
    inlet = cq.Workplane("YZ", origin=(-60, 0, 14)).circle(9).extrude(60)
    outlet = cq.Workplane("YZ", origin=(0, 0, 46)).circle(9).extrude(60)
    flanges = cq.Workplane("YZ", origin=(-60, 0, 14)).circle(13.5).extrude(20)
    flanges = flanges.union(cq.Workplane("YZ", origin=(40, 0, 46)).circle(13.5).extrude(20))
    block = block.union(flanges).cut(inlet).cut(outlet)
    holes = cq.Workplane(origin=(0, 0, 44)).pushPoints(SCREWS).circle(4 + GAP).extrude(22)
    return block.cut(holes).faces(">Z").edges("%LINE").chamfer(0.8)


def seat_ring() -> cq.Workplane:
    """Seat ring: drops into the middle bore, with a groove for its O-ring and a seat above."""
    ring = _bored(_round((20 - GAP, 14)), (11, 0, 14))
    ring = ring.cut(cq.Workplane(origin=(0, 0, 5)).circle(20).circle(17.4).extrude(3.4))
    return ring.faces(">Z").edges("%CIRCLE").edges("<X").chamfer(0.5)


def seat_oring() -> cq.Workplane:
    """O-ring of the seat ring's groove, in its free shape."""
    return cq.Workplane(cq.Solid.makeTorus(18.7, 1.45))


def plug() -> cq.Workplane:
    """Plug: closes the seat, sits on the stem's end."""
    return _bored(_round((9, 6), (15, 8), (9, 4)), (5 + GAP, 0, 18)).edges(">Z").chamfer(0.6)


def stem() -> cq.Workplane:
    """Stem: journal for the plug, collar, shaft through the packing, square and thread for the handwheel."""
    shaft = _round((4, 14), (5, 18), (8, 8), (6, 96))
    square = cq.Workplane(origin=(0, 0, 136)).rect(8, 8).extrude(12)
    end = cq.Workplane(origin=(0, 0, 148)).circle(3).extrude(12)
    return shaft.union(square).union(end).faces(">Z or <Z").chamfer(0.6)


def plug_washer() -> cq.Workplane:
    """Washer between plug and plug nut."""
    return _bored(_round((8, 2)), (4 + GAP, 0, 2))


def plug_nut() -> cq.Workplane:
    """Nut that holds the plug."""
    return _hexagon(13, 6, 4 + GAP)


def bonnet() -> cq.Workplane:
    """Bonnet: flange, spigot with a groove, neck with the packing's chamber."""
    made = _round((24 - GAP, 12))
    flange = (
        cq.Workplane(origin=(0, 0, 12)).box(90, 70, 12, centered=(True, True, False)).edges("|Z").fillet(9)
    )
    neck = cq.Workplane(origin=(0, 0, 24)).circle(28).extrude(34)
    made = made.union(flange).union(neck)
    made = _bored(made, (6 + GAP, 0, 60), (10, 40, 60), (13, 0, 6))
    made = made.cut(cq.Workplane(origin=(0, 0, 5)).circle(26).circle(21.4).extrude(3.4))
    made = made.cut(cq.Workplane(origin=(0, 0, 12)).pushPoints(SCREWS).circle(4.5).extrude(12))
    made = made.cut(cq.Workplane(origin=(0, 0, 24)).pushPoints(SCREWS).circle(7).extrude(40))
    return made.cut(cq.Workplane(origin=(0, 0, 44)).pushPoints(STUDS).circle(3 + GAP).extrude(16))


def bonnet_oring() -> cq.Workplane:
    """O-ring of the bonnet's groove, in its free shape."""
    return cq.Workplane(cq.Solid.makeTorus(22.7, 1.45))


def bonnet_screw() -> cq.Workplane:
    """Hexagon socket head screw; its head's underside at z = 0."""
    screw = (
        cq.Workplane(origin=(0, 0, -26)).circle(4).extrude(26).union(cq.Workplane().circle(6.5).extrude(8))
    )
    socket = cq.Workplane(origin=(0, 0, 4)).polygon(6, 6 / 0.8660254).extrude(4)
    return screw.cut(socket).faces("<Z").chamfer(0.6)


def packing_ring() -> cq.Workplane:
    """One of three rings of packing."""
    return _bored(_round((10 - GAP, 4)), (6 + GAP, 0, 4))


def gland() -> cq.Workplane:
    """Gland follower: presses the packing, with a hole for each stud."""
    made = _round((10 - GAP, 10))
    plate = (
        cq.Workplane(origin=(0, 0, 10))
        .circle(26)
        .extrude(6)
        .intersect(cq.Workplane(origin=(0, 0, 10)).rect(60, 26).extrude(6))
    )
    made = _bored(made.union(plate), (6 + GAP, 0, 16))
    return made.cut(cq.Workplane(origin=(0, 0, 10)).pushPoints(STUDS).circle(3.3).extrude(6))


def gland_stud() -> cq.Workplane:
    """Stud in the bonnet's neck."""
    return cq.Workplane().circle(3).extrude(36).faces(">Z or <Z").chamfer(0.4)


def gland_nut() -> cq.Workplane:
    """Nut on a gland stud."""
    return _hexagon(10, 5, 3 + GAP)


def handwheel() -> cq.Workplane:
    """Handwheel: hub with a square hole, four spokes, rim."""
    hub = cq.Workplane().circle(10).extrude(12)
    spokes = cq.Workplane(origin=(0, 0, 3)).rect(84, 7).extrude(6)
    spokes = spokes.union(cq.Workplane(origin=(0, 0, 3)).rect(7, 84).extrude(6))
    rim = cq.Workplane(cq.Solid.makeTorus(42, 5, cq.Vector(0, 0, 6)))
    wheel = hub.union(spokes).union(rim)
    return wheel.cut(cq.Workplane().rect(8 + 2 * GAP, 8 + 2 * GAP).extrude(12))


def wheel_washer() -> cq.Workplane:
    """Washer under the wheel nut."""
    return _bored(_round((8, 1.6)), (3 + GAP, 0, 2))


def wheel_nut() -> cq.Workplane:
    """Nut that holds the handwheel."""
    return _hexagon(10, 5, 3 + GAP)


STEM_Z = 14.0
"""Where the stem stands, its end upwards, with the plug on its seat."""
BONNET_Z = 54.0
PARTS: tuple[tuple[str, str, str, tuple[tuple[float, float, float], ...]], ...] = (
    ("Body", "body", "#7f95a6", ((0, 0, 0),)),
    ("Seat ring", "seat_ring", "#c9c2ae", ((0, 0, 20),)),
    ("Seat O-ring", "seat_oring", "#333333", ((0, 0, 26.7),)),
    ("Stem", "stem", "#c4c9ce", ((0, 0, STEM_Z),)),
    ("Plug", "plug", "#c9c2ae", ((0, 0, STEM_Z + 14),)),
    ("Plug washer", "plug_washer", "#c4c9ce", ((0, 0, STEM_Z + 12),)),
    ("Plug nut", "plug_nut", "#c4c9ce", ((0, 0, STEM_Z + 6),)),
    ("Bonnet", "bonnet", "#7f95a6", ((0, 0, BONNET_Z),)),
    ("Bonnet O-ring", "bonnet_oring", "#333333", ((0, 0, BONNET_Z + 6.7),)),
    ("Bonnet screw", "bonnet_screw", "#c4c9ce", tuple((x, y, BONNET_Z + 24) for x, y in SCREWS)),
    ("Packing ring", "packing_ring", "#e9e4d8", tuple((0, 0, BONNET_Z + 40 + 4.01 * n) for n in range(3))),
    ("Gland stud", "gland_stud", "#c4c9ce", tuple((x, y, BONNET_Z + 44) for x, y in STUDS)),
    ("Gland follower", "gland", "#c9c2ae", ((0, 0, BONNET_Z + 52.05),)),
    ("Gland nut", "gland_nut", "#c4c9ce", tuple((x, y, BONNET_Z + 68.05) for x, y in STUDS)),
    ("Handwheel", "handwheel", "#a04038", ((0, 0, STEM_Z + 136),)),
    ("Wheel washer", "wheel_washer", "#c4c9ce", ((0, 0, STEM_Z + 148),)),
    ("Wheel nut", "wheel_nut", "#c4c9ce", ((0, 0, STEM_Z + 149.6),)),
)


def lift_valve() -> cq.Assembly:
    """Return the valve as the CAD kernel's assembly, equal parts as instances."""
    whole = cq.Assembly(name="Lift valve")
    for name, maker, colour, at in PARTS:
        solid = globals()[maker]()
        for n, (x, y, z) in enumerate(at, start=1):
            called = name if len(at) == 1 else f"{name} {n}"
            r, g, b = (int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
            whole.add(solid, name=called, loc=cq.Location(cq.Vector(x, y, z)), color=cq.Color(r, g, b))
    return whole


SOFT: dict[str, tuple[float, float]] = {
    "seat_oring_pressed": (18.7, 1.27),
    "seat_oring_on_its_way": (21.3, 1.27),
    "bonnet_oring_pressed": (22.7, 1.27),
    "bonnet_oring_on_its_way": (25.3, 1.27),
}
"""Further shapes of the O-rings: radius of the ring, half its section, mm."""


def shipped_parts() -> dict[str, cq.Shape]:
    """Return the solids that the shipped example has as files, by the names of these."""
    made = {maker: globals()[maker]().val() for _, maker, _, _ in PARTS}
    return made | {name: cq.Solid.makeTorus(*radii) for name, radii in SOFT.items()}


if __name__ == "__main__":
    target = Path(sys.argv[1])
    if target.is_dir():
        from benchleaf.geometry.exchange.assemblies.step_parts import step_of_solid

        for name, solid in shipped_parts().items():
            (target / f"{name}.step").write_bytes(step_of_solid(solid, name))
    else:
        lift_valve().export(str(target))
