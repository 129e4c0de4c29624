"""Two plates and a nut on a plate, with named surfaces, operations and a wrench: for tests of pictures of acts."""

from __future__ import annotations

from dataclasses import replace

import cadquery as cq
from benchleaf.geometry.assembly import Assembly, Part
from benchleaf.geometry.frame import Place
from benchleaf.geometry.surfaces import Surface
from benchleaf.render.drawing.settings import PictureSettings
from benchleaf.sequences.reach.tool_places import ToolInPlace
from benchleaf.sequences.steps.operations import Operation, SurfaceOf, Tool, Verb
from benchleaf.sequences.steps.plan import Step
from sample_solids import solid_of

SMALL = PictureSettings(width=400, height=300, supersample=2, measure_width=400, film_frames=0)
FACE = Surface("front face", "face", (0.0, 0.0, 10.0), radius_mm=(0.0, 200.0))
RING = Surface("seat", "face", (0.0, 0.0, 10.0), radius_mm=(10.0, 20.0))
BACK = Surface("rear face", "face", (0.0, 0.0, 0.0), (0.0, 0.0, -1.0))
HEXAGON = Surface(
    "hexagon", "hexagon", (0.0, 0.0, 8.0), size_mm=17.0, radius_mm=(8.0, 10.0), along_mm=(-8.0, 0.0)
)
THREAD = Surface("flats", "flats", (0.0, 0.0, 8.0), radius_mm=(8.0, 10.0), along_mm=(-8.0, 0.0))


def act_assembly() -> Assembly:
    """Return a plate 100 x 80 x 10 with two hexagons on it."""
    plate = solid_of(cq.Workplane("XY").box(100, 80, 10, centered=(True, True, False)))
    nut = solid_of(cq.Workplane("XY").polygon(6, 20).extrude(8))
    parts = [
        Part("plate", "plate", "Plate", "316L", plate, surfaces=(FACE, RING, BACK)),
        *(
            Part(f"nut_{n}", "nut", "Nut", "316L", nut, Place.at(x, 20, 10), surfaces=(HEXAGON, THREAD))
            for n, x in ((1, -30), (2, 30))
        ),
    ]
    return Assembly("bench", {p.key: p for p in parts})


def step_with(*operations: Operation, number: int = 1, **more: object) -> Step:
    """Return a step that looks at the plate, with ``operations``."""
    step = Step(number, f"s{number}", "a", "Look", ("plate", "nut_1", "nut_2"), focus=("plate",))
    return replace(step, operations=operations, **more)  # type: ignore[arg-type]


def on(verb: Verb, part: str, *surfaces: str, tool: Tool = "hand") -> Operation:
    """Return an operation on surfaces of a part."""
    return Operation(verb, tool, tuple(SurfaceOf(part, s) for s in surfaces))


def wrench(
    step: int = 1, swing_deg: float = 60.0, label: str = "", nut: int = 1, operation: int = 0
) -> ToolInPlace:
    """Return a wrench on a nut, its handle along +X and up from there."""
    x = -30.0 if nut == 1 else 30.0
    place = Place.at(x, 20.0, 18.0)
    at = SurfaceOf(f"nut_{nut}", "hexagon")
    return ToolInPlace(
        step, operation, at, "torque wrench", (("socket", 17.0),), place, swing_deg, label=label
    )


def make_wrench(tool: str, measures: object) -> cq.Shape:
    """Return a plain wrench: a socket with a handle 60 long."""
    handle = cq.Workplane("XY").box(60, 8, 8, centered=(False, True, False)).translate((0, 0, 12))
    return solid_of(cq.Workplane("XY").circle(12).extrude(20).union(handle))
