"""Tools as solids: valid, of the volume that closed forms give, and fitting what they go on."""

from __future__ import annotations

import math

import pytest
from benchleaf.geometry.cad_shapes import hexagon
from benchleaf.geometry.meshes.closed_bodies import make_manifold
from benchleaf.geometry.meshes.tessellation import closed_surface
from benchleaf.geometry.surfaces import Surface
from benchleaf.geometry.tools import bench_tools, gauges, turning_tools
from benchleaf.geometry.tools.tool_measures import KEY_LENGTHS_MM, OVERHANG_MM, tool_measures
from benchleaf.geometry.tools.tool_solids import MAKERS, MEASURES, make_tool, rounded_measures

ROOT3 = math.sqrt(3)
SIZES = {
    "torque wrench": ({"socket": 13.0, "depth": 16.0, "extension": 0.0},
                      {"socket": 55.0, "depth": 50.0, "extension": 125.0},
                      {"hexagon": 8.0, "depth": 5.0, "clear": 60.0, "extension": 0.0}),
    "hexagon key socket": ({"hexagon": 14.0, "depth": 9.0, "clear": 30.0, "extension": 75.0},),
    "socket wrench": ({"socket": 24.0, "depth": 20.0, "extension": 75.0},),
    "open wrench": ({"across": 17.0},),
    "soft block": ({"gap": 22.0, "width": 18.0, "depth": 25.0, "above": 40.0},),
    "soft-faced mallet": ({"face": 40.0},),
    "straightedge": ({"length": 200.0},),
    "feeler blade": ({"thickness": 0.05, "width": 6.0}, {"thickness": 0.03, "width": 6.0, "bent": 12.0}),
    "dial indicator": ({"foot_x": 80.0, "foot_y": 20.0, "foot_z": -60.0, "foot_along": 0.0},
                       {"foot_x": 30.0, "foot_y": -70.0, "foot_z": 90.0, "foot_along": 1.0}),
    "depth gauge": ({"span": 80.0, "depth": 12.0},),
    "caliper": ({"opening": 28.0, "reach": 12.0},),
    "flat plate": ({"width": 90.0},),
    "lifting strap": ({"width": 180.0, "drop": 120.0},),
    "clamp": ({"opening": 60.0},),
}  # fmt: skip
CASES = [(tool, measures) for tool in MAKERS for measures in SIZES.get(tool, ({},))]


@pytest.mark.parametrize(("tool", "measures"), CASES)
def test_a_tool_is_one_valid_solid_fit_for_booleans(tool: str, measures: dict[str, float]) -> None:
    solid = make_tool(tool, measures)
    assert solid.isValid()
    assert len(solid.Solids()) == 1
    points, triangles = closed_surface(solid, 0.05, 30.0)
    assert make_manifold(points, triangles.astype(int), tool).volume() == pytest.approx(
        solid.Volume(), rel=0.02
    )
    # The kinds that touch with a face or a tip begin at their origin.
    least = {"soft block": -25.0, "depth gauge": -12.0, "caliper": -12.0, "lifting strap": -122.5, "clamp": -72.0,
             "lamp": bench_tools.LAMP_OFF_MM}.get(tool, 0.0)  # fmt: skip
    low = -60.0 if tool == "dial indicator" else least
    if measures.get("foot_along") == 1.0:
        low = 0.0
    assert solid.copy().BoundingBox().zmin == pytest.approx(low, abs=1e-6)
    assert len(solid.Faces()) <= 80, "drawn in pictures: few faces"


def test_every_tool_says_its_measures() -> None:
    assert set(SIZES) == set(MEASURES)
    for tool, sizes in SIZES.items():
        assert {tuple(sorted(s)) for s in sizes} <= {tuple(sorted(m)) for m in MEASURES[tool]}, tool
    with pytest.raises(ValueError, match=r"open wrench: measures \['socket'\], allowed are"):
        make_tool("open wrench", {"socket": 17.0})
    with pytest.raises(KeyError, match="hand"):
        make_tool("hand")


def test_equal_measures_give_one_solid() -> None:
    assert make_tool("open wrench", {"across": 17.0}) is make_tool("open wrench", {"across": 17.0 + 1e-5})
    assert rounded_measures({"b": 2, "a": -0.0}) == (("a", 0.0), ("b", 2.0))


@pytest.mark.parametrize("across", [10.0, 24.0, 41.0, 60.0])
def test_a_socket_fits_its_nut_with_the_named_clearance(across: float) -> None:
    depth = 0.8 * across
    wrench = make_tool("torque wrench", {"socket": across, "depth": depth, "extension": 0.0})
    nut = hexagon(across, 0.1, depth - 0.1, chamfer_front=False)
    assert wrench.intersect(nut).Volume() == pytest.approx(0.0, abs=1e-9)
    # Half the clearance on each flat; turned by a corner's width it no longer goes on.
    assert wrench.distance(nut) == pytest.approx(min(turning_tools.SOCKET_CLEARANCE_MM / 2, 0.1), abs=1e-6)
    turned = nut.rotate(nut.Center(), nut.Center() + nut.Center().__class__(0, 0, 1), 15)
    assert wrench.intersect(turned).Volume() > 0.01 * nut.Volume()
    # The hollow is a hexagon of the nut's width and the clearance: its volume is that of the closed form.
    plug = hexagon(across * 1.5, 0.0, depth, chamfer_front=False)
    (free,) = (s for s in plug.cut(wrench).Solids() if s.isInside((0.0, 0.0, depth / 2)))
    assert free.Volume() == pytest.approx(
        ROOT3 / 2 * (across + turning_tools.SOCKET_CLEARANCE_MM) ** 2 * depth, rel=1e-6
    )


@pytest.mark.parametrize("across", [6.0, 14.0])
def test_a_key_fits_its_screw(across: float) -> None:
    measures = {"hexagon": across, "depth": across, "clear": 40.0, "extension": 0.0}
    wrench = make_tool("torque wrench", measures)
    inside = wrench.intersect(hexagon(2 * across, 0.0, across, chamfer_front=False)).Volume()
    narrow = across - turning_tools.SOCKET_CLEARANCE_MM
    assert inside == pytest.approx(ROOT3 / 2 * narrow**2 * across, rel=1e-6)
    low, high = turning_tools.head_span(measures)
    assert low > turning_tools.key_reach(measures)
    assert wrench.copy().BoundingBox().zmax >= high


def test_below_its_head_a_wrench_is_round_and_the_handle_lies_along_x() -> None:
    measures = {"socket": 30.0, "depth": 26.0, "extension": 75.0}
    wrench = make_tool("torque wrench", measures)
    (low, high), radius = turning_tools.head_span(measures), turning_tools.head_radius(measures)
    box = wrench.copy().BoundingBox()
    assert box.xmax == pytest.approx(turning_tools.drive_of(30.0)[1], abs=1e-6)
    assert -box.xmin == pytest.approx(max(radius, turning_tools.socket_radius(30.0)), abs=1e-6)
    assert low < (low + high) / 2 < box.zmax
    assert turning_tools.drive_of(13.0)[0] < turning_tools.drive_of(46.0)[0]


def test_blocks_and_plates_have_the_volume_of_their_measures() -> None:
    block = make_tool("soft block", {"gap": 20.0, "width": 16.0, "depth": 30.0, "above": 35.0})
    bevel = bench_tools.BLOCK_EDGE * 16.0
    top = bevel**2 / 2 * 2 * (20.0 + 16.0) - 4 * bevel**3 / 3
    assert block.Volume() == pytest.approx(20.0 * 16.0 * 65.0 - top, rel=1e-6)
    assert make_tool("flat plate", {"width": 90.0}).Volume() == pytest.approx(90.0**2 * gauges.PLATE_MM)


def test_a_blade_is_as_thick_as_it_says_up_to_its_case() -> None:
    measures = {"thickness": 0.05, "width": 6.0}
    blade = make_tool("feeler blade", measures)
    low = hexagon(200.0, 0.0, gauges.BLADE_LENGTH_MM - 1e-6, chamfer_front=False)
    assert blade.intersect(low).Volume() == pytest.approx(0.05 * 6.0 * gauges.BLADE_LENGTH_MM, rel=1e-6)


def test_an_indicator_stands_on_its_foot() -> None:
    lying = {"foot_x": 30.0, "foot_y": -70.0, "foot_z": 90.0, "foot_along": 1.0}
    solid = make_tool("dial indicator", lying)
    assert solid.copy().BoundingBox().ymin == pytest.approx(-70.0, abs=1e-6)
    assert gauges.foot_normal(lying) == (0.0, 1.0, 0.0)
    assert gauges.foot_normal({**lying, "foot_along": 0.0}) == (0.0, 0.0, 1.0)


def test_measures_follow_the_surface() -> None:
    nut = Surface("hexagon", "hexagon", (0.0, 0.0, 0.0), size_mm=30.0, along_mm=(0.0, 14.0))
    socket = Surface("socket", "socket", (0.0, 0.0, 8.0), size_mm=8.0, along_mm=(-5.0, 0.0))
    face = Surface("front face", "face", (0.0, 0.0, 0.0), radius_mm=(0.0, 40.0))
    wrench = tool_measures("torque wrench", nut, depth_mm=20.0, extension_mm=75.0)
    assert wrench == {"socket": 30.0, "depth": 20.0, "extension": 75.0}
    key = tool_measures("torque wrench", socket, depth_mm=4.5)
    assert key == {"hexagon": 8.0, "depth": 4.5, "clear": KEY_LENGTHS_MM[0], "extension": 0.0}
    assert tool_measures("straightedge", face) == {"length": 80.0 + 2 * OVERHANG_MM}
    assert tool_measures("caliper", face, gap_mm=12.0, depth_mm=6.0) == {"opening": 12.0, "reach": 6.0}
    for tool in MAKERS:
        measures = tool_measures(tool, nut, depth_mm=12.0, gap_mm=20.0, width_mm=16.0)
        assert make_tool(tool, measures).isValid(), tool
