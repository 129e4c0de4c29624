"""Readings of a head's record sheet: with which instruments each is taken, and how exact that is.

API::

    instruments(value, unit, high) -> tuple[Instrument, ...]     # the first one is the usual one
    share_figure(value, instrument) -> Figure | None             # what share of the limits' band its error takes
    STEPWISE: dict[key, MeasuringMethod]; WAYS, TORQUES          # which value is read in which way
"""

from __future__ import annotations

from dataclasses import replace

from ...geometry.engineering.bench_instruments import (
    CALIPER,
    DIAL_SHORT,
    MICROMETER,
    WRENCH,
    torque_wrench_figure,
)
from ...geometry.engineering.figures import Figure, Input, Limit, make_figure
from ...geometry.engineering.measuring import COARSE_SHARE, METHODS, Instrument, band, uncertainty_figure
from ...geometry.engineering.topics import Topic
from ...geometry.engineering.units import UnitError, convert
from .quantities import FLOOR
from .sourced_values import ResolvedValue

STEPWISE = {**METHODS, **{way.key: way for way in (CALIPER, MICROMETER, DIAL_SHORT)}}
"""Key to measuring method; each is told step by step."""
WAYS: dict[str, tuple[str, ...]] = {
    "front_face_clearance": ("feeler-straightedge", "depth-micrometer", "dial-indicator"),
    "radial_clearance": ("feeler-radial",),
    "mesh_clearance": ("feeler-mesh",),
    "rear_clearance": ("feeler-bent",),
    "shaft_runout_limit": ("dial-indicator-short",),
    "shaft_end_float_limit": ("dial-indicator-short",),
    "dowel_wear_limit": ("dial-indicator-short",),
    "disc_spring_free_height": ("micrometer",),
    "wave_spring_free_height": ("caliper",),
    "relief_spring_free_length": ("caliper",),
    "seal_face_wear_limit": ("caliper",),
}
"""Value name to the methods of measuring what it limits, the usual one first."""


TORQUES = ("rotor_nut_torque", "body_screw_torque", "cover_nut_torque", "relief_screw_torque")


def instruments(name: str | None, unit: str, high: float | None = None) -> tuple[Instrument, ...]:
    """Return the instruments for a reading that the value ``name`` judges; none where nothing is known of their error.

    Args:
        name: the value's name, None where a reading has no limits.
        unit: unit of the reading.
        high: greatest limit of a torque, in ``unit``; a wrench's error grows with it.
    """
    if name is None:
        return ()
    try:
        if name.endswith("_torque") and high is not None and high > 0:
            figure = torque_wrench_figure(float(convert(high, unit, "N·m")))
            topic = figure.topic.with_key("figure.reading_of", value=name)
            figure = replace(figure, id=f"{figure.id}.{name}", topic=topic)
            return (Instrument(WRENCH, float(convert(figure.value, "N·m", unit)), figure),)
        found = []
        for key in WAYS.get(name, ()):
            figure = uncertainty_figure(STEPWISE[key])
            found.append(Instrument(key, float(convert(figure.value, "mm", unit)), figure))
        return tuple(found)
    except UnitError:
        return ()


WRENCH_SHARE = 1 / 2
"""Greatest share of a torque's band that a wrench's error may take: beyond it the middle itself is not sure."""


def share_figure(value: ResolvedValue, instrument: Instrument) -> Figure | None:
    """Return what share of the band between the limits of ``value`` the instrument's error takes, %.

    Outside its limit the instrument is too coarse. None without a greatest limit: then there is no band.
    """
    floor = FLOOR[value.quantity]
    width = band(value.low, value.high, floor)
    if value.given is None or value.high is None or width is None or instrument.figure.unit != value.unit:
        return None
    source = value.given.reference
    least = floor if value.low is None else value.low
    assert least is not None
    digits = 4 if value.unit == "mm" else 2
    wrench = instrument.key == WRENCH
    limit = Topic("source.share_wrench" if wrench else "source.share_limit")
    return make_figure(
        f"share.{value.name}.{instrument.key}",
        Topic("figure.share", value=value.name, method=instrument.key),
        "p", "%", "100·U/(Lₘₐₓ - Lₘᵢₙ)",
        (
            replace(instrument.figure.as_input("U"), decimals=digits),
            Input("Lₘₐₓ", Topic("input.greatest_allowed"), value.high, value.unit, source, digits),
            Input(
                "Lₘᵢₙ", Topic("input.least_allowed"), least, value.unit,
                Topic("source.floor") if value.low is None else source, digits,
            ),
        ),
        Topic("source.share"),
        limit=Limit(None, 100 * (WRENCH_SHARE if wrench else COARSE_SHARE), "%", limit),
    )  # fmt: skip
