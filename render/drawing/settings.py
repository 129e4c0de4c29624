"""Settings of the pictures: size, sharpness, formats."""

from __future__ import annotations

from dataclasses import dataclass

from ..engine.part_models import DETAIL
from .still_files import STILL_ENDING


@dataclass(frozen=True)
class PictureSettings:
    """How pictures are drawn and kept.

    ``formats`` are file endings, the most modern first; ``measure_width`` is the width in pixels of the grid on
    which visibility is measured.
    """

    width: int = 1600
    height: int = 1200
    overview_width: int = 2400
    overview_height: int = 1500
    supersample: int = 2
    detail: float = DETAIL
    formats: tuple[str, ...] = (STILL_ENDING,)
    measure_width: int = 800
    contact_shading: bool = True
    cut_aways: bool = True
    """Show seats that are out of sight in a close-up, cut open."""
    hold_above: float = 0.6
    """A section's view is held while at least this share of the moving part's outline is seen in it."""
    film_frames: int = 8
    """Frames of the short film of a step in which parts move; 0 takes no films, else three at least."""
    film_share: float = 0.36
    """Width of a film as a share of the picture's."""

    @property
    def film_size(self) -> tuple[int, int]:
        """Width and height of a film in pixels."""
        return round(self.width * self.film_share), round(self.height * self.film_share)
