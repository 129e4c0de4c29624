"""Cuts of pictures: round the part that is meant, inside the picture, in one shape."""

from __future__ import annotations

import doctest

import pytest
from benchleaf.render.drawing.manifest import CameraSeen, Inset, Manifest, PartSeen
from benchleaf.site.pages import crops
from benchleaf.site.pages.crops import LEAST_SHARE, RATIO, Crop, crop_of
from hypothesis import given
from hypothesis import strategies as st

CAMERA = CameraSeen("iso", (1.0, 1.0, 1.0), (0.0, 1.0, 0.0), (0.0, 0.0, 0.0), 100.0)


def manifest(
    boxes: dict[str, tuple[float, float, float, float] | None],
    width: int = 1600,
    height: int = 1200,
    insets: tuple[Inset, ...] = (),
) -> Manifest:
    parts = {key: PartSeen("plain", 10 * n, 1.0, None, box) for n, (key, box) in enumerate(boxes.items(), 1)}
    files = {"avif": "a.avif", "webp": "a.webp"}
    return Manifest("step", "s", 1, files, width, height, CAMERA, False, parts, insets=insets)


def shape(crop: Crop) -> float:
    left, top, right, bottom = crop.box
    return (right - left) * crop.width / ((bottom - top) * crop.height)


def test_examples_in_docstrings() -> None:
    assert doctest.testmod(crops).failed == 0


def test_the_best_seen_of_the_parts_is_in_the_middle_of_the_cut() -> None:
    crop = crop_of(
        manifest({"one": (0.1, 0.1, 0.2, 0.2), "two": (0.5, 0.5, 0.7, 0.6)}), ["one", "two"], "Two."
    )
    assert crop is not None
    left, top, right, bottom = crop.box
    assert ((left + right) / 2, (top + bottom) / 2) == pytest.approx((0.6, 0.55), abs=1e-3)
    assert (crop.src, crop.sources, crop.alt) == (
        "pictures/a.webp",
        (("image/avif", "pictures/a.avif"),),
        "Two.",
    )


def test_a_close_up_comes_first() -> None:
    inset = Inset((0.8, 0.3), 0.15, (0.2, 0.2), 0.02, 7.0, ("one",), 0.8, 1.0, {})
    crop = crop_of(manifest({"one": (0.1, 0.1, 0.2, 0.2)}, insets=(inset,)), ["one"], "")
    assert crop is not None
    assert crop.box[0] < 0.8 < crop.box[2]
    assert crop_of(manifest({"one": (0.1, 0.1, 0.2, 0.2)}, insets=(inset,)), ["two"], "") is None


def test_what_no_picture_shows_has_no_cut() -> None:
    assert crop_of(manifest({"one": None}), ["one"], "") is None
    assert crop_of(manifest({}), ["one"], "") is None


def test_without_a_part_the_whole_picture_is_shown() -> None:
    crop = crop_of(manifest({}), (), "")
    assert crop is not None
    assert crop.box == (0.0, 0.0, 1.0, 1.0)
    assert (crop.scale, crop.left, crop.top) == (100.0, 0.0, 0.0)


@given(
    st.tuples(*(st.floats(0, 1) for _ in range(4))),
    st.sampled_from([(1600, 1200), (1600, 1000), (1000, 1600), (2400, 900)]),
)
def test_a_cut_lies_inside_the_picture_in_its_shape_and_holds_what_has_room(
    sides: tuple[float, float, float, float], size: tuple[int, int]
) -> None:
    (left, right), (top, bottom) = sorted(sides[:2]), sorted(sides[2:])
    crop = crop_of(manifest({"one": (left, top, right, bottom)}, *size), ["one"], "")
    assert crop is not None
    x0, y0, x1, y1 = crop.box
    assert min(x0, y0) >= 0.0
    assert max(x1, y1) <= 1.0 + 2e-4
    assert shape(crop) == pytest.approx(RATIO, rel=2e-3)
    assert x1 - x0 >= min(LEAST_SHARE, RATIO * size[1] / size[0]) - 1e-3
    if (x1 - x0) < 0.999 and (y1 - y0) < 0.999:
        assert x0 <= left + 2e-4
        assert y0 <= top + 2e-4
        assert x1 >= right - 2e-4
        assert y1 >= bottom - 2e-4
    # Placed by its figures, the picture's own corner falls where the box says.
    assert -crop.left / crop.scale == pytest.approx(x0, abs=1e-6)
    assert -crop.top * (y1 - y0) / 100 == pytest.approx(y0, abs=1e-6)
