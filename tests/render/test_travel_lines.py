"""Each unit has its arrow; arrows along one line are one, and one that leads out of an inset ends at its rim."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest
from benchleaf.render.composition.travel_lines import (
    RIM,
    Line,
    arrow_groups,
    joined_lines,
    travel_lines,
    within_disc,
)
from benchleaf.render.composition.views import scene_points
from benchleaf.render.drawing.arrows import OverlayCanvas, draw_arrow
from benchleaf.render.engine.camera import fit_camera, sensible_views
from benchleaf.render.pictures.studio import Studio
from benchleaf.sequences.steps.plan import Leg, Move
from PIL import Image
from sample_assembly import SMALL, sample_models, sample_plan

VIEW = sensible_views((0.0, 0.0, 1.0), (0.0, 1.0, 0.0))[0]


@pytest.fixture(scope="module", name="studio")
def _studio() -> Iterator[Studio]:
    with Studio(sample_models(), SMALL) as studio:
        yield studio


def _line(*ends: tuple[float, float]) -> Line:
    """Return a line of 101 points between two ends."""
    points = np.column_stack([np.linspace(ends[0], ends[1], 101), np.zeros(101)])
    return Line(points, np.ones(101, dtype=bool), ("part",), np.zeros(101, dtype=bool))


def test_an_arrow_that_leads_out_of_a_disc_ends_at_its_rim() -> None:
    cut = within_disc(_line((0.4, 0.5), (1.4, 0.5)), 0.1)
    assert cut.points[0, 0] == 0.4
    assert cut.points[-1, 0] == pytest.approx(0.5 + 0.5 - RIM * 0.1, abs=0.011)
    assert len(cut.seen) == len(cut.points)
    through = within_disc(_line((-0.4, 0.6), (1.4, 0.6)), 0.1)
    assert np.hypot(*(through.points[-1, :2] - 0.5)) < 0.5 - RIM * 0.1
    assert through.points[-1, 0] > 0.9


@pytest.mark.parametrize(
    "ends", [((-0.2, 0.5), (0.6, 0.5)), ((0.9, 0.5), (1.9, 0.5)), ((0.0, 0.0), (1.0, 0.02))]
)
def test_it_stays_whole_where_it_ends_inside_or_too_little_would_be_left(
    ends: tuple[tuple[float, float], tuple[float, float]],
) -> None:
    line = _line(*ends)
    assert within_disc(line, 0.1) is line


def test_arrows_along_one_line_are_one_that_ends_where_the_farthest_does() -> None:
    hidden = replace(_line((0.5, 0.5), (0.8, 0.5)), seen=np.zeros(101, dtype=bool), keys=("washer",))
    (one,) = joined_lines([_line((0.2, 0.5), (0.6, 0.5)), hidden], (1000, 1000), 36.0)
    np.testing.assert_allclose(one.points[[0, -1], 0], [0.2, 0.8])
    assert one.keys == ("part", "washer")
    assert one.seen[one.points[:, 0] < 0.49].all()
    assert not one.seen[one.points[:, 0] > 0.51].any()  # what either has hidden stays so
    (same,) = joined_lines([hidden, _line((0.2, 0.5), (0.6, 0.5))], (1000, 1000), 36.0)
    np.testing.assert_array_equal(same.seen, one.seen)


@pytest.mark.parametrize(
    "other",
    [
        ((0.2, 0.55), (0.6, 0.55)),  # beside it
        ((0.6, 0.5), (0.2, 0.5)),  # against it
        ((0.65, 0.5), (0.9, 0.5)),  # after it
        ((0.2, 0.5), (0.6, 0.6)),  # at an angle
    ],
)
def test_other_arrows_stay_apart(other: tuple[tuple[float, float], tuple[float, float]]) -> None:
    lines = [_line((0.2, 0.5), (0.6, 0.5)), _line(*other)]
    assert joined_lines(lines, (1000, 1000), 36.0) == lines


def test_twin_units_have_an_arrow_each_and_a_unit_of_one_largest_part_has_one(studio: Studio) -> None:
    down = (Leg((0.0, 0.0, -1.0)),)
    twins = Move(("seat_drive", "oring_drive", "seat_driven", "oring_driven"), down, group="unit")
    one = Move(("cover", "cover_oring", "cover_nut_1", "cover_nut_2"), down, group="unit")
    step = replace(sample_plan().steps[0], moves=(twins,))
    (travel,) = studio.travels(step)
    assert arrow_groups(studio.models, travel) == [["seat_drive"], ["seat_driven"]]
    (travel,) = studio.travels(replace(step, moves=(one,)))
    assert arrow_groups(studio.models, travel) == [["cover"]]


@pytest.mark.parametrize("into", [True, False])
def test_the_arrow_of_a_travel_with_a_bend_goes_each_leg_and_straight_into_the_seat(
    studio: Studio, into: bool
) -> None:
    """A key is brought in from the front and drops straight down: a line across from where it is drawn would slant."""
    legs = [Leg((0.0, 0.0, -1.0), 12.0), Leg((0.0, -1.0, 0.0), 16.0)]
    back = [Leg((0.0, 1.0, 0.0), 16.0), Leg((0.0, 0.0, 1.0), 12.0)]
    step = replace(
        sample_plan().steps[0], moves=(Move(("cover_nut_1",), tuple(legs if into else back), into),)
    )
    travels = studio.travels(step)
    scene = replace(studio.scene(sample_plan().steps[0]), travels=travels, places=travels[0].drawn)
    camera = fit_camera(VIEW, scene_points(studio.models, scene), 4 / 3)
    ids = studio.stage.ids(scene.places, camera, 200)
    ((_, line),) = travel_lines(studio.models, travels, ids, camera, 1600, 1600)
    assert line.bent
    points = line.points if into else line.points[::-1]
    drop = np.diff(points, axis=0)[-8:, :2]
    assert np.abs(drop[:, 0]).max() < 1e-6, "straight down on the page, as up is up"
    assert (drop[:, 1] > 0).all()
    ends = line.points[-1 if into else 0], travels[0].seats["cover_nut_1"]
    at = camera.project(ends[1].points(studio.models.parts["cover_nut_1"].mesh.extreme_points))
    assert at[:, 0].min() < ends[0][0] < at[:, 0].max(), "it ends over its seat"
    straight = replace(step, moves=(Move(("cover_nut_1",), (Leg((0.0, 0.0, -1.0)),)),))
    assert not any(
        x.bent for _, x in travel_lines(studio.models, studio.travels(straight), ids, camera, 1600, 1600)
    )


def test_what_travels_is_not_crossed_by_its_arrow() -> None:
    """Where the line runs behind the part itself nothing is drawn, neither line nor border; elsewhere it is dashed."""
    covered = np.zeros(101, dtype=bool)
    covered[40:60] = True
    image = Image.new("RGB", (400, 100), (90, 90, 90))
    points = [(20.0 + 3.6 * n, 50.0) for n in range(101)]
    draw_arrow(OverlayCanvas(image), points, ~covered, 7.0, 36.0, (0.0, 0.4, 0.7), covered)
    there = np.asarray(image).astype(int)
    assert (there[:, 172:226] == 90).all()
    assert (there[50, 30:150] != 90).any(axis=1).all()
    assert (there[50, 245:375] != 90).any(axis=1).all()
