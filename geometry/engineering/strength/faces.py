"""Pressure on a ring-shaped face under a screw's or nut's preload (VDI 2230), against the yield of the weaker partner.

Not verified: VDI 2230 has higher pressures for some metals, from tests; the yield is on the safe side of them.
"""

from __future__ import annotations

from collections.abc import Sequence

from ..figures import Figure, Input, make_figure, with_span
from ..topics import SIZE, Topic
from .yields import Yield, yield_limit

FACE_SOURCE = Topic("source.face_pressure", standard="VDI 2230")


def face_figure(
    kind: str, preload: Figure, rings: Sequence[tuple[float, float]], partners: Sequence[Yield]
) -> Figure:
    """Return the pressure on a flat face, MPa, over the span of ``preload``.

    Args:
        kind: last part of its id and topic: which face.
        preload: force on it, N, with its span.
        rings: inner and outer diameter of each ring that bears, mm.
        partners: yields of the two that meet there.

    Raises:
        ValueError: if a ring has no width.
    """
    if not rings or any(not 0 <= inner < outer for inner, outer in rings):
        raise ValueError(f"a face bears on rings that have a width, got {rings}")
    terms, inputs = [], [_force(preload)]
    for n, (inner, outer) in enumerate(rings, 1):
        a, b = (f"{letter}{chr(0x2080 + n)}" for letter in "dD")
        terms.append(f"{b}² - {a}²")
        inputs.append(Input(b, Topic("input.pressed_outside", ring=n), outer, "mm", SIZE))
        inputs.append(Input(a, Topic("input.pressed_inside", ring=n), inner, "mm", SIZE))
    figure = make_figure(
        f"strength.{kind}", Topic(f"figure.{kind}"), "p", "MPa", f"F/(π/4·({' + '.join(terms)}))", tuple(inputs),
        FACE_SOURCE, limit=yield_limit(partners, 1.0, "face"),
    )  # fmt: skip
    return _over_span(figure, preload)


def _force(preload: Figure) -> Input:
    """Return the preload as input: it is worked out on a sheet of its own."""
    return Input("F", Topic("input.preload"), preload.value, "N", Topic("source.preload_sheet"))


def _over_span(figure: Figure, preload: Figure) -> Figure:
    ends = [{"F": x} for x in (preload.low, preload.high) if x is not None]
    return figure if preload.span is None else with_span(figure, ends, preload.span)
