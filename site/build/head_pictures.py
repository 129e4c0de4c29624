"""All pictures of one head, taken in one studio: the overview, every step, and the pairs of the cards."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from ...sequences.proof.head_work import HeadWork
from ..pages.cards import MergedCard
from ..pages.view_models import PictureView

if TYPE_CHECKING:
    from ...geometry.head.head import Head
    from ...render.drawing.manifest import Manifest
    from ...render.drawing.settings import PictureSettings
    from ...render.pictures.studio import Studio
    from ...sequences.steps.plan import Plan

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


def open_studio(work: HeadWork, settings: PictureSettings | None = None, cache: Path | None = None) -> Studio:
    """Return the studio of a head, to be used as a context manager; ``cache`` is where pictures are kept.

    Raises:
        SolidError, OwnPartError: as :attr:`..HeadWork.head`.
        MeshError: if a solid does not give a closed mesh.
    """
    from ...render.pictures.picture_cache import PictureCache
    from ...render.pictures.studio import Studio

    return Studio(work.head, settings, cache=PictureCache(cache) if cache else None)


def take_head_pictures(
    studio: Studio,
    work: HeadWork,
    cards: Sequence[MergedCard],
    folder: Path,
    say: Callable[[str], None],
    workers: int = 1,
) -> HeadPictures:
    """Take all pictures of a head, write them into ``folder`` and return what they show.

    Raises:
        NoGraphics: if this machine cannot draw.
        WorkerLost: if a worker is ended from outside.
        OSError: if the folder cannot be written.
    """
    from ...render.pictures.overview import render_overview_with
    from ...render.pictures.step_pictures import take_plans

    steps = [(plan.sequence, step.id) for plan in work.plans for step in plan.steps]
    say(f"pictures, 1 of {len(steps) + 1}")
    overview = render_overview_with(studio)
    overview.write(folder)
    shown: dict[tuple[str, str], Manifest] = {}
    for at, picture in zip(steps, take_plans(studio, work.plans, workers), strict=True):
        picture.write(folder)
        shown[at] = picture.manifest
        say(f"pictures, {len(shown) + 1} of {len(steps) + 1}")
    studio.close()  # pairs are drawn in windows of their own
    return HeadPictures(overview.manifest, shown, _take_pairs(studio, work.head, cards, folder, say))


def _take_pairs(
    studio: Studio, head: Head, cards: Sequence[MergedCard], folder: Path, say: Callable[[str], None]
) -> dict[str, tuple[Manifest, Manifest]]:
    from ...render.pictures.pairs import render_pairs

    taken: dict[str, tuple[Manifest, Manifest]] = {}
    pairs = render_pairs(head, [c.scene for c in cards], studio.settings, studio.cache, studio.models)
    for card, pair in zip(cards, pairs, strict=True):
        say(f"cards, {len(taken) + 1} of {len(cards)}")
        pair.right.write(folder)
        pair.wrong.write(folder)
        taken[card.id] = (pair.right.manifest, pair.wrong.manifest)
    return taken


def shortcomings(
    shown: Mapping[tuple[str, str], Manifest], figures: Mapping[str, Mapping[str, PictureView]]
) -> tuple[str, ...]:
    """Return what the step pictures fail to show, and where their callouts find no room."""
    from ...render.pictures.review import review_pictures
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


def open_head_view(
    head: Head, plans: Sequence[Plan], figures: Mapping[str, Mapping[str, PictureView]]
) -> PictureView | None:
    """Return the picture in which the cover's O-ring is fitted: the head open, with its rotors to be seen."""
    for plan in plans:
        for step in plan.steps:
            if any(head.parts[k].kind == "cover_oring" for k in step.moving):
                return figures[plan.sequence][step.id]
    return None


def write_small_picture(picture: Path, folder: Path) -> tuple[int, int]:
    """Write a small copy of ``picture`` as :data:`SMALL_FILE` into ``folder``; return its width and height.

    Raises:
        OSError: if it cannot be read or written.
    """
    from PIL import Image

    with Image.open(picture) as image:
        small = image.convert("RGB")
        small.thumbnail(SMALL, Image.Resampling.LANCZOS)
        small.save(folder / SMALL_FILE, quality=85, method=6)
    return small.width, small.height
