"""What settling leaves of the rotor nut's preload: in a plain joint, and with the disc spring beside its face.

Method: a joint of two elastic parts (VDI 2230, basic model): the shaft end that preload stretches and the hub that it
presses together. Settling takes that length away. The disc spring stands beside the nut's face and pushes on when
the face no longer does, as far as its travel reaches.

Not verified: parts are taken as elastic and their stiffness as that of plain bars; how much a joint settles is not
known beforehand, so figures compare equal amounts. No test on a pump has been compared with them.
"""

from __future__ import annotations

from dataclasses import dataclass

from ...bisection import zero_of
from ..figures import Figure, Input, make_figure
from ..topics import EARLIER, SIZE, Topic
from .disc_springs import DiscSpring
from .spring_seats import Fitted, seat_force_n

JOINT_SOURCE = Topic("source.joint", standard="VDI 2230")


@dataclass(frozen=True)
class Joint:
    """Axial stiffness of what is stretched (shaft end) and of what is pressed together (hub), N/µm."""

    stretched_n_um: float
    pressed_n_um: float
    source: Topic = SIZE


def axial_stiffness_n_um(youngs_gpa: float, area_mm2: float, length_mm: float) -> float:
    """Return the stiffness E·A/L of a bar.

    >>> axial_stiffness_n_um(200, 100, 50)
    400.0
    """
    return youngs_gpa * area_mm2 / length_mm


@dataclass(frozen=True)
class Settled:
    """What is left of a preload after settling: in a plain joint, and with the disc spring beside it."""

    preload_n: float
    settling_um: float
    plain_n: float
    kept_n: float
    spring_n: float
    """Share of the spring in ``kept_n``; all of it once the faces no longer press."""
    fitted: Fitted | None
    """The spring in its place, which way round; None for a plain joint."""
    figures: tuple[Figure, ...]


def settle(
    preload_n: float,
    joint: Joint,
    settling_um: float,
    spring: DiscSpring | None = None,
    fitted: Fitted | None = None,
) -> Settled:
    """Return what ``settling_um`` leaves of ``preload_n``.

    The nut is home on its face with the spring pressed beside it; where the preload does not reach the spring's
    force the nut hangs on the spring alone. Settling shortens the stack; the shaft end springs back by as much as
    keeps its pull equal to what face and spring push.

    Raises:
        ValueError: if preload or settling is below zero, or only one of ``spring`` and ``fitted`` is given.
    """
    if preload_n < 0 or settling_um < 0:
        raise ValueError(
            f"preload and settling are not below zero, got {preload_n:g} N and {settling_um:g} µm"
        )
    if (spring is None) != (fitted is None):
        raise ValueError("spring and its place in the pocket belong together")

    def push(travel_um: float) -> float:
        if spring is None or fitted is None:
            return 0.0
        return seat_force_n(spring, fitted.lever, travel_um / 1000)

    home_um = 0.0 if spring is None or fitted is None else _home_um(preload_n, spring, fitted)
    face_n = max(preload_n - push(home_um), 0.0)

    def spare(back_um: float) -> float:
        """Push of face and spring less the pull of the shaft end that has sprung back by ``back_um``."""
        gone = settling_um - back_um
        return (
            max(face_n - joint.pressed_n_um * gone, 0.0)
            + push(home_um - gone)
            - preload_n
            + joint.stretched_n_um * back_um
        )

    most_back = min(settling_um, preload_n / joint.stretched_n_um)
    back_um = zero_of(spare, 0.0, most_back) if spare(0.0) < 0 else 0.0
    kept = max(preload_n - joint.stretched_n_um * back_um, 0.0)
    remaining = push(home_um - (settling_um - back_um))
    plain = _plain_figure(preload_n, joint, settling_um)
    figures = (plain,) if fitted is None else (plain, *_kept_figures(preload_n, joint, back_um, fitted))
    return Settled(preload_n, settling_um, plain.value, kept, min(remaining, kept), fitted, figures)


def _home_um(preload_n: float, spring: DiscSpring, fitted: Fitted) -> float:
    """Return how far the spring is pressed once the nut is tight, µm: less than home where the preload ends on it."""
    home_um = fitted.travel_mm * 1000
    if seat_force_n(spring, fitted.lever, fitted.travel_mm) <= preload_n:
        return home_um
    return zero_of(lambda u: seat_force_n(spring, fitted.lever, u / 1000) - preload_n, 0.0, home_um)


def loose_figures(
    preload_n: float, joint: Joint, spring: DiscSpring, right: Fitted, wrong: Fitted
) -> tuple[Figure, Figure, Figure]:
    """Return how much settling leaves nothing of a preload, µm: without a spring, the right way round, turned over.

    Nothing is left once the shaft end has sprung back all the way, the face no longer presses and the spring is free:
    the pressed parts have come back, or the spring has followed to the end of its travel, whichever lasts longer.
    """
    preload, fitted_place = _preload_input(preload_n), Topic("source.fitted")
    stretched, pressed = _stretched_input(joint), _pressed_input(joint)
    plain = make_figure(
        "nut.loose_plain", Topic("figure.loose.plain"), "z₀", "µm", "P/k₁ + P/k₂", (preload, stretched, pressed),
        JOINT_SOURCE, decimals=0,
    )  # fmt: skip

    def sprung(fitted: Fitted, way: str) -> Figure:
        travel_mm = _home_um(preload_n, spring, fitted) / 1000
        given = (
            preload, stretched, pressed,
            Input("u", Topic(f"input.spring_travel_{way}"), travel_mm, "mm", fitted_place, 4),
            Input("Fₙ", Topic(f"input.spring_force_{way}"), min(fitted.force_n, preload_n), "N", fitted_place, 0),
        )  # fmt: skip
        return make_figure(
            f"nut.loose_{way}", Topic(f"figure.loose.{way}"), "z", "µm", "P/k₁ + max(1000·u, (P - Fₙ)/k₂)", given,
            JOINT_SOURCE, not_verified=Topic("caveat.settling"), decimals=0,
        )  # fmt: skip

    return plain, sprung(right, "right"), sprung(wrong, "turned_over")


def _preload_input(preload_n: float) -> Input:
    return Input("P", Topic("input.preload"), preload_n, "N", EARLIER, 0)


def _stretched_input(joint: Joint) -> Input:
    return Input("k₁", Topic("input.shaft_end_stiffness"), joint.stretched_n_um, "N/µm", joint.source, 2)


def _pressed_input(joint: Joint) -> Input:
    return Input("k₂", Topic("input.pressed_stiffness"), joint.pressed_n_um, "N/µm", joint.source, 2)


def _kept_figures(preload_n: float, joint: Joint, back_um: float, fitted: Fitted) -> tuple[Figure, Figure]:
    """Return what is kept with the spring beside the face, as a force and as a share of the preload."""
    tail = "_reversed" if fitted.turned_over else ""
    way = "turned_over" if fitted.turned_over else "right"
    preload = _preload_input(preload_n)
    back = Input("x", Topic("input.spring_back"), back_um, "µm", Topic("source.solved"), 4)
    kept = make_figure(
        f"nut.kept{tail}", Topic(f"figure.kept.{way}"), "F", "N", "max(P - k₁·x, 0)",
        (preload, _stretched_input(joint), back), JOINT_SOURCE,
    )  # fmt: skip
    share = make_figure(
        f"nut.kept_share{tail}", Topic(f"figure.kept_share.{way}"), "r", "%", "100·F/P",
        (kept.as_input("F"), preload), JOINT_SOURCE, not_verified=Topic("caveat.settling"),
    )  # fmt: skip
    return kept, share


def _plain_figure(preload_n: float, joint: Joint, settling_um: float) -> Figure:
    given = (
        _preload_input(preload_n),
        Input("z", Topic("input.settling"), settling_um, "µm", Topic("source.assumed")),
        _stretched_input(joint),
        _pressed_input(joint),
    )
    return make_figure(
        "nut.kept_plain", Topic("figure.kept.plain"), "F₀", "N", "max(P - z·k₁·k₂/(k₁ + k₂), 0)", given, JOINT_SOURCE
    )  # fmt: skip
