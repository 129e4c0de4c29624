"""The rotor nut: from the torque on file to its preload, the stress in its thread, and what settling leaves.

No torque on file: a blank, and no preload. The state of the threads is part of a sourced torque; where it is not given,
the three states are shown side by side and none is taken for the right one.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from ...geometry.dimensions.stack_up import StackUp
from ...geometry.engineering.figures import Figure
from ...geometry.engineering.preload import (
    LUBRICATIONS,
    Lubrication,
    TorqueDoubt,
    check_torque,
    preload_figures,
    strength,
    stress_area_figure,
    thread_stress_figure,
)
from ...geometry.engineering.settling import settle
from ...geometry.engineering.spring_seats import Pocket, fit
from ...geometry.engineering.topics import Topic
from ...geometry.engineering.units import converted
from ...geometry.head.calculation_inputs import SHAFT_METAL, nut_joint, nut_pocket, nut_spring
from ..values.sourced_values import ResolvedValue
from .calculation_sheets import Blank, CalculationSheet, Finding, PreloadSpan, blank_for

if TYPE_CHECKING:
    from ..fleet.heads import FleetHead

SETTLING_UM = 20.0
"""First settling at which right way and turned over are compared. Assumed: how much a joint settles is not known."""
_STATE = Blank("rotor_nut_torque.threads", "")
UNKNOWN_STATE = Lubrication(
    "unknown",
    min(s.k_low for s in LUBRICATIONS.values()),
    max(s.k_high for s in LUBRICATIONS.values()),
    max(s.scatter_percent for s in LUBRICATIONS.values()),
    Topic("source.torque_factor.unknown"),
)
STRONGEST = "12.9"
"""Strength that a torque is held against where the screw's own is not known: no usual screw bears more."""


def pocket_of(stack: StackUp) -> Pocket:
    """Return the pocket of the rotor nut."""
    return nut_pocket(stack)


def torque_of(value: ResolvedValue) -> float | None:
    """Return a torque on file in N·m, rounded as its own last digit allows; the middle of a range."""
    if value.given is None or value.nominal is None:
        return None
    figure = value.given.value
    if figure is None or isinstance(figure, str):
        return float(f"{value.nominal:.4g}")
    return float(figure if value.given.unit == "N·m" else converted(figure, value.given.unit, "N·m"))


def nut_sheets(head: FleetHead, stack: StackUp) -> Iterator[CalculationSheet]:
    """Return the sheets of the rotor nut; a single blank where no torque is on file."""
    value = head.values["rotor_nut_torque"]
    torque, thread = torque_of(value), head.size.rotor_thread
    area = stress_area_figure(thread.nominal_mm, thread.pitch_mm)
    title = Topic("sheet.nut_preload")
    if torque is None or value.given is None:
        needs = (Topic("note.no_torque"),)
        yield CalculationSheet("nut-preload", title, (area,), needs, (blank_for(value),))
        return
    on_file = value.given.threads
    figures: list[Figure] = [area]
    stated: Figure | None = None
    for state in sorted(LUBRICATIONS.values(), key=lambda s: s.key != on_file):
        middle, least, most = preload_figures(torque, value.given.reference, thread.nominal_mm, state)
        if state.key == on_file:
            stated = middle
            stress = thread_stress_figure(middle, thread.nominal_mm, thread.pitch_mm, strength(SHAFT_METAL))
            figures += [middle, least, most, stress]
        elif on_file:
            figures.append(_other_state(middle, state, "compared"))
        else:
            figures += [_other_state(f, state, "state") for f in (middle, least, most)]
    shown: tuple[Finding, ...] = () if stated is None else (PreloadSpan(stated, on_file),)
    yield CalculationSheet(
        "nut-preload",
        title,
        tuple(figures),
        findings=(*nut_doubts(head, stack), *shown),
        blanks=() if on_file else (_STATE,),
        notes=(Topic("note.torque"),),
    )
    if stated is not None:
        yield _settling_sheet(stack, stated)


def _other_state(figure: Figure, state: Lubrication, way: str) -> Figure:
    """Return the figure as that of a state of the threads: to be ``compared``, or as one ``state`` of several."""
    topic = Topic(f"{figure.topic.key}_{way}", threads=state.key)
    return replace(figure, id=f"{figure.id}.{state.key}", topic=topic)


def _settling_sheet(stack: StackUp, preload: Figure) -> CalculationSheet:
    """Compare both ways round at a usual settling, and at half of what the spring can follow the right way round."""
    spring, pocket, joint = nut_spring(stack), pocket_of(stack), nut_joint(stack)
    right = fit(spring, pocket)
    amounts = dict.fromkeys((SETTLING_UM, round(500 * right.travel_mm, -1)))
    figures: list[Figure] = []
    findings: list[Finding] = []
    for amount in (a for a in amounts if a > 0):
        found: dict[str, Figure] = {}
        for over in (False, True):
            settled = settle(preload.value, joint, amount, spring, fit(spring, pocket, over))
            found.update({f.id: f for f in settled.figures})
            findings.append(settled)
        figures += [
            replace(f, id=f"{f.id}.{amount:g}", topic=Topic(f"{f.topic.key}_settled", settling_um=amount))
            for f in found.values()
        ]
    return CalculationSheet(
        "nut-settling", Topic("sheet.nut_settling"), tuple(figures), tuple(findings), notes=(Topic("note.settling"),)
    )  # fmt: skip


def nut_doubts(head: FleetHead, stack: StackUp) -> tuple[TorqueDoubt, ...]:
    """Return what speaks against the rotor nut's torque on file; only what is sure where the threads' state is not
    given, since the span over all states leaves everything else open."""
    value = head.values["rotor_nut_torque"]
    torque, thread = torque_of(value), head.size.rotor_thread
    if torque is None or value.given is None:
        return ()
    state = LUBRICATIONS.get(value.given.threads, UNKNOWN_STATE)
    force = fit(nut_spring(stack), pocket_of(stack)).force_n
    found = check_torque(torque, thread.nominal_mm, thread.pitch_mm, state, strength(SHAFT_METAL), force)
    return tuple(d for d in found if d.sure or state is not UNKNOWN_STATE)


def screw_doubts(head: FleetHead) -> Iterator[tuple[ResolvedValue, TorqueDoubt]]:
    """Return torques of screws and cover nuts that no usual screw of their thread bears, whatever the friction."""
    threads = {"body_screw_torque": head.size.body_screw_thread, "cover_nut_torque": head.size.stud_thread}
    for name, thread in threads.items():
        value = head.values.get(name)
        torque = None if value is None else torque_of(value)
        if value is None or value.given is None or torque is None:
            continue
        state = LUBRICATIONS.get(value.given.threads, UNKNOWN_STATE)
        for doubt in check_torque(
            torque, thread.nominal_mm, thread.pitch_mm, state, strength(STRONGEST), 0.0
        ):
            if doubt.sure:
                yield value, doubt
