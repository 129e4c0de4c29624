"""Files of pictures hold the picture, nothing else, and are as light as they are said to be."""

from __future__ import annotations

import io

import numpy as np
import pytest
from benchleaf.render.drawing import still_files
from benchleaf.render.drawing.still_files import STILL_ENDING, WRITTEN, encode
from PIL import Image
from program_files import ROOT

GOLDEN = sorted((ROOT / "tests" / "golden").glob("*.png"))
MOST_BYTES = 47_000
"""Of all golden pictures together."""
JFIF = ("jfif", "jfif_version", "jfif_unit", "jfif_density")


def _off(image: Image.Image, ending: str) -> tuple[float, float, int]:
    """Return how far a file is off its picture, mean and of the worst hundredth, in levels of 255, and its bytes."""
    data = encode(image, ending)
    with Image.open(io.BytesIO(data)) as kept:
        off = np.abs(np.asarray(kept.convert("RGB"), float) - np.asarray(image, float))
    return float(off.mean()), float(np.quantile(off.max(axis=2), 0.99)), len(data)


@pytest.mark.parametrize("ending", WRITTEN)
def test_files_hold_the_picture_and_no_date(ending: str) -> None:
    image = Image.fromarray(np.random.default_rng(0).integers(0, 255, (40, 60, 3), dtype=np.uint8))
    data = encode(image, ending)
    assert data == encode(image.copy(), ending)
    with Image.open(io.BytesIO(data)) as again:
        assert again.size == (60, 40)
        assert {
            k for k in again.info if k not in ("loop", "background", "timestamp", "duration", *JFIF)
        } == set()


@pytest.mark.skipif(STILL_ENDING != "avif", reason="pictures are WebP here")
def test_thelightest_ending_format_keeps_what_was_drawn_as_the_older_one_does() -> None:
    told = []
    for file in GOLDEN:
        with Image.open(file) as image:
            drawn = image.convert("RGB")
        mean, worst, size = _off(drawn, STILL_ENDING)
        old_mean, old_worst, _ = _off(drawn, "webp")
        assert mean < 1.15 * old_mean, file.name
        assert worst <= old_worst + 4, file.name
        told.append(size)
    assert len(told) >= 6
    assert sum(told) < MOST_BYTES


@pytest.mark.skipif(STILL_ENDING != "avif", reason="pictures are WebP here")
def test_a_large_picture_of_lines_takes_less_than_in_the_older_format() -> None:
    """Hatching and flat tints, at the size of a booklet's pictures."""
    y, x = np.mgrid[0:1200, 0:1600]
    inside = np.hypot(x - 800, y - 600) < 500
    hatch = (np.mod(0.9 * x + y, 32) < 2) & inside
    grey = np.where(hatch, 40, np.where(inside, 168 + 30 * np.sin(x / 400), 255)).astype(np.uint8)
    drawn = Image.fromarray(np.repeat(grey[:, :, None], 3, axis=2)).resize((1600, 1200))
    mean, _, size = _off(drawn, STILL_ENDING)
    old_mean, _, old_size = _off(drawn, "webp")
    assert size < 0.8 * old_size
    assert mean < old_mean


def test_without_thelightest_ending_format_pictures_are_webp(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(WRITTEN, "avif", ("NO SUCH FORMAT", {}))
    assert still_files.lightest_ending() == "webp"


def test_other_formats_are_refused() -> None:
    with pytest.raises(ValueError, match="avif, webp, png, jpg, not as 'bmp'"):
        encode(Image.new("RGB", (2, 2)), "bmp")
