"""Fits: rows of ISO 286-1 typed a second time, the standard's own formulas, and what is left of a running gap."""

from __future__ import annotations

import itertools
import math

import pytest
from benchleaf.geometry.engineering.clearances import SIZE_STEPS, tolerance_mm
from benchleaf.geometry.engineering.figures import by_hand, hand_tolerance
from benchleaf.geometry.engineering.shaft_fits import Fit, deviation_mm, fit_h7, rotor_fit_figures

# Nominal size, mm; limits of H7/g6 and of H7/m6 on diameter, µm, as tables of usual fits print them.
G6 = {
    5: (4, 24),
    8: (5, 29),
    16: (6, 35),
    24: (7, 41),
    36: (9, 50),
    70: (10, 59),
    100: (12, 69),
    150: (14, 79),
}
M6 = {5: (-12, 8), 8: (-15, 9), 16: (-18, 11), 24: (-21, 13), 36: (-25, 16), 70: (-30, 19), 100: (-35, 22)}


@pytest.mark.parametrize(("nominal", "limits"), G6.items())
def test_a_sliding_fit_is_that_of_the_tables(nominal: float, limits: tuple[float, float]) -> None:
    assert fit_h7(nominal, "g") == Fit(limits[0] / 1000, limits[1] / 1000)


@pytest.mark.parametrize(("nominal", "limits"), M6.items())
def test_a_pressed_fit_is_that_of_the_tables(nominal: float, limits: tuple[float, float]) -> None:
    assert fit_h7(nominal, "m") == Fit(limits[0] / 1000, limits[1] / 1000)


def test_deviations_follow_the_formulas_of_the_standard() -> None:
    """2.5 D^0.34 µm below the nominal size for g, D the geometric mean of the step; IT7 less IT6 above it for m."""
    for low, high in itertools.pairwise(SIZE_STEPS):
        mean = math.sqrt(low * high)
        assert -1000 * deviation_mm(high, "g") == pytest.approx(2.5 * mean**0.34, abs=0.75), high
        above = tolerance_mm(high, 7) - tolerance_mm(high, 6)
        assert deviation_mm(high, "m") == pytest.approx(above, abs=0.0011), high
    assert deviation_mm(2.0, "g") == -0.002


@pytest.mark.parametrize("nominal", [0.0, -3.0, 501.0])
def test_sizes_beyond_the_table_are_refused(nominal: float) -> None:
    with pytest.raises(ValueError, match="sizes go up to 500"):
        deviation_mm(nominal, "g")


def test_what_the_play_leaves_of_a_gap() -> None:
    play, radial = rotor_fit_figures(24.0, 0.08, "radial")
    assert play.value == pytest.approx(0.041)
    assert radial.value == pytest.approx(0.08 - 0.0205)
    (mesh,) = rotor_fit_figures(24.0, 0.08, "mesh")
    assert mesh.value == pytest.approx(0.08 - 0.041)
    assert rotor_fit_figures(24.0, 0.08, "front") == ()
    for figure in (play, radial, mesh):
        assert abs(by_hand(figure) - figure.value) <= hand_tolerance(figure)
    assert mesh.judgement == "inside"
    assert rotor_fit_figures(24.0, 0.04, "mesh")[0].judgement == "outside"
