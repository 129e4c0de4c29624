"""The plant's own photos and logo as files of a booklet: upright, shrunk, and stripped of all but the picture."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from ...sequences.additions.photos import logo_bytes, photo_bytes
from ...sequences.steps.plan import Plan
from ..pages.pages import LOGO, Setting
from ..pages.picture_views import FOLDER as PICTURES


def plant_photos(plans: Iterable[Plan]) -> dict[str, bytes]:
    """Return the photos of all steps, by the path at which pages show them.

    Raises:
        PhotoError: if a photo was changed since the data were checked and cannot be shown any more.
    """
    photos = {photo.name: photo for plan in plans for step in plan.steps for photo in step.plant.photos}
    return {f"{PICTURES}/{name}": photo_bytes(photo.file) for name, photo in sorted(photos.items())}


def write_logo(folder: Path, setting: Setting) -> None:
    """Write the plant's logo into a folder of pages, where there is one.

    Raises:
        PhotoError: if it was changed since the data were checked and cannot be shown any more.
        OSError: if the folder cannot be written.
    """
    if setting.look.logo is not None:
        file = folder / LOGO
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(logo_bytes(setting.look.logo.file))
