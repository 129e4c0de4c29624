"""Tiles of damage under a step's picture: a small drawing, its name, and how it is told.

API::

    damage_drawing(damage, alt) -> Markup
    damage_tiles(damages, words) -> tuple[DamageTile, ...]
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from markupsafe import Markup, escape

from ....sequences.steps.plan import Damage
from ...words.catalogue import Words
from .damage_marks import MARKS
from .grounds import HEIGHT, WIDTH


@dataclass(frozen=True)
class DamageTile:
    """One example: its drawing, what it is called, and how it is told from a sound surface."""

    drawing: Markup
    title: str
    tell: str


def damage_tiles(damages: Iterable[Damage], words: Words) -> tuple[DamageTile, ...]:
    """Return the tiles of a step in its order.

    Raises:
        MissingWord: if the catalogue has no words for one.
    """
    return tuple(
        DamageTile(
            damage_drawing(d, words(f"damage_alt.{d}")), words(f"damage.{d}"), words(f"damage_tell.{d}")
        )
        for d in damages
    )


def damage_drawing(damage: Damage, alt: str) -> Markup:
    """Return the drawing of a damage as an inline SVG that says ``alt`` to those who do not see it."""
    sign = f'<svg viewBox="0 0 {WIDTH} {HEIGHT}" width="{WIDTH}" height="{HEIGHT}" role="img"'
    return Markup(f'{sign} aria-label="{escape(alt)}">{_shapes(damage)}</svg>')


@cache
def _shapes(damage: Damage) -> str:
    return MARKS[damage]()
