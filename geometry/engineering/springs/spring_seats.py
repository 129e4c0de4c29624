"""The disc spring in the rotor nut: how it bears, right way round and turned over, and what that does to the nut.

The spring sits in the nut's pocket, between the pocket's floor and the land of the rotor's hub. Right way round it
bears on its edges. Turned over, the edge that should meet the wide seat meets the narrow one and stands out beside
it: the spring then bears on the seat's edge, on a shorter lever. Force goes up and travel down in the ratio of the
levers (DIN EN 16984, force through shortened levers, F·s stays). What counts for the nut is the travel: it is how
much settling the spring can follow before the nut is loose.

Not verified: worked out for a stiff, sharp-edged disc on flat, hard seats without friction, the nut home on its face;
the rim that stands over a seat's edge is taken to have free room. A spring that is turned over also digs its seat's
edge in, which is not in the figures and makes settling worse. No test on a pump has been compared with these figures.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from ..figures import Figure, Input, make_figure
from ..topics import SIZE, Topic
from .disc_springs import DiscSpring, cone_input, force_figures, inner_input, outer_input, thickness_input

LEVER_SOURCE = Topic("source.lever", standard="DIN EN 16984")
LEAST_LEVER = 0.10
"""Below this share of the full lever a disc no longer works as a spring; it rocks or lies solid."""

State = Literal["working", "loose", "flat", "no lever"]
Effect = State | Literal["alike", "less", "more"]
"""``less`` and ``more``: how much settling it follows turned over, against the right way round."""
ALIKE = 0.02
"""Travel and force that differ by less than this share are the same."""
Facing = Literal["nut", "hub"]


@dataclass(frozen=True)
class Pocket:
    """Where the spring sits: the nut's pocket floor before it, the hub's land behind it. Diameters and gap in mm.

    ``gap_mm`` is the distance of the two when the nut is home; ``outer_edge`` says towards which of them the outer
    edge of the cone lies when the spring is the right way round: data of the size, makers differ.
    """

    gap_mm: float
    land_inner_mm: float
    land_outer_mm: float
    floor_inner_mm: float
    floor_outer_mm: float
    outer_edge: Facing = "nut"
    source: Topic = SIZE


@dataclass(frozen=True)
class Fitted:
    """A spring in its pocket with the nut home, one way round. Contacts are diameters, mm."""

    turned_over: bool
    hub_contact_mm: float
    nut_contact_mm: float
    lever: float
    """Share of the full lever (De - Di) that the two contacts leave."""
    travel_mm: float
    """How far it is pressed together between its contacts, and so how much settling it can follow."""
    deflection_mm: float
    """The same, as deflection of the whole spring."""
    force_n: float
    state: State


def fit(spring: DiscSpring, pocket: Pocket, turned_over: bool = False) -> Fitted:
    """Return how ``spring`` sits in ``pocket``.

    On each side the part of the cone bears that stands nearest: an edge, or the edge of the seat where the seat is
    narrower than the spring.
    """
    outer_at_nut = (pocket.outer_edge == "nut") != turned_over
    wide, narrow = spring.outer_mm, spring.inner_mm
    if outer_at_nut:
        hub, nut = max(narrow, pocket.land_inner_mm), min(wide, pocket.floor_outer_mm)
        lever = (nut - hub) / (wide - narrow)
    else:
        hub, nut = min(wide, pocket.land_outer_mm), max(narrow, pocket.floor_inner_mm)
        lever = (hub - nut) / (wide - narrow)
    if lever < LEAST_LEVER:
        return Fitted(turned_over, hub, nut, max(lever, 0.0), 0.0, 0.0, 0.0, "no lever")
    room = spring.thickness_mm + lever * spring.cone_mm - pocket.gap_mm
    if room <= 0:
        return Fitted(turned_over, hub, nut, lever, 0.0, 0.0, 0.0, "loose")
    state: State = "working" if room < lever * spring.cone_mm - 1e-9 else "flat"
    travel = min(room, lever * spring.cone_mm)
    return Fitted(
        turned_over, hub, nut, lever, travel, travel / lever, seat_force_n(spring, lever, travel), state
    )


def seat_force_n(spring: DiscSpring, lever: float, travel_mm: float) -> float:
    """Return the force between the contacts at a travel between them, none where they no longer touch."""
    if travel_mm <= 0 or lever < LEAST_LEVER:
        return 0.0
    return spring.force_n(min(travel_mm / lever, spring.cone_mm)) / lever


@dataclass(frozen=True)
class TurnedOver:
    """What turning the spring over does: both ways, and their figures."""

    right: Fitted
    wrong: Fitted
    figures: tuple[Figure, ...]

    @property
    def effect(self) -> Effect:
        """What a spring that works the right way round does turned over."""
        if self.wrong.state != "working":
            return self.wrong.state
        share = self.wrong.travel_mm / self.right.travel_mm
        force = self.wrong.force_n / self.right.force_n
        if abs(share - 1) < ALIKE and abs(force - 1) < ALIKE:
            return "alike"
        return "less" if share < 1 else "more"


def turned_over(spring: DiscSpring, pocket: Pocket) -> TurnedOver:
    """Return the spring's force and the settling it can follow, right way and turned over."""
    right, wrong = fit(spring, pocket), fit(spring, pocket, turned_over=True)
    figures = (*_fit_figures(spring, pocket, right), *_fit_figures(spring, pocket, wrong))
    return TurnedOver(right, wrong, figures)


def _fit_figures(spring: DiscSpring, pocket: Pocket, fitted: Fitted) -> Iterable[Figure]:
    tail, way = ("_reversed", "turned_over") if fitted.turned_over else ("", "right")
    at_nut = (pocket.outer_edge == "nut") != fitted.turned_over
    outer, inner = fitted.hub_contact_mm, fitted.nut_contact_mm
    if at_nut:
        outer, inner = inner, outer
    edges = Topic("source.edges")
    lever = make_figure(
        f"disc_spring.lever{tail}", Topic(f"figure.lever.{way}"), "λ", "%", "100·max(Cₒ - Cᵢ, 0)/(Dₑ - Dᵢ)",
        (
            Input("Cₒ", Topic("input.outer_contact"), outer, "mm", edges),
            Input("Cᵢ", Topic("input.inner_contact"), inner, "mm", edges),
            outer_input(spring),
            inner_input(spring),
        ),
        LEVER_SOURCE,
    )  # fmt: skip
    yield lever
    if fitted.state == "no lever":
        return
    travel = make_figure(
        f"disc_spring.travel{tail}", Topic(f"figure.spring_travel.{way}"), "u", "mm",
        "min(max(t + λ/100·h₀ - G, 0), λ/100·h₀)",
        (
            thickness_input(spring),
            lever.as_input(),
            cone_input(spring),
            Input("G", Topic("input.seat_gap"), pocket.gap_mm, "mm", pocket.source, 4),
        ),
        LEVER_SOURCE,
    )  # fmt: skip
    yield travel
    if fitted.force_n <= 0:
        return
    force = force_figures(spring, fitted.deflection_mm, f"disc_spring.edge_force{tail}")[1]
    yield force
    yield make_figure(
        f"disc_spring.force{tail}", Topic(f"figure.nut_force.{way}"), "Fₙ", "N", "F/(λ/100)",
        (force.as_input("F"), lever.as_input()), LEVER_SOURCE, not_verified=force.not_verified,
    )  # fmt: skip
