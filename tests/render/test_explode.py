"""In the exploded overview pins and screws stay with the part that they stand in, and twins with each other."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import cadquery as cq
import numpy as np
import pytest
from benchleaf.geometry.assembly import Part
from benchleaf.geometry.frame import Place
from benchleaf.render.composition.explode import Exploded, explode
from benchleaf.render.composition.explode_axes import kept_with_previous
from benchleaf.render.composition.explode_rows import even_rows
from benchleaf.render.composition.layers import Layer
from benchleaf.render.engine.part_models import PartModels, make_part_models
from benchleaf.render.pictures.step_pictures import Studio
from sample_assembly import SMALL, STUDS, sample_assembly
from sample_solids import solid_of

GIVEN = ("housing", "shaft_drive", "shaft_driven")
DOWELS, SCREWS = ("dowel_1", "dowel_2"), ("screw_1", "screw_2")


@lru_cache(maxsize=1)
def pinned_models() -> PartModels:
    """Return the sample with dowels through two of the body's holes and screws in the others instead of studs."""
    parts = {k: p for k, p in sample_assembly().parts.items() if p.kind not in ("stud", "cover_nut")}
    dowel = solid_of(cq.Workplane("XY", origin=(0, 0, -6)).circle(5).extrude(72))
    screw = solid_of(cq.Workplane().circle(5).extrude(60).faces(">Z").workplane().circle(8).extrude(9))
    for n in (1, 2):
        for kind, solid, (x, y) in (("dowel", dowel, STUDS[2 * n - 2]), ("screw", screw, STUDS[2 * n - 1])):
            key = f"{kind}_{n}"
            parts[key] = Part(key, kind, kind.title(), "316L", solid, Place.at(x, y, 0))
    return make_part_models(replace(sample_assembly(), parts=parts), 1.0 / 1500.0)


@pytest.fixture(scope="module", name="layout")
def _layout() -> Exploded:
    with Studio(pinned_models(), SMALL) as studio:
        return explode(studio.stage, 1.5, GIVEN)


def test_dowels_stand_before_the_face_by_which_their_part_is_fitted_and_screws_after_it(
    layout: Exploded,
) -> None:
    order = [layer.keys[0] for layer in layout.layers]
    body = order.index("body")
    assert order.index("dowel_1") == body - 1
    assert order.index("screw_1") == body + 1
    (row,) = [(b, e) for b, e in layout.rows if b <= body < e]
    assert row[0] <= body - 1
    assert body + 1 < row[1]


def test_a_line_joins_each_pin_and_screw_with_its_part(layout: Exploded) -> None:
    models = pinned_models()
    low, high = models.parts["body"].box(layout.places["body"])
    for key in (*DOWELS, *SCREWS):
        x, y, _ = layout.places[key].shift
        foot, top = models.parts[key].box(layout.places[key])
        (line,) = [
            a for a in layout.axes if np.allclose(a[0, :2], (x, y), atol=0.05 * models.extent_mm / 100)
        ]
        ends = sorted(line[:, 2].tolist())
        assert ends[0] < foot[2]
        assert ends[1] > top[2] if key in SCREWS else ends[1] >= (low[2] + high[2]) / 2
        assert ends[0] <= (low[2] + high[2]) / 2


def test_twins_and_what_pins_stand_in_are_not_parted_by_the_end_of_a_row() -> None:
    groups = (
        ("housing",),
        DOWELS,
        ("key_drive",),
        ("body",),
        ("rotor_drive",),
        ("rotor_driven",),
        ("cover",),
    )
    layers = [Layer(keys, float(n)) for n, keys in enumerate(groups)]
    assert kept_with_previous(pinned_models(), layers, {1: 3}) == {2, 3, 5}


def test_no_row_begins_with_what_is_kept_with_previous() -> None:
    boxes = [(10 * n, 0, 10 * n + 9, 9) for n in range(6)]
    assert even_rows(boxes, 2) == [(0, 3), (3, 6)]
    assert even_rows(boxes, 2, {3}) in ([(0, 2), (2, 6)], [(0, 4), (4, 6)])
    assert even_rows(boxes, 1, {1, 2, 3, 4, 5}) == [(0, 6)]
