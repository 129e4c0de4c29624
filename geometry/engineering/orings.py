"""O-rings in their glands: stretch, section in place, squeeze and fill, cold and at process temperature.

Method: stretch is taken on the diameter that holds the ring; a stretched ring keeps its volume, so its section
becomes d₂/√(1 + stretch); squeeze and fill follow from that section (general O-ring practice, as in ISO 3601-2).
Heat: ring and metal grow by their linear expansion; a ring held by its gland takes up in its section what the
metal does not let it grow in length.

Sizes (``oring_sizes.csv``): the inch series of AS568, which ISO 3601-1 has as its codes 004 to 475; millimetres are
inches times 25.4, rounded to 0.01. Every row was compared with one open table of ISO 3601 dimensions (the project
bd_warehouse, ``o-ring_parameters.csv``) and agrees; neither standard itself was read.

Not verified: the limits of squeeze are read from the same project's table of static glands; those of stretch and
fill are general practice. Swelling in the product, compression set and ageing are not in any of these figures.
"""

from __future__ import annotations

import csv
import math
from dataclasses import dataclass, replace
from functools import cache
from importlib import resources
from typing import Literal

from .figures import Figure, Input, Limit, make_figure, with_span
from .materials import ROOM_C, material
from .topics import PROCESS, SIZE, Topic

GlandKind = Literal["piston", "rod", "face-out", "face-in", "loop"]
"""What holds the ring: ``piston`` a groove or journal inside it (radial squeeze), ``rod`` a groove around it (radial);
``face-out`` a face groove with pressure inside, so that it lies against the outer wall, ``face-in`` with pressure
outside; ``loop`` a face groove that is no circle (axial squeeze)."""

Motion = Literal["static", "sliding"]
"""Whether the parts that press a ring stand still in service or slide along each other: then it takes less squeeze."""

_INNER = ("piston", "face-in")
_OUTER = ("rod", "face-out")
_AXIAL = ("face-out", "face-in", "loop")

PRACTICE = Topic("source.oring_practice", standard="ISO 3601-2")
PRACTICE_HOT = Topic("source.oring_practice_hot", standard="ISO 3601-2")
OPEN_GLANDS = Topic("source.open_glands", work="bd_warehouse", file="o-ring_static_gland_parameters.csv")

STRETCH_TOLERATED = {"inner": (0.0, 5.0), "outer": (-3.0, 0.0), "loop": (-1.0, 5.0)}
STRETCH_RECOMMENDED = {"inner": (1.0, 3.0), "outer": (-2.0, 0.0), "loop": (0.0, 3.0)}
"""Percent, by what holds the ring; a ring around which the groove lies is pressed together, hence below zero."""

JACKETED = "ptfe-encapsulated"
"""Material of a ring with a rubber core in a stiff jacket."""

SQUEEZE = {
    1.78: ((18.0, 32.0), (19.0, 33.0)),
    2.62: ((14.0, 25.0), (19.0, 29.0)),
    3.53: ((14.0, 23.0), (20.0, 30.0)),
    5.33: ((14.0, 21.0), (20.0, 28.0)),
    6.99: ((13.0, 20.0), (20.0, 27.0)),
}
"""Section in mm to the span of squeeze in percent of a static gland, radial and axial, all tolerances used up."""

SLIDING_SQUEEZE = (10.0, 15.0)
SLIDING_SQUEEZE_HOT = (10.0, 20.0)
"""Span of squeeze in percent where the ring slides, cold and hot: more wears it and holds the part that has to follow;
what rubber grows in service is allowed for, as usual for rings that slide to and fro."""

FILL_RECOMMENDED = 85.0
FILL_TOLERATED = 90.0
"""Percent of the gland's section, at room temperature."""


@dataclass(frozen=True)
class RingSize:
    """One O-ring: inside diameter d1, section d2, their tolerances, mm. ``code`` is empty where made to size."""

    code: str
    d1_mm: float
    d1_tol_mm: float
    d2_mm: float
    d2_tol_mm: float
    d1_in: float | None = None
    d2_in: float | None = None

    @property
    def source(self) -> Topic:
        """Where its dimensions come from."""
        if not self.code:
            return Topic("source.ring_made")
        return Topic("source.ring_size", standard="ISO 3601-1 / AS568", code=self.code)


@dataclass(frozen=True)
class Gland:
    """The room of an O-ring, ``key`` the kind of part that lies in it.

    ``seat_mm`` is the diameter that holds the ring: groove bottom or journal (``piston``), groove's outer diameter
    (``rod``, ``face-out``), its inner one (``face-in``), or the length of the groove's middle line divided by π
    (``loop``).
    """

    key: str
    kind: GlandKind
    depth_mm: float
    """Distance of the two walls that press the ring, clearance included."""
    width_mm: float
    seat_mm: float
    depth_tol_mm: float = 0.0
    """Half the tolerance of the depth."""
    metal: str = "316L"
    source: Topic = SIZE
    motion: Motion = "static"

    @property
    def hold(self) -> str:
        """``inner``, ``outer`` or ``loop``: which side of the ring is held."""
        return "inner" if self.kind in _INNER else "outer" if self.kind in _OUTER else "loop"

    def free_diameter(self, ring: RingSize) -> float:
        """Return the ring's own diameter that the seat is compared with, mm."""
        return ring.d1_mm + {"inner": 0, "outer": 2, "loop": 1}[self.hold] * ring.d2_mm


@dataclass(frozen=True)
class SizeChoice:
    """The standard size nearest to a gland, how it would sit, and its neighbours."""

    gland: str
    """Key of the gland."""
    ring: RingSize
    stretch: Figure
    others: tuple[RingSize, ...] = ()

    @property
    def fits(self) -> bool:
        """Whether it may be stretched so far; otherwise the ring is made to size."""
        return self.stretch.judgement != "outside"


@cache
def ring_sizes() -> tuple[RingSize, ...]:
    """Return the size table, smallest code first."""
    text = resources.files(__package__).joinpath("oring_sizes.csv").read_text(encoding="utf-8")
    return tuple(
        RingSize(
            row["code"],
            *(float(row[k]) for k in ("d1_mm", "d1_tol_mm", "d2_mm", "d2_tol_mm", "d1_in", "d2_in")),
        )
        for row in csv.DictReader(text.splitlines())
    )


def ring_size(code: str) -> RingSize:
    """Return the size with that code.

    Raises:
        KeyError: if there is none; says which codes there are.

    >>> ring_size("214").d1_mm
    24.99
    """
    for ring in ring_sizes():
        if ring.code == code:
            return ring
    raise KeyError(
        f"no O-ring size '{code}'; there are 004 to 050, 102 to 178, 201 to 284, 309 to 395 and 425 to 475"
    )


def made_to_size(gland: Gland, section_mm: float) -> RingSize:
    """Return a ring that fits ``gland`` without stretch, its section one of the standard's."""
    tolerance = next((r.d2_tol_mm for r in ring_sizes() if abs(r.d2_mm - section_mm) < 0.005), 0.0)
    d1 = gland.seat_mm - {"inner": 0, "outer": 2, "loop": 1}[gland.hold] * section_mm
    # Rounded to the side that is tolerated: a ring held from inside is not larger than its seat, one held from
    # outside not smaller.
    up = gland.hold == "outer"
    hundredths = math.ceil(100 * d1 - 1e-6) if up else math.floor(100 * d1 + 1e-6)
    return RingSize("", hundredths / 100, 0.0, section_mm, tolerance)


# ---- figures at room temperature


def stretch_figure(gland: Gland, ring: RingSize) -> Figure:
    """Return the installed stretch in percent; below zero the ring is pressed together along its length."""
    d1, d2 = _d1(ring), _d2(ring)
    formula = {
        "inner": "100·(D - d₁)/d₁",
        "outer": "100·(D - d₁ - 2·d₂)/(d₁ + 2·d₂)",
        "loop": "100·(D - d₁ - d₂)/(d₁ + d₂)",
    }[gland.hold]
    seat = Input("D", Topic(f"input.seat.{gland.hold}"), gland.seat_mm, "mm", gland.source)
    inputs = (seat, d1) if gland.hold == "inner" else (seat, d1, d2)
    low, high = STRETCH_TOLERATED[gland.hold]
    limit = Limit(low, high, "%", PRACTICE, Topic("limit.tolerated"), Topic("caveat.limits_typed"))
    topic = Topic("figure.stretch", gland=gland.key)
    figure = make_figure(f"{gland.key}.stretch", topic, "ε", "%", formula, inputs, PRACTICE, limit=limit)
    corners = [{"d₁": ring.d1_mm + s * ring.d1_tol_mm} for s in (-1, 1)]
    return with_span(figure, corners, Topic("span.ring_d1"))


def section_figure(gland: Gland, ring: RingSize, stretch: Figure | None = None) -> Figure:
    """Return the section of the ring in place, mm: stretched it is thinner, its volume stays."""
    stretch = stretch or stretch_figure(gland, ring)
    figure = make_figure(
        f"{gland.key}.section", Topic("figure.section", gland=gland.key), "dₛ", "mm", "d₂/√(1 + ε/100)",
        (_d2(ring), stretch.as_input("ε")), PRACTICE, not_verified=Topic("caveat.section"),
    )  # fmt: skip
    return with_span(
        figure,
        [{"d₂": d2, "ε": e} for d2 in _tolerance(ring.d2_mm, ring.d2_tol_mm) for e in _ends(stretch)],
        Topic("span.ring"),
    )


def squeeze_figure(gland: Gland, ring: RingSize, section: Figure | None = None) -> Figure:
    """Return the squeeze in percent of the section in place, at room temperature."""
    section = section or section_figure(gland, ring)
    figure = make_figure(
        f"{gland.key}.squeeze", Topic("figure.squeeze", gland=gland.key), "q", "%", "100·(dₛ - H)/dₛ",
        (section.as_input("dₛ"), _depth(gland)), PRACTICE, limit=squeeze_limit(gland, ring),
    )  # fmt: skip
    return with_span(figure, _pressed(gland, section), Topic("span.ring_and_gland"))


def fill_figure(gland: Gland, ring: RingSize, section: Figure | None = None) -> Figure:
    """Return how much of the gland's section the ring fills, percent, at room temperature."""
    section = section or section_figure(gland, ring)
    limit = Limit(
        None, FILL_TOLERATED, "%", PRACTICE, Topic("limit.fill", better=FILL_RECOMMENDED), Topic("caveat.typed")
    )  # fmt: skip
    figure = make_figure(
        f"{gland.key}.fill", Topic("figure.fill", gland=gland.key), "f", "%", "100·π/4·dₛ²/(W·H)",
        (section.as_input("dₛ"), _width(gland), _depth(gland)), PRACTICE, limit=limit,
    )  # fmt: skip
    return with_span(figure, _pressed(gland, section), Topic("span.ring_and_gland"))


def _pressed(gland: Gland, section: Figure) -> list[dict[str, float]]:
    """Return the ends of section in place and of gland depth that tolerances leave."""
    depths = _tolerance(gland.depth_mm, gland.depth_tol_mm)
    return [{"dₛ": d, "H": h} for d in _ends(section) for h in depths]


def squeeze_limit(gland: Gland, ring: RingSize, hot: bool = False) -> Limit:
    """Return the span of squeeze that a gland is made for at room temperature: a static one by its section, a sliding
    one whatever its section."""
    if gland.motion == "sliding":
        sliding = Topic(f"limit.squeeze{'_hot' if hot else ''}.sliding")
        low, high = SLIDING_SQUEEZE_HOT if hot else SLIDING_SQUEEZE
        return Limit(low, high, "%", PRACTICE, sliding, Topic("caveat.limits_typed"))
    section = min(SQUEEZE, key=lambda s: abs(s - ring.d2_mm))
    low, high = SQUEEZE[section][gland.kind in _AXIAL]
    way = "axial" if gland.kind in _AXIAL else "radial"
    condition = Topic(f"limit.squeeze{'_hot' if hot else ''}.{way}", section_mm=section)
    return Limit(low, high, "%", OPEN_GLANDS, condition, Topic("caveat.not_read", standard="ISO 3601-2"))


# ---- figures at process temperature


def hot_figures(gland: Gland, ring: RingSize, elastomer: str, process_c: float) -> tuple[Figure, ...]:
    """Return stretch, section, squeeze and fill at ``process_c`` for a ring of ``elastomer``.

    Spans are those of the elastomer's expansion, which scatters between compounds.

    Raises:
        UnknownMaterial: if the elastomer or the gland's metal is not in the materials table.
    """
    rubber, metal = material(elastomer), material(gland.metal)
    rise = Topic("input.warming", room_c=ROOM_C, process_c=process_c)
    warmth = Input("Δt", rise, process_c - ROOM_C, "K", PROCESS, 1)
    e, m = rubber.expansion_input("e"), metal.expansion_input("m")
    spread = (rubber.expansion_low, rubber.expansion_high)
    span = Topic("span.compounds", elastomer=elastomer)
    doubt = Topic("caveat.hot_jacketed" if elastomer == JACKETED else "caveat.hot_ring")
    cold = stretch_figure(gland, ring)

    def hot(kind: str, symbol: str, unit: str, formula: str, given: tuple[Input, ...]) -> Figure:
        topic = Topic(f"figure.{kind}_hot", gland=gland.key, elastomer=elastomer, process_c=process_c)
        return make_figure(
            f"{gland.key}.{kind}_hot", topic, symbol, unit, formula, given, PRACTICE_HOT, not_verified=doubt
        )

    stretch = hot(
        "stretch", "εₕ", "%", "100·((1 + ε/100)·(1 + m·Δt·10⁻⁶)/(1 + e·Δt·10⁻⁶) - 1)",
        (cold.as_input("ε"), m, e, warmth),
    )  # fmt: skip
    stretch = with_span(stretch, [{"e": x} for x in spread], span)
    # A ring that lies on a diameter comes loose when it outgrows it; only then does it grow freely.
    held = "max(εₕ, 0)" if gland.hold == "inner" else "εₕ"
    section = hot(
        "section", "dₕ", "mm", f"d₂·(1 + e·Δt·10⁻⁶)/√(1 + {held}/100)",
        (_d2(ring), e, warmth, stretch.as_input("εₕ")),
    )  # fmt: skip
    paired = zip(spread, (stretch.high, stretch.low), strict=True)
    section = with_span(section, [{"e": x, "εₕ": s} for x, s in paired if s is not None], span)
    ends = [{"dₕ": x} for x in (section.low, section.high) if x is not None]
    deep = "H·(1 + m·Δt·10⁻⁶)"
    squeeze = hot(
        "squeeze", "qₕ", "%", f"100·(1 - {deep}/dₕ)", (section.as_input("dₕ"), _depth(gland), m, warmth)
    )  # fmt: skip
    squeeze = replace(with_span(squeeze, ends, span), limit=squeeze_limit(gland, ring, hot=True))
    fill = hot(
        "fill", "fₕ", "%", f"100·π/4·dₕ²/(W·{deep}·(1 + m·Δt·10⁻⁶))",
        (section.as_input("dₕ"), _width(gland), _depth(gland), m, warmth),
    )  # fmt: skip
    full = Limit(None, 100.0, "%", Topic("source.full_gland"))
    return stretch, section, squeeze, replace(with_span(fill, ends, span), limit=full)


def gland_figures(
    gland: Gland, ring: RingSize, elastomer: str, process_c: float | None = None
) -> tuple[Figure, ...]:
    """Return all figures of a ring in its gland: stretch, section, squeeze, fill; with ``process_c`` also hot.

    Raises:
        UnknownMaterial: if the elastomer or the gland's metal is not in the materials table.
    """
    material(elastomer)
    stretch = stretch_figure(gland, ring)
    section = section_figure(gland, ring, stretch)
    if elastomer == JACKETED:
        # A stiff jacket: how far it may be stretched is for the ring's maker to say.
        stretch = replace(stretch, limit=None)
    cold = (stretch, section, squeeze_figure(gland, ring, section), fill_figure(gland, ring, section))
    return cold if process_c is None else cold + hot_figures(gland, ring, elastomer, process_c)


# ---- which standard size


def nearest_size(gland: Gland, section_mm: float | None = None) -> SizeChoice:
    """Return the standard size that sits in ``gland`` nearest to the middle of the recommended stretch.

    Args:
        gland: the gland.
        section_mm: section to keep to; None takes the one whose squeeze is best in this depth.
    """
    if section_mm is None:
        section_mm = min(
            SQUEEZE, key=lambda s: abs(1 - gland.depth_mm / s - sum(SQUEEZE[s][_way(gland)]) / 200)
        )
    sections = {r.d2_mm for r in ring_sizes()}
    nearest = min(sections, key=lambda s: abs(s - section_mm))
    low, high = STRETCH_RECOMMENDED[gland.hold]
    rings = [r for r in ring_sizes() if r.d2_mm == nearest]
    rings.sort(key=lambda r: abs(100 * (gland.seat_mm / gland.free_diameter(r) - 1) - (low + high) / 2))
    best = rings[0]
    return SizeChoice(gland.key, best, stretch_figure(gland, best), tuple(rings[1:3]))


# ---- shared


def _way(gland: Gland) -> int:
    return int(gland.kind in _AXIAL)


def _d1(ring: RingSize) -> Input:
    return Input("d₁", Topic("input.ring_inside"), ring.d1_mm, "mm", ring.source, 2)


def _d2(ring: RingSize) -> Input:
    return Input("d₂", Topic("input.ring_section"), ring.d2_mm, "mm", ring.source, 2)


def _depth(gland: Gland) -> Input:
    return Input("H", Topic("input.gland_depth"), gland.depth_mm, "mm", gland.source)


def _width(gland: Gland) -> Input:
    return Input("W", Topic("input.gland_width"), gland.width_mm, "mm", gland.source)


def _tolerance(value: float, half: float) -> tuple[float, float]:
    return value - half, value + half


def _ends(figure: Figure) -> tuple[float, ...]:
    return tuple(x for x in (figure.low, figure.high) if x is not None)
