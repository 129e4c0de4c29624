"""Zones: which surfaces a step paints, and for what."""

from __future__ import annotations

from dataclasses import replace

import pytest
from acts_samples import act_assembly, on
from benchleaf.render.acts.zones import RANK, TREATMENTS, aims_of, turned_at, zones_of
from benchleaf.render.drawing.settings import PictureSettings
from benchleaf.render.engine.part_models import PartModels
from benchleaf.render.pictures.studio import models_of

MODELS: PartModels = models_of(act_assembly(), PictureSettings())


def painted(*operations: object, moving: bool = False) -> list[tuple[str, str, str]]:
    return [z.key for z in zones_of(operations, MODELS, moving)]  # type: ignore[arg-type]


def test_a_surface_shows_the_treatment_that_says_most_and_each_once() -> None:
    acts = (
        on("clean", "plate", "front face"),
        on("look", "plate", "front face"),
        on("lubricate", "plate", "seat"),
    )
    assert painted(*acts) == [("plate", "front face", "clean"), ("plate", "seat", "lubricate")]
    assert painted(*acts[::-1]) == [("plate", "seat", "lubricate"), ("plate", "front face", "clean")]
    assert set(RANK) == set(TREATMENTS.values())


def test_what_turns_and_what_is_not_there_paints_nothing() -> None:
    assert (
        painted(on("tighten", "nut_1", "hexagon"), on("clean", "plate", "rim"), on("clean", "lid", "rim"))
        == []
    )


def test_what_is_wiped_after_a_nut_is_pulled_tight_is_not_painted() -> None:
    pull = replace(on("tighten", "nut_1", "hexagon"), tool="torque wrench")
    acts = on("clean", "plate", "front face"), on("lubricate", "plate", "seat")
    assert painted(pull, *acts) == [("plate", "seat", "lubricate")]
    assert len(painted(*acts)) == 2


def test_a_small_part_is_painted_whole_and_a_large_one_never() -> None:
    assert painted(on("lubricate", "nut_1", ""), on("clean", "plate", "")) == [("nut_1", "", "lubricate")]


def test_while_parts_move_only_what_is_looked_for_before_they_go_home_is_painted() -> None:
    acts = on("look", "plate", "front face"), on("look", "nut_1", "flats"), on("measure", "plate", "seat")
    assert painted(*acts, on("clean", "plate", "rear face"), moving=True) == [
        ("nut_1", "flats", "look"),
        ("plate", "rear face", "clean"),
    ]


@pytest.mark.parametrize(("verb", "close"), [("tighten", False), ("look", True)])
def test_what_is_painted_is_shown_large(verb: str, close: bool) -> None:
    (aim,) = aims_of([on(verb, "nut_1", "hexagon")], MODELS)  # type: ignore[arg-type]
    assert (aim.key, aim.close_up) == (("nut_1", "hexagon"), close)


def test_where_a_hand_turns_is_no_aim() -> None:
    acts = [on("turn", "plate", "rear face")]
    assert aims_of(acts, MODELS) == ()
    assert [a.key for a in turned_at(acts, MODELS)] == [("plate", "rear face")]
