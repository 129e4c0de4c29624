"""The balance ratio of seal faces: against the forces on a ring, and within its limits at every size."""

from __future__ import annotations

import doctest
import math

import pytest
from benchleaf.geometry.engineering import seal_faces as faces
from benchleaf.geometry.engineering.figures import by_hand
from benchleaf.geometry.engineering.seal_faces import SealFace, balance_figure
from benchleaf.geometry.head.calculation_inputs import seal_faces
from stacks import stack_of


def test_examples_in_the_docstrings_hold() -> None:
    assert doctest.testmod(faces).failed == 0


@pytest.mark.parametrize(
    ("bore", "outer", "inner"), [(46.3, 46.2, 40.9), (62.7, 64.0, 58.0), (30.0, 28.0, 24.0)]
)
def test_the_ratio_is_closing_force_over_pressure_on_the_face(
    bore: float, outer: float, inner: float
) -> None:
    """By rings of the pressed areas: behind from any hole to the bore, before it from the hole to the nose."""
    hole, pressure = 20.0, 1.2
    rings = 20_000

    def force(low: float, high: float) -> float:
        """Force on an annulus between two diameters, ring by ring, N."""
        width = (high - low) / 2 / rings
        return sum(pressure * 2 * math.pi * (low / 2 + (k + 0.5) * width) * width for k in range(rings))

    closing = force(hole, bore) - force(hole, inner)
    figure = balance_figure(SealFace("stationary_ring", bore, outer, inner))
    assert figure.value == pytest.approx(closing / force(inner, outer), rel=1e-6)
    assert by_hand(figure) == pytest.approx(figure.value, rel=0.005)


def test_a_nose_within_the_bore_is_closed_the_more_tightly() -> None:
    wide = balance_figure(SealFace("r", 46.0, 46.0, 40.0))
    narrow = balance_figure(SealFace("r", 46.0, 43.0, 37.0))
    assert (wide.judgement, narrow.judgement) == ("inside", "outside")
    assert narrow.value > wide.value == pytest.approx(1.0)


@pytest.mark.parametrize("centre", [45.0, 62.0, 80.0, 118.0, 220.0, 300.0])
def test_usual_faces_are_balanced_at_every_size(centre: float) -> None:
    found = seal_faces(stack_of(centre, seal="double"))
    assert [f.key for f in found] == ["stationary_ring", "atmosphere_ring"]
    for face in found:
        assert 1.0 < balance_figure(face).value < 1.05
        width = (face.outer_mm - face.inner_mm) / 2
        assert width == pytest.approx(1.95 + 0.009 * centre)
        assert width >= 2.0
    assert seal_faces(stack_of(centre)) == found[:1]
