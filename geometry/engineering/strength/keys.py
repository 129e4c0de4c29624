"""Parallel keys: shear and flank pressure by the torque they carry.

Method: force at the shaft's surface on the length between the round ends (DIN 6885-1, form A); flank pressure against
0.9 of the weakest partner's yield (DIN 6892, method C), shear against the yield in shear.

Not verified: the standards were not read; changes of load and its sharing among several keys are left out (one key).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ..figures import Figure, Input, make_figure
from ..topics import SIZE, Topic
from .yields import SHEAR_SHARE, Yield, yield_limit

KEY_SOURCE = Topic("source.key", standard="DIN 6892", form="DIN 6885-1")
FLANK_SHARE = 0.9


@dataclass(frozen=True)
class KeyJoint:
    """A round-ended key between shaft and hub, mm: shaft diameter, key width and length, height in shaft and hub."""

    shaft_mm: float
    width_mm: float
    length_mm: float
    in_shaft_mm: float
    in_hub_mm: float


def drive_torque_figure(pressure: Input, displacement: Input) -> Figure:
    """Return the torque by a pressure, all of it on one rotor, N·m.

    Args:
        pressure: bar, symbol p.
        displacement: litres a turn, symbol V.
    """
    return make_figure(
        "strength.drive_torque", Topic("figure.drive_torque"), "T", "N·m", "100·p·V/(2·π)", (pressure, displacement),
        Topic("source.drive_torque"),
    )  # fmt: skip


def key_figures(torque: Figure, key: KeyJoint, shaft: Yield, own: Yield, hub: Yield) -> tuple[Figure, ...]:
    """Return the force on a key, its shear and the pressure on its flanks in shaft and hub, each judged.

    Args:
        torque: what it carries, N·m.
        key: its dimensions.
        shaft: yield of the shaft.
        own: yield of the key.
        hub: yield of the hub; where it is not known the pressure there is not judged.

    Raises:
        ValueError: if the key is no longer than wide.
    """
    if key.length_mm <= key.width_mm:
        raise ValueError(
            f"a round-ended key is longer than wide, got {key.length_mm:g} x {key.width_mm:g} mm"
        )
    width = Input("b", Topic("input.key_width"), key.width_mm, "mm", SIZE)
    length = Input("l", Topic("input.key_length"), key.length_mm, "mm", SIZE)
    force = make_figure(
        "strength.key_force", Topic("figure.key_force"), "F", "N", "2000·T/d",
        (torque.as_input("T"), Input("d", Topic("input.rotor_fit"), key.shaft_mm, "mm", SIZE)), KEY_SOURCE,
    )  # fmt: skip
    shear = make_figure(
        "strength.key_shear", Topic("figure.key_shear"), "τ", "MPa", "F/(b·(l - b))",
        (force.as_input(), width, length), KEY_SOURCE, limit=yield_limit([own], SHEAR_SHARE, "shear"),
    )  # fmt: skip

    def flank(where: str, height_mm: float, partners: Sequence[Yield]) -> Figure:
        height = Input("h", Topic(f"input.key_height_{where}"), height_mm, "mm", SIZE)
        return make_figure(
            f"strength.key_flank_{where}", Topic(f"figure.key_flank_{where}"), "p", "MPa", "F/(h·(l - b))",
            (force.as_input(), height, length, width), KEY_SOURCE, limit=yield_limit(partners, FLANK_SHARE, "flank"),
        )  # fmt: skip

    return (
        force,
        shear,
        flank("shaft", key.in_shaft_mm, (shaft, own)),
        flank("hub", key.in_hub_mm, (own, hub)),
    )
