"""Drawing helpers over the CAD kernel: closed forms, and errors that say part, feature and reason."""

from __future__ import annotations

import math
import pickle

import cadquery as cq
import pytest
from benchleaf.geometry.cad_shapes import (
    SolidError,
    cross_cylinder,
    cut,
    cylinder,
    hexagon,
    join,
    prism,
    rounded,
    stadium,
    threaded,
    tube,
    turned,
    valid_solid,
)


def box_of(solid: cq.Shape) -> tuple[float, ...]:
    b = solid.copy().BoundingBox()
    return (b.xmin, b.xmax, b.ymin, b.ymax, b.zmin, b.zmax)


def test_turned_outline_has_the_volume_of_its_cone() -> None:
    assert turned([(0, 0), (3, 0), (0, 4)]).Volume() == pytest.approx(math.pi * 9 * 4 / 3)


def test_cylinder_with_and_without_bevels() -> None:
    plain = cylinder(5, 1, 11, 2, -3)
    assert plain.Volume() == pytest.approx(math.pi * 250)
    assert box_of(plain) == pytest.approx((-3, 7, -8, 2, 1, 11), abs=1e-6)
    bevelled = cylinder(5, 1, 11, 2, -3, chamfer=1)
    # Each bevel leaves a cone's frustum of radii 4 and 5 in place of a cylinder of height 1.
    lost = 2 * math.pi * (25 - (25 + 20 + 16) / 3)
    assert plain.Volume() - bevelled.Volume() == pytest.approx(lost)
    assert box_of(bevelled) == pytest.approx(box_of(plain), abs=1e-6)


def test_cylinder_across() -> None:
    assert box_of(cross_cylinder(2, (1, 0, 5), (0, -1, 0), 10)) == pytest.approx(
        (-1, 3, -10, 0, 3, 7), abs=1e-6
    )


def test_tube_prism_and_stadium() -> None:
    assert tube(5, 3, 0, 2).Volume() == pytest.approx(math.pi * 32)
    assert prism([(0, 0), (4, 0), (0, 3)], 1, 3).Volume() == pytest.approx(12)
    strip = stadium(10, 4, 0, 2)
    assert strip.Volume() == pytest.approx(2 * (math.pi * 16 + 20 * 8))
    assert box_of(strip) == pytest.approx((-14, 14, -4, 4, 0, 2), abs=1e-6)


@pytest.mark.parametrize("chamfered", [True, False])
def test_hexagon_has_its_flats_up_and_down(chamfered: bool) -> None:
    nut = hexagon(24, 0, 10, chamfer_front=chamfered)
    assert box_of(nut)[2:] == pytest.approx((-12, 12, 0, 10), abs=1e-6)
    full = 10 * 24**2 * math.sqrt(3) / 2
    assert nut.Volume() == pytest.approx(full, rel=0.02)
    assert (nut.Volume() < full - 1) == chamfered


def test_thread_stays_between_its_root_and_its_nominal_radius() -> None:
    points = threaded(8.0, 2.0, 1.0, 21.0)
    radii, heights = [r for r, _ in points], [z for _, z in points]
    assert (heights[0], heights[-1]) == (1.0, 21.0)
    assert heights == sorted(heights)
    assert max(radii) == pytest.approx(8.0 - 0.05 * 2)
    assert min(radii) == pytest.approx(8.0 - 0.55 * 2)
    assert sum(r == max(radii) for r in radii) == 2 * 10  # one ring a pitch
    assert threaded(8.0, 2.0, 0.0, 0.5)[-1][1] == 0.5


def test_joined_solids_are_one_without_seams() -> None:
    one = join(cylinder(5, 0, 3), [cylinder(5, 3, 6)], "part", "feature")
    assert len(one.Faces()) == 3
    assert one.Volume() == pytest.approx(math.pi * 150)


def test_what_is_no_single_solid_is_told_with_part_and_feature() -> None:
    with pytest.raises(SolidError, match=r"^body, ears: 2 solids instead of one$"):
        join(cylinder(1, 0, 1), [cylinder(1, 0, 1, x=5)], "body", "ears")
    with pytest.raises(SolidError, match=r"^nut, bore: 0 solids instead of one$"):
        cut(cylinder(1, 0, 1), [cylinder(2, -1, 2)], "nut", "bore")
    with pytest.raises(SolidError, match=r"^cover, pad: the kernel gave Vector$"):
        valid_solid(cq.Vector(), "cover", "pad")
    with pytest.raises(SolidError, match="the solid has no volume"):
        valid_solid(cq.Solid(cylinder(1, 0, 1).wrapped.Reversed()), "key", "bar")


def test_an_error_comes_back_whole_from_another_process() -> None:
    error = pickle.loads(pickle.dumps(SolidError("body", "ports", "no volume")))
    assert (error.part, error.feature, error.reason, str(error)) == (
        "body", "ports", "no volume", "body, ports: no volume",
    )  # fmt: skip


def test_rounds_that_the_kernel_cannot_make_are_left_out() -> None:
    plate = prism([(0, 0), (20, 0), (20, 20), (0, 20)], 0, 4)
    top = [e for e in plate.Edges() if e.BoundingBox().zmin > 3.9]
    small = rounded(plate, top, 1.0, "case", "rounds")
    assert len(small.Faces()) > len(plate.Faces())
    assert small.isValid()
    half = rounded(plate, top, 6.0, "case", "rounds")  # 6 mm is more than the plate is thick, 3 mm is not
    assert half.isValid()
    assert half.Volume() == pytest.approx(rounded(plate, top, 3.0, "case", "rounds").Volume())
    assert rounded(plate, top, 50.0, "case", "rounds") is plate
