"""The manifest beside each picture: what it shows, where, and how far the moving part is drawn out.

Positions and sizes are fractions of the picture's width (x) and height (y), from its upper left corner.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, fields, is_dataclass
from typing import Any, Literal

from ...geometry.frame import Vec3
from ...sequences.work.json_data import from_json

State = Literal["moving", "focus", "context", "plain"]
Kind = Literal["step", "overview", "pair"]
Treatment = Literal["clean", "lubricate", "anti-seize", "look", "measure", "dress"]
"""What is done to a surface, and so how it is painted."""


@dataclass(frozen=True)
class PartSeen:
    """One part in the picture.

    ``visible_px`` counts pixels of the measuring grid, ``visible`` is the share of the part's own outline that is
    not hidden by others (None where it was not measured; parts that move as one unit are measured as one).
    ``anchor`` lies on a visible spot of the part; None if none is seen. ``box`` is left, top, right, bottom of
    what is seen.
    """

    state: State
    visible_px: int
    visible: float | None
    anchor: tuple[float, float] | None
    box: tuple[float, float, float, float] | None
    moved_mm: Vec3 | None = None


@dataclass(frozen=True)
class Arrow:
    """A travel line: ``tail`` and ``head`` as fractions, whether the part also turns, and of which parts."""

    parts: tuple[str, ...]
    tail: tuple[float, float]
    head: tuple[float, float]
    turn_deg: float = 0.0


@dataclass(frozen=True)
class TurnSeen:
    """An arc arrow about a shaft's axis: its middle as fractions, and the turn (right-handed about the front)."""

    centre: tuple[float, float]
    turn_deg: float


@dataclass(frozen=True)
class Inset:
    """A close-up composed into the picture: a disc at ``centre``, tied to the disc ``of_centre``.

    Radii are fractions of the picture's width. ``subject`` are the parts it is of, ``fill`` the share of the disc that
    the circle round them fills, ``visible`` the share of their outline unhidden in it. Positions in ``parts`` are
    fractions of the square round the disc.
    """

    centre: tuple[float, float]
    radius: float
    of_centre: tuple[float, float]
    of_radius: float
    magnification: float
    subject: tuple[str, ...]
    fill: float
    visible: float
    parts: dict[str, PartSeen]
    cut: bool = False
    """Shows the parts in place, their surroundings cut open."""
    surface: str = ""
    """Name of the surface that it is of, where it is of one."""
    view: str = ""
    """From where it is looked at, where that is another side than the picture's."""
    alone: bool = False
    """Shows its part by itself."""


@dataclass(frozen=True)
class ZoneSeen:
    """A surface that is painted: of which part, its name (empty for the whole part), and for what treatment.

    ``seen_px`` is about how many pixels of the picture it fills where it is seen best, in the picture or in a close-up;
    ``seen`` the share of what of it faces the eye there that nothing hides, and ``anchor`` the middle of what is seen
    of it in the picture, None where it is out of sight there.
    """

    part: str
    surface: str
    treatment: Treatment
    seen_px: int
    seen: float
    anchor: tuple[float, float] | None


@dataclass(frozen=True)
class ToolSeen:
    """A tool in the picture: at which part and surface, where it touches, and the pull (degrees) or push (mm).

    ``visible_px`` counts pixels of the measuring grid, ``contact_px`` those of them near where it touches, in the
    picture or in a close-up, whichever shows more. ``box`` is left, top, right, bottom of what is seen. ``swing_deg``
    is right-handed about the way it comes off the work.
    """

    tool: str
    part: str
    surface: str
    contact: tuple[float, float]
    visible_px: int
    contact_px: int
    box: tuple[float, float, float, float] | None
    swing_deg: float = 0.0
    travel_mm: Vec3 = (0.0, 0.0, 0.0)


@dataclass(frozen=True)
class OrderSeen:
    """The number of a part that is worked in an order, and where it is."""

    label: str
    part: str
    at: tuple[float, float]


@dataclass(frozen=True)
class CameraSeen:
    """Where the picture was taken from: eye direction, up, centre (head's frame) and height of the frame in mm."""

    view: str
    direction: Vec3
    up: Vec3
    centre: Vec3
    height_mm: float


@dataclass(frozen=True)
class FilmSeen:
    """The short film of a step: its file, size in pixels, how long each frame stands, and where what moves is seen.

    ``boxes`` has an entry for each frame: left, top, right, bottom as fractions of the film, None where it is hidden.
    """

    file: str
    width: int
    height: int
    durations_ms: tuple[int, ...]
    camera: CameraSeen
    boxes: tuple[tuple[float, float, float, float] | None, ...]


@dataclass(frozen=True)
class LinkSeen:
    """In an opened pair: where a part of one face meets the other; both ends as fractions.

    ``dashed`` tells it from those of another size or shaft. ``met``: what belongs there is there.
    """

    part: str
    tail: tuple[float, float]
    head: tuple[float, float]
    dashed: bool
    met: bool


@dataclass(frozen=True)
class DifferenceSeen:
    """How far the right and the wrong picture of a pair are apart, with the picture 360 px wide.

    ``share`` is of the moving parts' area, ``outline_px`` how much of their outline lies elsewhere, ``at`` where the
    difference is plainest (fractions), None where there is none.
    """

    share: float
    outline_px: float
    at: tuple[float, float] | None = None
    steeper: float = 1.0
    """How many times as steep as it is the large picture draws a thin ring."""
    as_it_is: tuple[float, float, float, float] | None = None
    """Left, top, right and foot of the small picture of the true shape, where the large one is drawn steeper."""
    pointer: tuple[tuple[float, float], tuple[float, float]] | None = None
    """Tail and tip of the arrow at the difference."""


@dataclass(frozen=True)
class Manifest:
    """What one picture shows; ``files`` are format to file name, the most modern first."""

    kind: Kind
    step: str
    number: int
    files: dict[str, str]
    width: int
    height: int
    camera: CameraSeen
    view_changed: bool
    parts: dict[str, PartSeen]
    arrows: tuple[Arrow, ...] = ()
    turns: tuple[TurnSeen, ...] = ()
    insets: tuple[Inset, ...] = ()
    counts: dict[str, int] | None = None
    """Kind of moving part to how many identical ones move, where more than one does."""
    film: FilmSeen | None = None
    zones: tuple[ZoneSeen, ...] = ()
    tools: tuple[ToolSeen, ...] = ()
    order: tuple[OrderSeen, ...] = ()
    turned_over: tuple[str, ...] = ()
    """Keys of parts that lie the other way round than their equals, to show their other side."""
    difference: DifferenceSeen | None = None
    """Of a pair."""
    links: tuple[LinkSeen, ...] = ()
    """Of a pair that is opened like a book."""
    frames: int = 0
    """Under the overview, in which small parts are drawn larger."""

    def as_json(self) -> str:
        """Return the manifest as JSON text, sorted and rounded so that equal pictures give equal bytes.

        In one line, without what is as its class has it anyway: written out, those of a booklet would take a third of a
        megabyte more.
        """
        told = _told(self)
        return json.dumps(told, separators=(",", ":"), sort_keys=True, ensure_ascii=False) + "\n"

    @classmethod
    def from_json(cls, text: str) -> Manifest:
        """Return the manifest written by :meth:`as_json`.

        Raises:
            ValueError: if it is none.
        """
        return from_json(cls, text.encode())


def _told(value: Any) -> Any:
    """Return a value as JSON has it, numbers rounded, fields that are as their class has them left out."""
    if isinstance(value, float):
        return round(value, 6) + 0.0
    if is_dataclass(value):
        own = ((f.name, getattr(value, f.name), f.default) for f in fields(value))
        return {name: _told(v) for name, v, usual in own if v != usual}
    if isinstance(value, dict):
        return {k: _told(v) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [_told(v) for v in value]
    return value
