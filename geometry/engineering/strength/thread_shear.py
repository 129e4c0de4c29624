"""Stripping of a metric thread: shear in the external and in the internal one, by the preload.

Method: shear areas of the nominal profile of ISO 68-1 over the engaged turns (VDI 2230, as behind ISO 898-2). With
d2 = D2 and D1 of ISO 724 they come to 0.75·π·D1·l for the external thread (on the internal one's crests) and to
0.875·π·d·l for the internal one (on the external one's). One pitch is taken off for the incomplete turns at both ends.

Not verified: tolerances of the profile and the widening of a thin nut lower both areas by some percent; that load
gathers in the first turns is not in the figure.
"""

from __future__ import annotations

from ..figures import Figure, Input, make_figure, with_span
from ..topics import SIZE, Topic
from .yields import SHEAR_SHARE, Yield, yield_limit

STRIP_SOURCE = Topic("source.thread_shear", standard="VDI 2230, ISO 898-2", profile="ISO 68-1")


def minor_diameter_mm(nominal_mm: float, pitch_mm: float) -> float:
    """Return the internal thread's minor diameter D1 of ISO 724.

    >>> round(minor_diameter_mm(16, 2), 3)
    13.835
    """
    return nominal_mm - 1.082532 * pitch_mm


def strip_figures(
    preload: Figure, nominal_mm: float, pitch_mm: float, engaged_mm: float, shaft: Yield, nut: Yield
) -> tuple[Figure, Figure]:
    """Return the shear in the shaft's thread and in the nut's, MPa, each judged by its own yield in shear.

    Args:
        preload: force, N, with its span.
        nominal_mm: nominal diameter.
        pitch_mm: pitch.
        engaged_mm: length over which the threads meet.
        shaft: yield of the external thread.
        nut: yield of the internal thread.

    Raises:
        ValueError: if less than a pitch is engaged.
    """
    if engaged_mm <= pitch_mm:
        raise ValueError(f"more than a pitch of {pitch_mm:g} mm has to be engaged, got {engaged_mm:g} mm")
    force = Input("F", Topic("input.preload"), preload.value, "N", Topic("source.preload_sheet"))
    length = Input("l", Topic("input.engaged"), engaged_mm, "mm", SIZE)
    pitch = Input("p", Topic("input.pitch"), pitch_mm, "mm", Topic("source.standard", standard="ISO 261"), 2)

    def shear(partner: str, formula: str, diameter: Input, metal: Yield) -> Figure:
        figure = make_figure(
            f"strength.strip_{partner}", Topic(f"figure.strip_{partner}"), "τ", "MPa", formula,
            (force, diameter, length, pitch), STRIP_SOURCE, limit=yield_limit([metal], SHEAR_SHARE, "shear"),
        )  # fmt: skip
        ends = [{"F": x} for x in (preload.low, preload.high) if x is not None]
        return figure if preload.span is None else with_span(figure, ends, preload.span)

    minor = Input(
        "D₁", Topic("input.minor_diameter"), minor_diameter_mm(nominal_mm, pitch_mm), "mm",
        Topic("source.standard", standard="ISO 724"),
    )  # fmt: skip
    major = Input("d", Topic("input.thread_diameter"), nominal_mm, "mm", SIZE, 1)
    return (
        shear("shaft", "F/(0.75·π·D₁·(l - p))", minor, shaft),
        shear("nut", "F/(0.875·π·d·(l - p))", major, nut),
    )
