"""Hatch patterns tell materials and neighbours apart; their lines fill a face at their spacing."""

from __future__ import annotations

import numpy as np
import pytest
from benchleaf.render.engine.hatching import Hatch, hatch_lines, hatch_of
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import LineString, Polygon, box


def test_hatches_tell_materials_and_neighbours_apart() -> None:
    assert len(hatch_of("FKM", 0).angles_deg) == 2
    assert hatch_of("316L", 0) != hatch_of("316L", 1)
    assert len({hatch_of("316L", n) for n in range(6)}) == 6
    families = [hatch_of(m, 0) for m in ("FKM", "ptfe", "carbon", "316L")]
    assert len(set(families)) == len(families)
    assert hatch_of("unheard-of", 3) == hatch_of("316L", 3), "an unknown material reads as metal"


@given(st.floats(0.0, 180.0), st.floats(0.2, 0.9), st.floats(-40.0, 40.0))
def test_lines_lie_in_the_face_along_their_angle_and_fill_it(
    angle: float, spacing: float, shift: float
) -> None:
    face = box(shift, 0.0, shift + 20.0, 10.0).difference(box(shift + 5.0, 3.0, shift + 9.0, 7.0))
    lines = hatch_lines(face, Hatch((angle,), 2.0), spacing / 2.0)
    run = lines[:, 1] - lines[:, 0]
    length = np.linalg.norm(run, axis=1)
    across = np.array([-np.sin(np.radians(angle)), np.cos(np.radians(angle))])
    np.testing.assert_allclose(run @ across, 0.0, atol=1e-9)
    # On the raster through the origin, so that two faces side by side line up.
    number = lines[:, 0] @ across / spacing
    np.testing.assert_allclose(number, np.round(number), atol=1e-6)
    assert all(face.buffer(1e-6).contains(LineString(line)) for line in lines)
    # Total length times spacing is the area, but for what is lost along its border.
    assert float(length.sum()) * spacing == pytest.approx(face.area, abs=spacing * face.length / 2)


def test_crossed_hatches_have_both_directions() -> None:
    lines = hatch_lines(box(0, 0, 10, 10), Hatch((45.0, 135.0), 1.0), 1.0)
    slope = np.sign((lines[:, 1] - lines[:, 0]).prod(axis=1))
    assert {-1.0, 1.0} == set(slope.tolist())


@pytest.mark.parametrize("face", [Polygon(), box(0.1, 0.1, 0.2, 0.2)])
def test_nothing_to_hatch_gives_no_lines(face: Polygon) -> None:
    assert hatch_lines(face, Hatch((90.0,), 1.0), 5.0).shape == (0, 2, 2)
