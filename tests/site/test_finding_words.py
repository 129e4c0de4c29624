"""What calculation sheets show, word for word."""

from __future__ import annotations

import dataclasses
from typing import get_args

import pytest
from benchleaf.geometry.engineering.clearances import Chain, dimension, gap_figures, hot_gap_figure
from benchleaf.geometry.engineering.figures import Figure, Limit
from benchleaf.geometry.engineering.materials import material
from benchleaf.geometry.engineering.orings import Gland, nearest_size
from benchleaf.geometry.engineering.springs.disc_springs import DiscSpring
from benchleaf.geometry.engineering.springs.settling import Joint, loose_figures, settle
from benchleaf.geometry.engineering.springs.spring_seats import Pocket, State, TurnedOver, fit, turned_over
from benchleaf.geometry.engineering.strength.cantilevers import Overhang, deflection_figure
from benchleaf.geometry.engineering.topics import Topic
from benchleaf.sequences.calculations.calculation_sheets import (
    Borne,
    Gap,
    GapScatter,
    HotGap,
    Loosening,
    RingsOf,
    TooCoarse,
)
from benchleaf.sequences.values.instruments import instruments
from benchleaf.site.words.catalogue import load_words
from benchleaf.site.words.finding_words import finding_in_words, turned_over_in_words
from head_samples import make_fleet_head, sourced, span

WORDS = load_words("en")
SPRING = DiscSpring(24.0, 14.0, 1.5, 0.7)
SHEET = Topic("source.on_file", document="sheet 7", revision="B", table="", page="", date="2031-01-01")


def said(finding: object) -> str:
    text = finding_in_words(finding, WORDS)  # type: ignore[arg-type]
    return text.replace("\u00a0", " ").replace("\u202f", " ")


# ------------------------------------------------------------------ rings
def test_rings_and_their_nearest_size() -> None:
    assert said(RingsOf(2, "FKM")) == "2 in this head, FKM."
    assert said(RingsOf(1, "ptfe-encapsulated")) == "1 in this head, PTFE-encapsulated rubber."
    fits = nearest_size(Gland("hub_oring", "piston", 2.8, 4.7, 25.49), 3.53)
    assert (
        said(fits)
        == "Nearest standard size for rotor hub O-ring: O-ring 214 (24.99 x 3.53 mm), 2.0 % stretch."
    )
    none = nearest_size(Gland("hub_oring", "piston", 2.1, 3.5, 25.03))
    assert said(none) == (
        "No standard size of 2.62 mm section fits rotor hub O-ring: the nearest, O-ring 120 (25.07 x 2.62 mm), would "
        "be stretched by −0.2 %. The ring is made to size."
    )


# ------------------------------------------------------------------ the nut's spring
def pocket(land_outer: float = 18.5, share: float = 0.75) -> Pocket:
    """A pocket with the spring at ``share`` of its cone when the nut is home."""
    return Pocket(SPRING.thickness_mm + SPRING.cone_mm * (1 - share), 0.0, land_outer, 14.0, 24.3)


GOOD = (
    "The right way round the spring presses with about 4700 N and follows 0.53 mm of settling. Turned over it"
)
NOTHING = "the torque comes up as usual, but after the least settling nothing holds the nut tight, and nothing shows."
CHECK = "check the dimensions of spring, pocket and land."


def test_a_spring_turned_over_that_follows_less() -> None:
    assert said(turned_over(SPRING, pocket())) == (
        f"{GOOD} bears on the wrong edges: it presses with 6500 N and follows only 0.14 mm (27 %). After that nothing "
        "holds the nut tight, although the torque was right and nothing shows."
    )


@pytest.mark.parametrize(
    ("found", "words"),
    [
        (turned_over(SPRING, pocket(land_outer=16.0)), f"{GOOD} touches nothing that presses it: {NOTHING}"),
        (
            turned_over(SPRING, pocket(land_outer=14.5)),
            f"{GOOD} bears at one circle and lies solid: {NOTHING}",
        ),
        (
            turned_over(SPRING, pocket(land_outer=30.0)),
            "Either way round the spring presses with about 4700 N and follows 0.53 mm of settling: on these seats "
            "turning it over changes neither, but it bears on the wrong edge and is no longer centred as drawn.",
        ),
        (
            turned_over(SPRING, dataclasses.replace(pocket(), gap_mm=2.5)),
            f"Even the right way round the spring is not pressed at all when the nut is home: {CHECK}",
        ),
        (
            turned_over(SPRING, dataclasses.replace(pocket(), gap_mm=1.4)),
            f"Even the right way round the spring is pressed flat before the nut is home: {CHECK}",
        ),
    ],
)
def test_each_other_effect_of_turning_it_over(found: TurnedOver, words: str) -> None:
    assert said(found) == words


def test_effects_that_no_pocket_here_has() -> None:
    right = fit(SPRING, pocket())
    flat = TurnedOver(right, dataclasses.replace(right, turned_over=True, state="flat"), ())
    assert said(flat) == (
        f"{GOOD} lies solid before the nut is home: the torque goes into the spring, the nut stands proud, and there "
        "is no travel left to follow settling."
    )
    more = dataclasses.replace(right, turned_over=True, travel_mm=1.5 * right.travel_mm)
    assert said(TurnedOver(right, more, ())) == (
        f"{GOOD} bears on the wrong edges: it presses with 4700 N and follows 0.79 mm. The same torque no longer means "
        "the same preload, and nothing shows."
    )
    solid = TurnedOver(dataclasses.replace(right, state="no lever"), right, ())
    assert said(solid).startswith(
        "Even the right way round the spring bears on both sides at the same circle"
    )


def test_every_state_tells_something_else() -> None:
    right = fit(SPRING, pocket())
    states = [s for s in get_args(State) if s != "working"]
    told = [
        turned_over_in_words(TurnedOver(dataclasses.replace(right, state=s), right, ()), WORDS)
        for s in states
    ]
    told += [
        turned_over_in_words(TurnedOver(right, dataclasses.replace(right, state=s), ()), WORDS)
        for s in states
    ]
    assert len(set(told)) == 2 * len(states)


def test_what_settling_leaves() -> None:
    ways = [fit(SPRING, pocket(), over) for over in (False, True)]
    right, wrong = (settle(30_000, Joint(770.0, 1500.0), 20, SPRING, way) for way in ways)
    assert said(right) == (
        "After 20 µm of settling a joint without a spring keeps 66 % of its preload, with the spring right way round "
        f"{100 * right.kept_n / 30_000:.0f} %."
    )
    assert said(wrong) == (
        "After 20 µm of settling a joint without a spring keeps 66 % of its preload, with the spring turned over "
        f"{100 * wrong.kept_n / 30_000:.0f} %."
    )


def test_how_much_settling_leaves_nothing() -> None:
    joint, ways = Joint(770.0, 1500.0), [fit(SPRING, pocket(), over) for over in (False, True)]
    found = loose_figures(30_000, joint, SPRING, *ways)
    plain, right, wrong = (round(f.value) for f in found)
    assert plain == round(30_000 / 770 + 30_000 / 1500)
    assert plain < wrong < right
    assert said(Loosening(found)) == (
        f"Nothing is left of the preload after {plain} µm of settling in a joint without a spring, after {wrong} µm "
        f"with the spring turned over, and only after {right} µm with it the right way round."
    )


# ------------------------------------------------------------------ strength
def test_what_a_part_bears_is_told_with_its_limit() -> None:
    load = Figure("x", Topic("figure.rotor_load"), "F", 5000.0, "N", "", (), SHEET)
    modulus = material("duplex").youngs_input()
    limit = Limit(None, 0.08, "mm", SHEET)
    bent = deflection_figure(load, Overhang(36, 28, 50, 70), modulus, limit)
    amount = f"{bent.value:.3f}"
    assert said(Borne(bent)) == (
        f"Deflection of the shaft at the rotor's middle: {amount} mm. Inside the limit of 0.080 mm at most "
        "(sheet 7, rev. B; 2031-01-01)."
    )
    assert said(Borne(dataclasses.replace(bent, limit=None))).endswith(
        "There is no sourced limit to judge it by."
    )


# ------------------------------------------------------------------ clearances
def front(body: str = "316L", rotor: str = "nickel-alloy") -> Chain:
    return Chain(
        "front",
        (
            dimension("B", "body_face", 60.12, 0.020, 1, body),
            dimension("W", "rotor_front", 60.00, 0.015, -1, rotor),
        ),
    )


LEAD = "Front clearance: 0.120 mm by the dimensions, 0.085 mm to 0.155 mm with all tolerances at their ends."
JUDGED = [
    (0.05, 0.20, "Inside the limit of 0.050 to 0.200 mm (sheet 7, rev. B; 2031-01-01)."),
    (
        0.10,
        0.14,
        "Inside the limit of 0.100 to 0.140 mm (sheet 7, rev. B; 2031-01-01), but not over its whole span.",
    ),
    (0.13, 0.20, "Outside the limit of 0.130 to 0.200 mm (sheet 7, rev. B; 2031-01-01)."),
    (0.13, None, "Outside the limit of 0.130 mm at least (sheet 7, rev. B; 2031-01-01)."),
]


@pytest.mark.parametrize(("low", "high", "judged"), JUDGED)
def test_a_gap_is_judged_in_words(low: float, high: float | None, judged: str) -> None:
    assert said(Gap(gap_figures(front(), Limit(low, high, "mm", SHEET))[0])) == f"{LEAD} {judged}"


def test_a_gap_without_a_limit_is_not_judged() -> None:
    assert said(Gap(gap_figures(front())[0])) == f"{LEAD} There is no sourced limit to judge it by."
    assert said(GapScatter(0.095, 0.145)) == (
        "Nearly all heads lie between 0.095 mm and 0.145 mm if dimensions scatter independently."
    )


@pytest.mark.parametrize(
    ("body", "rotor", "process_c", "words"),
    [
        ("316L", "nickel-alloy", 120.0, "At 120 °C front clearance opens by 18 µm, to 0.138 mm."),
        ("duplex", "316L", 120.0, "At 120 °C front clearance closes by 18 µm, to 0.102 mm."),
        ("316L", "nickel-alloy", 20.0, "At 20 °C front clearance stays as it is, at 0.120 mm."),
    ],
)
def test_what_heat_does_to_a_gap(body: str, rotor: str, process_c: float, words: str) -> None:
    chain = front(body, rotor)
    hot = hot_gap_figure(chain, process_c)
    found = HotGap(hot, 1000 * (hot.value - chain.nominal_mm))
    assert said(found) == f"{words} There is no sourced limit to judge it by."


@pytest.mark.parametrize(
    ("share", "words"),
    [
        (1.0, "On the way to 120 °C, front clearance opens by 18 µm, to 0.138 mm."),
        (0.5, "On the way to 120 °C, front clearance closes by 31 µm, to 0.089 mm."),
        (0.8195, "On the way to 120 °C, front clearance stays at 0.120 mm."),
    ],
)
def test_what_warming_up_does_to_a_gap(share: float, words: str) -> None:
    body, rotor = front().links
    chain = Chain("front", (dataclasses.replace(body, temperature="body"), rotor))
    warm = hot_gap_figure(chain, 120.0, None, {"body": share}, "warm_up")
    assert said(HotGap(warm, 1000 * (warm.value - chain.nominal_mm))) == words


# ------------------------------------------------------------------ readings
def test_an_instrument_that_is_too_coarse() -> None:
    gap = make_fleet_head(80.0, {"radial_clearance": span("0.05", "0.06")}).values["radial_clearance"]
    (feeler,) = instruments("radial_clearance", "mm")
    assert said(TooCoarse(gap, feeler)) == (
        "Radial clearance, rotor to body, 0.05 to 0.06 mm (0.00197 to 0.00236 in): this method (±0.019 mm) is too "
        "coarse for these limits, its error is more than a third of the band between them. Take a finer method, or "
        "ask the responsible engineer."
    )
    torque = make_fleet_head(80.0, {"rotor_nut_torque": sourced("50", "N·m")}).values["rotor_nut_torque"]
    (wrench,) = instruments("rotor_nut_torque", "N·m", 50.0)
    assert said(TooCoarse(torque, wrench)) == (
        "Rotor nut torque, 50 N·m (36.9 lbf·ft): a wrench that is only as exact as its standard asks may leave these "
        "limits even when set to their middle. Its certificate has to show that it is finer."
    )
