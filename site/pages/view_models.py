"""View models that several pages share: pictures with their keys, places in the booklet, lines of the parts list."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from markupsafe import Markup

if TYPE_CHECKING:
    pass

NOTHING = Markup()
NBSP = "\u00a0"


@dataclass(frozen=True)
class Identity:
    """Which pump a booklet is for, in words."""

    tag: str
    size: str
    service: str
    revision: str
    date: str
    options: tuple[tuple[str, str], ...] = ()
    """Name and choice, in words."""
    slug: str = ""
    """Name of the booklet's folder in its library; empty: it lies in none."""


@dataclass(frozen=True)
class Label:
    """One line of a picture's key."""

    number: str
    text: str


@dataclass(frozen=True)
class CalloutOverlay:
    """Callouts drawn over a picture (SVG markup of our own making), for the bands of page widths that begin at
    ``widths``, CSS pixels."""

    markup: Markup
    widths: tuple[int, ...]


@dataclass(frozen=True)
class ZoneKeyEntry:
    """One line of the key to a picture's zones: its sign, and what is done where it is painted."""

    sign: Markup
    text: str


@dataclass(frozen=True)
class FilmView:
    """The short film of a figure; width and height in pixels."""

    src: str
    width: int
    height: int
    alt: str


@dataclass(frozen=True)
class PictureView:
    """A picture on a page; ``src`` empty: the picture is missing and the page says so. Width and height in pixels."""

    src: str
    width: int
    height: int
    alt: str
    caption: str = ""
    sources: tuple[tuple[str, str], ...] = ()
    """Media type and file of more modern formats of the same picture, best first."""
    labels: tuple[Label, ...] = ()
    overlays: tuple[CalloutOverlay, ...] = ()
    film: FilmView | None = None
    """Shown in its place when asked for, never on paper."""
    zones: tuple[ZoneKeyEntry, ...] = ()
    """The key to surfaces that are painted."""
    turns: str = ""
    """What the viewer calls the step of which it is; empty where nothing can be turned in 3D."""
    order: Markup = NOTHING
    """Numbers of parts that go in an order, laid over it."""
    on_paper: Markup = NOTHING
    """Its callouts as one drawing, for the one width that it has on paper."""
    framed: bool = False
    """Whether it has frames, in which small parts are drawn larger."""


@dataclass(frozen=True)
class Use:
    """A place in the booklet that uses a value."""

    text: str
    href: str


@dataclass(frozen=True)
class PartRow:
    """A line of the parts list: equal parts counted together."""

    item: int
    kind: str
    name: str
    quantity: int
    material: str
    keys: tuple[str, ...]
