"""Whether a size can be built with a head's options: rotors that turn, a nut that finds room in the hub."""

from __future__ import annotations

from .options import Options
from .profile_limits import profile_faults
from .room_rules import room_faults
from .size import Size, SizeError, SizeFault
from .stack_up import StackUp

LEAST_BOSS = 0.03
"""Least length of the body's bosses, as a share of C: with less, the hub of a two-wing rotor stands on the floor."""


def check_options(size: Size, options: Options) -> None:
    """Check that ``size`` can be built with ``options``.

    Raises:
        SizeError: with each limit that is broken and its value.
    """
    c = size.c
    faults: list[SizeFault] = []
    found = profile_faults(
        options.rotor, c, size.tip_radius_mm, size.running_gap_mm, size.wing_half_angle_deg
    )
    faults += [SizeFault(f.field, f.found, f.allowed, f.fix) for f in found]
    if not found:
        stack = StackUp(size, options)
        if options.rotor == "two-wing" and stack.boss_length < LEAST_BOSS * c:
            width = size.rotor_width_mm + LEAST_BOSS * c - stack.boss_length
            faults.append(
                SizeFault(
                    "rotor_width_mm",
                    f"{size.rotor_width_mm:g}",
                    f"{width:.4g} mm or more for a two-wing rotor with this nut",
                    "measure the rotor's width again, or override rotor_thread_mm with a smaller thread",
                )
            )
        room = stack.recess_room
        if stack.recess_radius > room:
            faults.append(
                SizeFault(
                    "rotor_thread_mm",
                    f"{size.rotor_thread_mm:g} (nut recess of radius {stack.recess_radius:.4g} mm)",
                    f"a nut recess up to {room:.4g} mm in this rotor's hub",
                    "override rotor_thread_mm or disc_spring_outer_mm with a smaller value",
                )
            )
        faults += room_faults(stack)
    if faults:
        raise SizeError(size.name, faults)
