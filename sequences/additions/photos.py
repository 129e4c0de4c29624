"""Photos and logos of the plant: looked at, turned upright, shrunk, and written anew without anything but the picture.

API::

    photo_size(file, most) -> (width, height)        # PhotoError where it is no picture that can be shown
    photo_bytes(file, most) -> bytes                 # JPEG; no place, time, camera or any other data
    logo_bytes(file) -> bytes                        # PNG, likewise
"""

from __future__ import annotations

import io
import warnings
from contextlib import contextmanager
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING

from ..files.faults import any_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from PIL.Image import Image

ENDINGS = (".jpg", ".jpeg", ".png", ".webp", ".avif", ".tif", ".tiff")
_FORMATS = ("JPEG", "MPO", "PNG", "WEBP", "AVIF", "TIFF")
Px = tuple[int, int]
"""Width and height in pixels."""
PHOTO_PX: Px = (1280, 1280)
"""The largest that a photo is shown."""
LOGO_PX: Px = (640, 160)
"""The largest that a logo is kept: twice what pages show it at."""
MOST_BYTES = 60_000_000
MOST_POINTS = 80_000_000
"""So many points has the largest photo that is opened: unpacked they are a quarter of a gigabyte."""
_QUALITY = 82
_SWITCH = Lock()


class PhotoError(Exception):
    """A file that cannot be shown as a photo: what was found, what is allowed, the likely fix."""

    def __init__(self, found: str, allowed: str, fix: str) -> None:
        super().__init__(found)
        self.found, self.allowed, self.fix = found, allowed, fix


def photo_size(file: Path, most: Px = PHOTO_PX) -> Px:
    """Return width and height in pixels of a photo as it is shown, upright and within ``most``.

    The whole file is read, so that one that breaks off is found.

    Raises:
        PhotoError: if it cannot be shown.
    """
    shown = _upright(file, most)
    return shown.size


def photo_bytes(file: Path, most: Px = PHOTO_PX) -> bytes:
    """Return a photo as JPEG: upright, within ``most``, in sRGB, and nothing in it but the picture.

    Raises:
        PhotoError: if it cannot be shown.
    """
    out = io.BytesIO()
    _bare(_on_white(_upright(file, most))).save(
        out, "JPEG", quality=_QUALITY, optimize=True, progressive=True
    )
    return out.getvalue()


def logo_bytes(file: Path) -> bytes:
    """Return a logo as PNG, see-through where it is, with nothing in it but the picture.

    Raises:
        PhotoError: if it cannot be shown.
    """
    logo = _upright(file, LOGO_PX).convert("RGBA")
    out = io.BytesIO()
    _bare(logo).save(out, "PNG", optimize=True)
    return out.getvalue()


def _upright(file: Path, most: Px) -> Image:
    """Return the picture turned as it was held, in sRGB, and shrunk."""
    from PIL import Image, ImageOps

    allowed = f"a picture in {any_of(_FORMATS[:1] + _FORMATS[2:])}"
    try:
        if file.stat().st_size > MOST_BYTES:
            raise PhotoError(
                f"{file.stat().st_size // 1_000_000} MB",
                f"at most {MOST_BYTES // 1_000_000} MB",
                "save it smaller",
            )
        with warnings.catch_warnings(), _read_whole():
            warnings.simplefilter("ignore")  # of odd but readable files: all that may be wrong is told below
            Image.init()
            with Image.open(file, formats=[f for f in _FORMATS if f in Image.OPEN]) as opened:
                if opened.width * opened.height > MOST_POINTS:
                    found = f"{opened.width} by {opened.height} points"
                    raise PhotoError(
                        found, f"at most {MOST_POINTS // 1_000_000} million points", "save it smaller"
                    )
                opened.draft(None, (max(most), max(most)))  # a JPEG is unpacked no larger than it has to be
                opened.load()
                upright = ImageOps.exif_transpose(opened)
                upright = _in_srgb(upright)
                upright.thumbnail(most)
                return upright
    except PhotoError:
        raise
    except Exception as e:
        # A broken picture fails anywhere in its reader, with any kind of error.
        found = f"no picture that can be read ({type(e).__name__})"
        raise PhotoError(found, allowed, "open it in a picture program and save it as JPEG") from e


@contextmanager
def _read_whole() -> Iterator[None]:
    """Within this block a picture that breaks off is a fault.

    Pillow keeps that in one switch of the process, and the library that prints pages turns it over for itself.
    """
    from PIL import ImageFile

    with _SWITCH:
        before, ImageFile.LOAD_TRUNCATED_IMAGES = ImageFile.LOAD_TRUNCATED_IMAGES, False
        try:
            yield
        finally:
            ImageFile.LOAD_TRUNCATED_IMAGES = before


def _in_srgb(picture: Image) -> Image:
    """Return the picture in the colours of screens; what a camera's own profile says would be lost without its data."""
    from PIL import Image, ImageCms

    profile = picture.info.get("icc_profile")
    if picture.mode in ("P", "LA", "PA"):
        return picture.convert("RGBA")
    if profile and picture.mode in ("RGB", "RGBA", "CMYK", "L"):
        try:
            into = "RGBA" if picture.mode == "RGBA" else "RGB"
            own = ImageCms.ImageCmsProfile(io.BytesIO(profile))
            changed = ImageCms.profileToProfile(picture, own, ImageCms.createProfile("sRGB"), outputMode=into)
            if isinstance(changed, Image.Image):
                return changed
        except (ImageCms.PyCMSError, OSError, ValueError):
            pass  # a profile that cannot be read: the colours are shown as they are
    return picture if picture.mode in ("RGB", "RGBA") else picture.convert("RGB")


def _on_white(picture: Image) -> Image:
    from PIL import Image

    if picture.mode != "RGBA":
        return picture
    ground = Image.new("RGB", picture.size, "white")
    ground.paste(picture, mask=picture.getchannel("A"))
    return ground


def _bare(picture: Image) -> Image:
    """Return a picture of the same points that carries nothing else."""
    from PIL import Image

    bare = Image.new(picture.mode, picture.size)
    bare.paste(picture)
    return bare
