"""Pins and screws are tied to the part they stand in; parts on one axis are joined by a line."""

from __future__ import annotations

import numpy as np
import pytest
from benchleaf.render.composition.explode import Exploded, explode
from benchleaf.render.composition.explode_axes import hosts_of, kept_with_previous
from benchleaf.render.composition.layers import Layer
from benchleaf.render.pictures.studio import Studio
from sample_assembly import SMALL, pinned_models

GIVEN = ("housing", "shaft_drive", "shaft_driven")
DOWELS, SCREWS = ("dowel_1", "dowel_2"), ("screw_1", "screw_2")


@pytest.fixture(scope="module", name="layout")
def _layout() -> Exploded:
    with Studio(pinned_models(), SMALL) as studio:
        return explode(studio.stage, 1.5, GIVEN)


def test_pins_and_screws_stand_in_the_nearest_part_that_holds_their_axis(layout: Exploded) -> None:
    numbers = {layer.keys[0]: n for n, layer in enumerate(layout.layers)}
    hosts = hosts_of(pinned_models(), layout.layers)
    assert all(hosts[numbers[k]] == numbers["body"] for k in ("dowel_1", "screw_1"))
    shared = {numbers[k] for k in ("seat_drive", "rotor_drive", "cover")}
    assert not shared & set(hosts), "what shares an axis with others needs no host"


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


def test_parts_on_one_axis_share_a_line_that_goes_on_in_the_next_row(layout: Exploded) -> None:
    models = pinned_models()
    keys = ("shaft_drive", "oring_drive", "seat_drive", "rotor_drive", "nut_drive")
    row_of = {
        k: r for r, (b, e) in enumerate(layout.rows) for layer in layout.layers[b:e] for k in layer.keys
    }
    rows = {row_of[k] for k in keys}
    lines = [a for a in layout.axes if abs(a[0, 0] - layout.places["shaft_drive"].shift[0]) < 1e-6]
    assert lines, "the shaft's axis is drawn in the shaft's row"
    for row in rows:
        in_row = [k for k in keys if row_of[k] == row]
        x, y, _ = layout.places[in_row[0]].shift
        (line,) = [a for a in layout.axes if np.allclose(a[0, :2], (x, y - _lift(in_row[0])), atol=0.01)]
        low = min(float(models.parts[k].box(layout.places[k])[0][2]) for k in in_row)
        high = max(float(models.parts[k].box(layout.places[k])[1][2]) for k in in_row)
        assert line[:, 2].min() < low
        assert line[:, 2].max() > high
        beyond = line[:, 2].max() - high
        assert (beyond > 0.1 * models.extent_mm) == any(r > row for r in rows)


def _lift(key: str) -> float:
    """Return by how much a part's middle lies above its shaft's axis."""
    return float(pinned_models().parts[key].place.shift[1])
