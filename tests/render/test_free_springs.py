"""Springs that nothing presses are drawn as high as they are free, standing on their seats, and read as wavy rings."""

from __future__ import annotations

import numpy as np
import pytest
from benchleaf.geometry.assembly import Assembly, Part
from benchleaf.geometry.frame import Floats, Place
from benchleaf.geometry.parts.rings import torus, wave_spring
from benchleaf.render.composition.drawn_travel import DrawnTravel, Neighbours, drawn_travels
from benchleaf.render.composition.free_springs import FreeSprings
from benchleaf.render.engine.part_models import PartModels, make_part_models
from benchleaf.sequences.steps.plan import Leg, Move, Step

INNER, OUTER, HEIGHT, STRIP, WAVES, FREE = 16.0, 19.0, 3.75, 0.25, 6, 6.75
DOWN = (Leg((0.0, 0.0, -1.0), 30.0),)


@pytest.fixture(scope="module", name="models")
def _models() -> PartModels:
    solid, springy = wave_spring(INNER, OUTER, HEIGHT, STRIP, WAVES, FREE)
    parts = {
        "spring": Part("spring", "spring", "Spring", "1.4310", solid, Place.at(0, 0, 20), elastic=springy),
        "turned": Part(
            "turned", "spring", "Spring", "1.4310", solid, Place.at(80, 0, 20) @ Place.turn(180.0, (1, 0, 0)),
            elastic=springy,
        ),
        "ring": Part("ring", "ring", "Ring", "carbon", torus(17.5, 2.0, 30.0), Place()),
    }  # fmt: skip
    return make_part_models(Assembly("springs", parts))


def _travels(models: PartModels, *moves: Move) -> tuple[DrawnTravel, ...]:
    step = Step(1, "fit", "s", "Fit", (), moves)
    return drawn_travels(models, step, {m.key: m.place for m in models}, Neighbours(models))


def _along(models: PartModels, key: str, points: Floats) -> Floats:
    return models.parts[key].place.points(points)[:, 2]


@pytest.mark.parametrize("key", ["spring", "turned"])
def test_a_spring_on_its_way_is_as_high_as_it_is_free_and_stands_on_its_seat(
    models: PartModels, key: str
) -> None:
    (free,) = FreeSprings(models).of_travels(_travels(models, Move((key,), DOWN)))
    pressed = _along(models, key, models.parts[key].mesh.points)
    stands = _along(models, key, free.mesh.points)
    assert np.ptp(pressed) == pytest.approx(HEIGHT, abs=0.1)
    assert np.ptp(stands) == pytest.approx(FREE, abs=0.1)
    assert stands.min() == pytest.approx(pressed.min(), abs=1e-6), "it rises from where it sits"


def test_it_reads_as_a_wavy_ring(models: PartModels) -> None:
    """As many crests as it has waves, told by enough corners, its strip as wide and about as thick as before."""
    (free,) = FreeSprings(models).of_travels(_travels(models, Move(("spring",), DOWN)))
    points = free.mesh.points
    radius = np.hypot(points[:, 0], points[:, 1])
    rim = points[radius > OUTER - 0.02]
    angle = np.degrees(np.arctan2(rim[:, 1], rim[:, 0])) % 360.0
    order = np.argsort(angle)
    heights = np.interp(np.arange(0.0, 360.0, 0.5), angle[order], rim[order, 2], period=360.0)
    spectrum = np.abs(np.fft.rfft(heights - heights.mean()))
    assert int(spectrum.argmax()) == WAVES
    assert spectrum[WAVES] > 5 * np.delete(spectrum, WAVES).max(), "a plain wave"
    assert len(np.unique(np.round(angle, 1))) >= 14 * WAVES, "no straight sides between crests"
    assert (radius.min(), radius.max()) == (pytest.approx(INNER, abs=0.05), pytest.approx(OUTER, abs=0.05))
    rise = np.ptp(heights) / np.ptp(points[:, 2])
    assert rise > 0.85, "nearly all its height is wave"


def test_what_travels_with_what_holds_it_stays_pressed_and_others_are_none(models: PartModels) -> None:
    springs = FreeSprings(models)
    assert springs.of_travels(_travels(models, Move(("spring", "ring"), DOWN, group="unit"))) == []
    assert springs.of_travels(_travels(models, Move(("ring",), DOWN))) == []
    one, same = (springs.of_travels(_travels(models, Move(("spring",), DOWN))) for _ in range(2))
    assert one[0] is same[0], "what is drawn of it is remembered"
