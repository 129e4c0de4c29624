"""What a page adds to a picture of an act: the key to painted zones, and numbers of parts that go in an order."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType

from markupsafe import Markup

from ...render.drawing.manifest import Manifest, OrderSeen, Treatment
from ...render.drawing.zone_colours import ground_of, ink_of
from ...render.engine.material_styles import colour_bytes
from ..words.catalogue import Words
from .view_models import ZoneKeyEntry

SHAPES: Mapping[Treatment, str] = MappingProxyType(
    {
        "clean": '<path d="M-2 6 6-2M0 12 12 0M6 18 18 6M12 24 24 12M18 24 30 12"/>',
        "lubricate": "".join(f'<circle cx="{x}" cy="{y}" r="1.9"/>' for x, y in ((3, 4), (10, 4), (17, 4)))
        + "".join(f'<circle cx="{x}" cy="{y}" r="1.9"/>' for x, y in ((6.5, 10), (13.5, 10), (20.5, 10))),
        "anti-seize": '<path d="M-2 8 8-2M0 14 14 0M8 14 22 0M16 14 26 4M-2 6 6 14M0 0 14 14M8 0 22 14M16 0 26 10"/>',
        "look": "".join(f'<circle cx="{x}" cy="7" r="2.6"/>' for x in (4, 11, 18)),
        "measure": '<path d="M3 0V14M7 0V14M11 0V14M15 0V14M19 0V14"/>',
        "dress": '<path d="M0 3 4 7 8 3 12 7 16 3 20 7 24 3M0 9 4 13 8 9 12 13 16 9 20 13 24 9"/>',
    }
)
"""The pattern of each treatment as shapes of a small drawing, 22 wide and 14 high."""


def zone_key(manifest: Manifest, words: Words) -> tuple[ZoneKeyEntry, ...]:
    """Return the key to the zones of a picture, a line for each treatment in the order of its acts."""
    treatments = dict.fromkeys(z.treatment for z in manifest.zones)
    return tuple(ZoneKeyEntry(swatch(t), words(f"zone.{t}")) for t in treatments)


def swatch(treatment: Treatment) -> Markup:
    """Return the sign of a treatment: a patch of its pattern and tint, as the picture has it."""
    ground, ink = (_hex(colour_bytes(c)) for c in (ground_of(treatment), ink_of(treatment)))
    return Markup(
        f'<svg class="swatch" viewBox="0 0 22 14" aria-hidden="true"><rect width="22" height="14" fill="{ground}"/>'
        f'<g fill="{ink if "circle" in SHAPES[treatment] and treatment != "look" else "none"}" stroke="{ink}" '
        f'stroke-width="{0 if treatment == "lubricate" else 1.5}">{SHAPES[treatment]}</g></svg>'
    )


def order_marks(order: Iterable[OrderSeen]) -> Markup:
    """Return the numbers of parts that go in an order, to be laid over their picture."""
    return Markup("").join(
        Markup('<b class="turn" style="left:{:.2f}%;top:{:.2f}%">{}</b>').format(
            100 * m.at[0], 100 * m.at[1], m.label
        )
        for m in order
    )


def _hex(colour: tuple[int, int, int]) -> str:
    return "#{:02x}{:02x}{:02x}".format(*colour)
