"""Settings of pictures that are soon drawn, where what they show does not matter, or only roughly."""

from __future__ import annotations

from benchleaf.render.drawing.settings import PictureSettings

TINY = PictureSettings(
    width=200,
    height=150,
    overview_width=240,
    overview_height=160,
    supersample=1,
    measure_width=160,
    contact_shading=False,
    film_frames=0,
)
"""For what is counted and compared, not looked at."""
SMALL = PictureSettings(
    width=320,
    height=240,
    overview_width=480,
    overview_height=300,
    supersample=1,
    measure_width=320,
    contact_shading=False,
    film_frames=3,
)
"""For pages that are opened in a browser: every part can be told."""
