"""Readings of a head's record sheet: with which instruments each is taken, and how exact that is.

API::

    instruments(value, unit, high) -> tuple[Instrument, ...]     # the first one is the usual one
    room_figure(value, instrument) -> Figure | None              # whether the limits leave room to pass at all
    STEPWISE: dict[key, MeasuringMethod]; WAYS, TORQUES          # which value is read in which way
"""

from __future__ import annotations

from dataclasses import replace

from ...geometry.engineering.bench_instruments import CALIPER, DIAL_SHORT, WRENCH, torque_wrench_figure
from ...geometry.engineering.figures import Figure, Input, Limit, make_figure
from ...geometry.engineering.measuring import METHODS, Instrument, uncertainty_figure
from ...geometry.engineering.topics import Topic
from ...geometry.engineering.units import UnitError, convert
from .sourced_values import ResolvedValue

STEPWISE = {**METHODS, CALIPER.key: CALIPER, DIAL_SHORT.key: DIAL_SHORT}
"""Key to measuring method; each is told step by step."""
WAYS: dict[str, tuple[str, ...]] = {
    "front_face_clearance": ("feeler-straightedge", "depth-micrometer", "dial-indicator"),
    "radial_clearance": ("feeler-radial",),
    "mesh_clearance": ("feeler-mesh",),
    "rear_clearance": ("feeler-bent",),
    "shaft_runout_limit": ("dial-indicator-short",),
    "shaft_end_float_limit": ("dial-indicator-short",),
    "dowel_wear_limit": ("dial-indicator-short",),
    "disc_spring_free_height": ("caliper",),
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


def room_figure(value: ResolvedValue, instrument: Instrument) -> Figure | None:
    """Return the width that the limits of ``value`` leave for readings that can pass; None without two limits.

    At or below zero no reading with this instrument can pass: the limits lie closer together than it can tell.
    """
    if value.given is None or value.low is None or value.high is None or instrument.figure.unit != value.unit:
        return None
    source = value.given.reference
    digits = 4 if value.unit == "mm" else 2
    return make_figure(
        f"room.{value.name}.{instrument.key}",
        Topic("figure.room", value=value.name, method=instrument.key),
        "R", value.unit, "Lₘₐₓ - Lₘᵢₙ - 2·U",
        (
            Input("Lₘₐₓ", Topic("input.greatest_allowed"), value.high, value.unit, source, digits),
            Input("Lₘᵢₙ", Topic("input.least_allowed"), value.low, value.unit, source, digits),
            replace(instrument.figure.as_input("U"), decimals=digits),
        ),
        Topic("source.room", standard="ISO 14253-1"),
        limit=Limit(0.0, None, value.unit, Topic("source.room_limit")), decimals=digits - 1,
    )  # fmt: skip
