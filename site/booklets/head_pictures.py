"""All pictures of one head, as they lie in the store: the overview, every step, and the pairs of the cards."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from io import BytesIO
from typing import TYPE_CHECKING

from ...render.drawing.manifest import Manifest
from ...render.pictures.kept_pictures import kept_picture
from ...sequences.own.designs import made_solids
from ...sequences.work.keys import TaskKey
from ...sequences.work.store import Store
from ...sequences.work.tasks import PieceGone
from ..pages.view_models import PictureView
from .head_job import HeadKeys
from .tool_making import make_tool

if TYPE_CHECKING:
    from ...render.drawing.settings import PictureSettings
    from ...render.pictures.studio import Studio
    from ...sequences.own.designs import Work

SMALL = (480, 360)
"""Greatest size of the small picture on the library page, in pixels."""
SMALL_FILE = "small.webp"


@dataclass(frozen=True)
class HeadPictures:
    """What the pictures of a head show."""

    overview: Manifest
    steps: Mapping[tuple[str, str], Manifest]
    """By sequence and step id."""
    pairs: Mapping[str, tuple[Manifest, Manifest]]
    """Right and wrong, by card id."""


def open_studio(work: Work, settings: PictureSettings | None = None, store: Store | None = None) -> Studio:
    """Return the studio of a head, to be used as a context manager; ``store`` is where pictures are kept.

    Raises:
        SolidError, OwnPartError: as :func:`made_solids`.
        MeshError: if a solid does not give a closed mesh.
    """
    from ...render.pictures.studio import Studio

    return Studio(made_solids(work), settings, store, make_tool)


def fetch_pictures(store: Store, keys: HeadKeys) -> tuple[HeadPictures, dict[str, bytes]]:
    """Return what the pictures of a head show, and their files by name.

    Raises:
        PieceGone: if one of them is not in the store.
    """
    files: dict[str, bytes] = {}

    def fetch(key: TaskKey) -> Manifest:
        picture = kept_picture(store, key)
        if picture is None:
            raise PieceGone(key.kind)
        files.update(picture.files())
        return picture.manifest

    return HeadPictures(
        fetch(keys.overview),
        {(sequence, step): fetch(key) for sequence, step, key in keys.steps},
        {card: (fetch(right), fetch(wrong)) for card, right, wrong in keys.cards},
    ), files


def shortcomings(
    shown: Mapping[tuple[str, str], Manifest], figures: Mapping[str, Mapping[str, PictureView]]
) -> tuple[str, ...]:
    """Return what the step pictures fail to show, and where their callouts find no room."""
    from ...render.drawing.review import review_pictures
    from ..pages.callouts import review_callouts

    found = [
        f"{sequence}, {text}"
        for (sequence, _), manifest in shown.items()
        for text in review_pictures([manifest])
    ]
    found += [
        f"{sequence}, {text}"
        for sequence, views in figures.items()
        for step, view in views.items()
        for text in review_callouts(step, view.overlays)
    ]
    return tuple(found)


def small_picture(content: bytes) -> tuple[bytes, int, int]:
    """Return a small copy of a picture as WebP, with its width and height."""
    from PIL import Image

    with Image.open(BytesIO(content)) as image:
        small = image.convert("RGB")
    small.thumbnail(SMALL, Image.Resampling.LANCZOS)
    out = BytesIO()
    small.save(out, "WEBP", quality=85, method=6)
    return out.getvalue(), small.width, small.height
