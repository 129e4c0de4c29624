"""Photos of the plant: upright, shrunk, and nothing in them but the picture."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from addition_samples import located_photo
from benchleaf.sequences.additions.photos import (
    LOGO_PX,
    PHOTO_PX,
    PhotoError,
    logo_bytes,
    photo_bytes,
    photo_size,
)
from PIL import Image, ImageFile


def test_a_photo_is_turned_upright_and_loses_all_but_the_picture(tmp_path: Path) -> None:
    file = tmp_path / "face.jpg"
    located_photo(file)
    with Image.open(file) as before:
        assert before.getexif().get_ifd(0x8825), "the sample says where it was taken"
    shown = photo_bytes(file)
    for word in (b"Exif", b"Invented maker", b"a name", b"ICC_PROFILE", b"http"):
        assert word not in shown
    with Image.open(io.BytesIO(shown)) as after:
        assert dict(after.getexif()) == {}
        assert set(after.info) <= {
            "jfif",
            "jfif_version",
            "jfif_unit",
            "jfif_density",
            "progressive",
            "progression",
        }
        assert after.size == (200, 400) == photo_size(file)
        # held with its right side down: what was left is at the top
        top, foot = after.getpixel((100, 40)), after.getpixel((100, 360))
    assert isinstance(top, tuple)
    assert isinstance(foot, tuple)
    assert top[0] > 200 > 60 > top[2]
    assert foot[2] > 200 > 60 > foot[0]


def test_a_large_photo_is_shrunk_in_proportion_and_the_same_each_time(tmp_path: Path) -> None:
    file = tmp_path / "large.png"
    Image.new("RGBA", (4000, 1000), (0, 0, 0, 0)).save(file)
    assert photo_size(file) == (PHOTO_PX[0], PHOTO_PX[0] // 4)
    assert photo_bytes(file) == photo_bytes(file)
    with Image.open(io.BytesIO(photo_bytes(file))) as shown:
        assert shown.getpixel((5, 5)) == (255, 255, 255), "what can be seen through stands on white"
    with Image.open(io.BytesIO(logo_bytes(file))) as logo:
        assert logo.size == (LOGO_PX[0], LOGO_PX[1])
        assert logo.mode == "RGBA"


@pytest.mark.parametrize("content", [b"", b"no picture", b"\xff\xd8\xff\xe0" + bytes(40)])
def test_what_is_no_picture_is_told(tmp_path: Path, content: bytes) -> None:
    file = tmp_path / "bad.jpg"
    file.write_bytes(content)
    with pytest.raises(PhotoError) as caught:
        photo_size(file)
    assert "no picture" in caught.value.found
    assert "JPEG" in caught.value.allowed


@pytest.mark.parametrize("lenient", [False, True])
def test_a_photo_that_breaks_off_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, lenient: bool
) -> None:
    """Whatever another library of the process asks of Pillow, and that stays as it was."""
    monkeypatch.setattr(ImageFile, "LOAD_TRUNCATED_IMAGES", lenient)
    whole, half = tmp_path / "whole.jpg", tmp_path / "half.jpg"
    located_photo(whole)
    half.write_bytes(whole.read_bytes()[:-200])
    with pytest.raises(PhotoError):
        photo_size(half)
    assert ImageFile.LOAD_TRUNCATED_IMAGES is lenient
