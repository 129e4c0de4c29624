"""Callouts: no leader crosses another or a label, no label lies on another, each ends on its part."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from benchleaf.render.drawing.callouts import (
    NoRoomForCallouts,
    crossings,
    hits,
    least_assignment,
    place_callouts,
)
from benchleaf.render.drawing.manifest import CameraSeen, Manifest, OrderSeen, PartSeen
from benchleaf.site.pages.callouts import WIDTHS as WIDTHS_PX
from benchleaf.site.pages.callouts import Item, best_seen, make_overlays, review_callouts
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linear_sum_assignment

COORDINATE = st.integers(20, 980).map(lambda n: n / 1000.0)
ANCHORS = st.lists(st.tuples(COORDINATE, COORDINATE), min_size=1, max_size=34, unique=True)
WIDTHS = st.sampled_from([(390.0, 280.0), (820.0, 560.0), (1600.0, 1000.0)])


@settings(deadline=None, max_examples=150)
@given(ANCHORS, WIDTHS)
def test_no_leader_crosses_and_no_label_overlaps(
    spots: list[tuple[float, float]], picture: tuple[float, float]
) -> None:
    label = (24.0, 22.0)
    anchors = {str(n): spot for n, spot in enumerate(spots, 1)}
    placed = place_callouts(anchors, picture, label)
    assert [c.key for c in placed] == list(anchors)
    assert crossings(placed) == []
    size = np.array(picture)
    for a, b in combinations(placed, 2):
        apart = np.abs((np.array(a.label) - np.array(b.label)) * size)
        assert (apart >= np.array(label) - 1e-6).any(), (a, b)
    for c in placed:
        assert c.anchor == anchors[c.key]
        # The label lies wholly outside the picture, the leader wholly inside: they cannot meet.
        x, y = np.array(c.label) * size
        outside = (
            x <= -label[0] / 2
            or x >= size[0] + label[0] / 2
            or y <= -label[1] / 2
            or y >= size[1] + label[1] / 2
        )
        assert outside
        assert all(-1e-9 <= p <= 1 + 1e-9 for p in c.port)


@settings(deadline=None, max_examples=80)
@given(ANCHORS.filter(lambda a: len(a) < 9), st.lists(st.tuples(COORDINATE, COORDINATE), max_size=6))
def test_leaders_keep_off_numbers_in_the_picture_without_crossing(
    spots: list[tuple[float, float]], numbers: list[tuple[float, float]]
) -> None:
    picture, anchors = (820.0, 560.0), {str(n): spot for n, spot in enumerate(spots)}
    usual = place_callouts(anchors, picture, (24.0, 22.0))
    placed = place_callouts(anchors, picture, (24.0, 22.0), avoid=numbers)
    assert crossings(placed) == []
    assert hits(placed, numbers, picture) <= hits(usual, numbers, picture)


def test_a_leader_goes_round_a_number_that_stands_in_its_way() -> None:
    anchors, number, picture = {"1": (0.5, 0.6)}, (0.5, 0.85), (400.0, 300.0)
    assert hits(place_callouts(anchors, picture, (24, 24)), [number], picture) == 1
    assert hits(place_callouts(anchors, picture, (24, 24), avoid=[number]), [number], picture) == 0


def test_of_numbered_parts_the_one_at_the_border_is_pointed_to() -> None:
    camera = CameraSeen("front", (0.0, 0.0, 1.0), (0.0, 1.0, 0.0), (0.0, 0.0, 0.0), 100.0)
    spots = {"inner": (0.5, 0.5), "outer": (0.5, 0.8), "hidden": (0.5, 0.98)}
    seen = {"inner": 300, "outer": 200, "hidden": 20}
    parts = {k: PartSeen("focus", seen[k], None, at, None) for k, at in spots.items()}
    plain = Manifest("step", "", 1, {}, 800, 600, camera, False, parts)
    assert best_seen(plain, list(spots)) == "inner"
    order = tuple(OrderSeen(str(n), k, at) for n, (k, at) in enumerate(spots.items(), 1))
    assert best_seen(replace(plain, order=order), list(spots)) == "outer"


@settings(deadline=None, max_examples=60)
@given(st.integers(1, 12), st.integers(0, 8), st.integers(0, 10_000))
def test_assignment_is_the_least(rows: int, spare: int, seed: int) -> None:
    cost = np.random.default_rng(seed).random((rows, rows + spare))
    found = least_assignment(cost)
    assert len(set(found)) == rows
    best = cost[linear_sum_assignment(cost)].sum()
    assert cost[np.arange(rows), found].sum() == pytest.approx(best)


def test_labels_stand_squarely_over_their_parts_where_there_is_room() -> None:
    placed = place_callouts({"1": (0.3, 0.2), "2": (0.5, 0.2), "3": (0.7, 0.3)}, (900, 600), (26, 24))
    assert [c.port for c in placed] == [(0.3, 0.0), (0.5, 0.0), (0.7, 0.0)]


def test_crowded_labels_keep_their_order() -> None:
    anchors = {str(n): (0.5 + 0.001 * n, 0.1) for n in range(8)}
    placed = place_callouts(anchors, (900, 600), (26, 24), bands=("top",))
    assert [c.port[0] for c in placed] == sorted(c.port[0] for c in placed)


def test_too_many_labels_are_refused_with_the_number_that_fits() -> None:
    anchors = {str(n): (0.1 + 0.02 * n, 0.5) for n in range(30)}
    with pytest.raises(NoRoomForCallouts, match=r"30 labels of 40 x 24 px, room for 9"):
        place_callouts(anchors, (400, 300), (40, 24), bands=("top",))


def test_crossings_are_found() -> None:
    placed = place_callouts({"1": (0.2, 0.4), "2": (0.8, 0.4)}, (400, 300), (24, 24), bands=("top",))
    swapped = [replace(placed[0], port=placed[1].port), replace(placed[1], port=placed[0].port)]
    assert crossings(swapped) == [("1", "2")]


def test_a_width_without_room_gets_no_layout_and_is_told() -> None:
    near = [Item(str(n), f"Part {n}", (0.1 + 0.01 * n, 0.5)) for n in range(1, 61)]
    overlays = make_overlays(near, 1600, 1200)
    laid_out = [at for o in overlays for at in o.widths]
    assert 0 < len(laid_out) < len(WIDTHS_PX)
    assert tuple(laid_out) == WIDTHS_PX[-len(laid_out) :], "sixty labels find room at the wide widths only"
    assert all(i.number in o.markup for o in overlays for i in near)
    (found,) = review_callouts("fit_all", overlays)
    lacking = len(WIDTHS_PX) - len(laid_out)
    assert str(found) == f"fit_all: its callouts find no room at {lacking} of {len(WIDTHS_PX)} page widths"
    assert review_callouts("fit_few", make_overlays(near[:4], 1600, 1200)) == []
    assert review_callouts("inside", make_overlays([], 1600, 1200)) == []


def test_a_layout_that_stays_as_the_picture_grows_is_written_once_for_all_its_widths() -> None:
    (whole,) = make_overlays([Item("7", "Key", (0.5, 0.3))], 1600, 1200)
    assert whole.widths == WIDTHS_PX
    assert 'class="calls from-240 from-340 from-480 from-640 from-900"' in whole.markup
    numbers, names = make_overlays([Item("7", "Key", (0.5, 0.3))], 1600, 1200, named=True)
    assert numbers.widths + names.widths == WIDTHS_PX
    assert ("Key" in names.markup, "Key" in numbers.markup) == (True, False)
