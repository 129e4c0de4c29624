"""Turned over: of two equal parts that are looked at on both sides, one shows the other side."""

from __future__ import annotations

import numpy as np
import pytest
from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.frame import Place
from benchleaf.render.acts.turned_over import turned_over
from benchleaf.render.acts.zones import aims_of
from benchleaf.render.drawing.settings import PictureSettings
from benchleaf.render.engine.part_models import PartModels
from benchleaf.render.pictures.studio import models_of
from benchleaf.sequences.steps.operations import Operation, SurfaceOf
from head_proofs import head_of


@pytest.fixture(scope="module")
def models() -> PartModels:
    return models_of(head_of(Options(), 64.0), PictureSettings())


def look(models: PartModels, part: str, *surfaces: str, verb: str = "look") -> dict[str, Place]:
    both = [SurfaceOf(f"{part}_{side}", s) for side in ("drive", "driven") for s in surfaces]
    places = {f"{part}_{side}": models.parts[f"{part}_{side}"].place for side in ("drive", "driven")}
    aims = aims_of([Operation(verb, "hand", tuple(both))], models)  # type: ignore[arg-type]
    return turned_over(models, places, aims)


def test_the_second_of_two_shows_its_back(models: PartModels) -> None:
    assert look(models, "rotor", "front face") == {}
    assert look(models, "rotor", "front face", "rear face", verb="press") == {}, "not looked at"
    ((key, place),) = look(models, "rotor", "front face", "rear face").items()
    assert key == "rotor_driven"
    part = models.parts["rotor_driven"]
    assert np.allclose(place.direction((0.0, 0.0, 1.0)), (0.0, 0.0, -1.0))
    # About its own middle: it takes up the room that it had.
    assert np.allclose(np.array(part.box(place)).mean(axis=0), np.array(part.box()).mean(axis=0), atol=1e-6)


def test_a_part_that_has_no_equal_stays(models: PartModels) -> None:
    body = [Operation("look", "hand", (SurfaceOf("body", "front face"), SurfaceOf("body", "rear face")))]
    assert turned_over(models, {"body": models.parts["body"].place}, aims_of(body, models)) == {}
