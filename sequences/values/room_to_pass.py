"""Whether the limits of a value leave readings with an instrument room to pass at all."""

from __future__ import annotations

from dataclasses import dataclass, replace

from ...geometry.engineering.figures import Figure, Input, Limit, make_figure
from ...geometry.engineering.measuring import Instrument
from ...geometry.engineering.topics import Topic
from .sourced_values import ResolvedValue


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


@dataclass(frozen=True)
class NoRoom:
    """Limits that lie closer together than an instrument can tell, so that no reading with it can pass."""

    value: ResolvedValue
    instrument: Instrument


def no_room(value: ResolvedValue, instrument: Instrument) -> NoRoom | None:
    """Return what is found where the limits of ``value`` lie closer together than ``instrument`` can tell."""
    room = room_figure(value, instrument)
    return NoRoom(value, instrument) if room is not None and room.judgement == "outside" else None
