"""Close-ups lie in frame and clear of what must be seen, and show their subject large."""

from __future__ import annotations

import math

import numpy as np
from benchleaf.render.drawing.insets import (
    RADII,
    WELL_MAGNIFIED,
    close_up_of,
    find_disc,
    subject_of,
    union_box,
)
from benchleaf.render.drawing.manifest import PartSeen
from hypothesis import given
from hypothesis import strategies as st

ASPECT = 4 / 3


def _seen(box: tuple[float, float, float, float], visible: float = 1.0) -> PartSeen:
    return PartSeen("moving", 10, visible, (box[0], box[1]), box)


@given(
    st.floats(0.1, 0.9), st.floats(0.1, 0.9), st.floats(0.005, 0.03), st.integers(0, 100), st.floats(0.0, 0.6)
)
def test_a_disc_is_in_frame_and_off_what_must_stay_free(
    x: float, y: float, of_radius: float, seed: int, share: float
) -> None:
    random = np.random.default_rng(seed)
    taken = np.zeros((96, 128), dtype=bool)
    wide = int(128 * share)
    left = int(random.integers(0, 128 - wide)) if wide else 0
    taken[20:70, left : left + wide] = True
    disc = find_disc(taken, np.zeros_like(taken), (x, y), of_radius)
    if disc is None:
        return
    cx, cy, r = disc.centre[0], disc.centre[1] / ASPECT, disc.radius
    assert min(cx - r, 1 - cx - r, cy - r, 1 / ASPECT - cy - r) > 0
    ys, xs = np.mgrid[0:96, 0:128]
    inside = ((xs + 0.5) / 128 - cx) ** 2 + ((ys + 0.5) / 128 - cy) ** 2 < (r - 0.01) ** 2
    assert not taken[inside].any()
    assert math.dist((cx, cy), (x, y / ASPECT)) > r + of_radius
    assert disc.magnification >= 1.75


def test_a_full_picture_has_no_room() -> None:
    full = np.ones((96, 128), dtype=bool)
    assert find_disc(full, full, (0.5, 0.5), 0.02) is None


@given(st.floats(0.01, 0.12), st.floats(0.01, 0.12), st.floats(-0.5, 0.5), st.floats(-0.5, 0.5))
def test_a_close_up_holds_its_subject_and_leans_to_the_seat(w: float, h: float, dx: float, dy: float) -> None:
    subject = (0.5 - w / 2, 0.5 - h / 2, 0.5 + w / 2, 0.5 + h / 2)
    seat = (subject[0] + dx, subject[1] + dy, subject[2] + dx, subject[3] + dy)
    (cx, cy), radius = close_up_of(subject, seat, ASPECT)
    corners = [(px, py) for px in subject[::2] for py in subject[1::2]]
    assert max(math.hypot(px - cx, (py - cy) / ASPECT) for px, py in corners) <= radius + 1e-9
    assert (cx - 0.5) * dx >= -1e-12
    assert (cy - 0.5) * dy >= -1e-12


def test_a_close_up_takes_in_a_seat_nearby() -> None:
    subject, seat = (0.4, 0.4, 0.44, 0.44), (0.44, 0.42, 0.48, 0.46)
    (cx, cy), radius = close_up_of(subject, seat, ASPECT)
    for box in (subject, seat):
        for x, y in [(x, y) for x in box[::2] for y in box[1::2]]:
            assert math.hypot(x - cx, (y - cy) / ASPECT) <= radius
    reach = math.hypot(0.02, 0.02 / ASPECT)
    assert (reach / radius) ** 2 >= 1 / 6
    assert RADII[0] / radius >= WELL_MAGNIFIED
    assert close_up_of(subject, None, ASPECT)[1] < radius


def test_small_moving_parts_get_a_close_up_and_the_best_seen_is_taken() -> None:
    parts = {
        "a": _seen((0.1, 0.1, 0.15, 0.15), 0.4),
        "b": _seen((0.5, 0.1, 0.55, 0.15), 0.9),
        "large": _seen((0.2, 0.2, 0.8, 0.8)),
    }
    assert subject_of([("a",), ("b",)], parts, True) == ("b",)
    assert subject_of([("a",), ("large",)], parts, True) == ("a",)
    assert subject_of([("a",), ("large",)], parts, False) is None
    assert subject_of([("large",)], parts, True) is None
    assert subject_of([], parts, True) is None


def test_a_unit_counts_as_one() -> None:
    parts = {"a": _seen((0.1, 0.1, 0.15, 0.15)), "b": _seen((0.6, 0.6, 0.65, 0.65))}
    assert subject_of([("a", "b")], parts, True) is None
    assert union_box([parts["a"].box, parts["b"].box]) == (0.1, 0.1, 0.65, 0.65)  # type: ignore[list-item]
