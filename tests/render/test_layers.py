"""Layers come in the order in which parts leave to the front; equal parts are one layer where none covers another."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest
from benchleaf.geometry.frame import Place
from benchleaf.render.composition.explode import overview_view
from benchleaf.render.composition.layers import is_slim, make_layers
from benchleaf.render.engine.camera import make_view
from benchleaf.render.engine.part_models import PartModels
from benchleaf.render.pictures.studio import Studio
from sample_assembly import SMALL, pinned_models, sample_models

GIVEN = ("housing", "shaft_drive", "shaft_driven")


@pytest.fixture(scope="module", name="studio")
def _studio() -> Iterator[Studio]:
    with Studio(sample_models(), SMALL) as studio:
        yield studio


def order_of(studio: Studio, together: tuple[str, ...] = GIVEN) -> list[tuple[str, ...]]:
    layers = make_layers(studio.stage, overview_view(studio.models), together)
    assert sorted(k for layer in layers for k in layer.keys) == sorted(studio.models.parts)
    return [layer.keys for layer in layers]


def test_each_layer_leaves_to_the_front_past_none_after_it(studio: Studio) -> None:
    order = order_of(studio)
    assert order[0] == GIVEN, "what is not taken apart comes first"
    number = {k: n for n, keys in enumerate(order) for k in keys}
    before = [
        ("oring_drive", "seat_drive"),
        ("seat_drive", "body"),
        ("body", "rotor_drive"),
        ("rotor_drive", "nut_drive"),
        ("nut_drive", "cover"),
        ("cover_oring", "cover"),
        ("cover", "cover_nut_1"),
    ]
    for first, later in before:
        assert number[first] < number[later], (first, later)


def test_equal_parts_are_one_layer_unless_they_cover_each_other(studio: Studio) -> None:
    order = order_of(studio)
    assert ("cover_nut_1", "cover_nut_2", "cover_nut_3", "cover_nut_4") in order
    models = studio.models
    along = make_view("along the row", 90.0, 0.0, models.front, models.up)
    keys = [layer.keys for layer in make_layers(studio.stage, along, GIVEN)]
    assert ("seat_drive",) in keys, "seen along their row the twins cover each other"
    assert ("seat_driven",) in keys


def test_all_kept_together_would_leave_nothing_to_take_apart(studio: Studio) -> None:
    assert order_of(studio, tuple(studio.models.parts)) == order_of(studio, ())


def test_dowels_go_before_the_part_they_stand_out_of_and_screws_after_it() -> None:
    with Studio(pinned_models(), SMALL) as studio:
        order = [keys[0] for keys in order_of(studio)]
    assert order.index("dowel_1") < order.index("body") < order.index("screw_1")


def turned(models: PartModels, key: str) -> PartModels:
    """Return the models with one part laid across the front direction."""
    part = models.parts[key]
    place = Place.turn(90.0, (1.0, 0.0, 0.0)) @ part.place
    return replace(models, parts={**models.parts, key: replace(part, place=place)})


def test_slim_is_longer_along_the_front_than_across() -> None:
    models = sample_models()
    assert is_slim(models, "stud_1")
    assert not is_slim(models, "cover")
    assert not is_slim(turned(models, "stud_1"), "stud_1")
