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
from ...geometry.engineering.springs.settling import loose_figures, settle
from ...geometry.engineering.springs.spring_seats import Pocket, fit
from ...geometry.engineering.topics import Topic
from ...geometry.engineering.units import converted
from ...geometry.head.calculation_inputs import SHAFT_METAL, nut_joint, nut_pocket, nut_spring
from ...geometry.head.strength_inputs import rotor_nut_joint, screw_joints
from ..values.sourced_values import ResolvedValue
from .calculation_sheets import Blank, CalculationSheet, Finding, Loosening, PreloadSpan, blank_for

if TYPE_CHECKING:
    from ..fleet.heads import FleetHead

_STATE = Blank("rotor_nut_torque.threads", "")
UNKNOWN_STATE = Lubrication(
    "unknown",
    min(s.friction_low for s in LUBRICATIONS.values()),
    max(s.friction_high for s in LUBRICATIONS.values()),
    Topic("source.friction_unknown"),
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


def stated_preload(head: FleetHead, stack: StackUp) -> Figure | None:
    """Return the preload by the torque on file, None without a torque or the state of its threads."""
    value = head.values["rotor_nut_torque"]
    torque = torque_of(value)
    if torque is None or value.given is None or not value.given.threads:
        return None
    state = LUBRICATIONS[value.given.threads]
    return preload_figures(torque, value.given.reference, rotor_nut_joint(stack), state)[0]


def preload_blank(head: FleetHead) -> Blank:
    """Return the blank of what keeps the preload from being known."""
    value = head.values["rotor_nut_torque"]
    return blank_for(value) if torque_of(value) is None else _STATE


def nut_sheets(head: FleetHead, stack: StackUp) -> Iterator[CalculationSheet]:
    """Return the sheets of the rotor nut; a single blank where no torque is on file."""
    value = head.values["rotor_nut_torque"]
    torque, joint = torque_of(value), rotor_nut_joint(stack)
    area = stress_area_figure(joint.nominal_mm, joint.pitch_mm)
    title = Topic("sheet.nut_preload")
    if torque is None or value.given is None:
        needs = (Topic("note.no_torque"),)
        yield CalculationSheet("nut-preload", title, (area,), needs, (blank_for(value),))
        return
    on_file = value.given.threads
    figures: list[Figure] = [area]
    stated: Figure | None = None
    for state in sorted(LUBRICATIONS.values(), key=lambda s: s.key != on_file):
        middle, least, most = preload_figures(torque, value.given.reference, joint, state)
        if state.key == on_file:
            stated = middle
            figures += [
                middle,
                least,
                most,
                thread_stress_figure(middle, joint, state, strength(SHAFT_METAL)),
            ]
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
    """Tell how much settling leaves nothing, without a spring and with it either way round, and what is left between
    the two ways: there the right way still holds and the wrong one no longer does."""
    spring, pocket, joint = nut_spring(stack), pocket_of(stack), nut_joint(stack)
    right, wrong = fit(spring, pocket), fit(spring, pocket, turned_over=True)
    loose = loose_figures(preload.value, joint, spring, right, wrong)
    amount = _between(loose)
    found: dict[str, Figure] = {}
    findings: list[Finding] = [Loosening(loose)]
    for way in (right, wrong):
        settled = settle(preload.value, joint, amount, spring, way)
        found.update({f.id: f for f in settled.figures})
        findings.append(settled)
    figures = [
        replace(f, id=f"{f.id}.{amount:g}", topic=Topic(f"{f.topic.key}_settled", settling_um=amount))
        for f in found.values()
    ]
    return CalculationSheet(
        "nut-settling", Topic("sheet.nut_settling"), (*loose, *figures), tuple(findings),
        notes=(Topic("note.settling"),),
    )  # fmt: skip


def _between(loose: tuple[Figure, ...]) -> float:
    """Return an amount that only the spring the right way round still follows, in whole tens of µm: a quarter of the
    way from where nothing else holds to where it lets go, too."""
    plain, right, wrong = (f.value for f in loose)
    gone = max(plain, wrong)
    return max(10.0, round(gone + (right - gone) / 4, -1))


def nut_doubts(head: FleetHead, stack: StackUp) -> tuple[TorqueDoubt, ...]:
    """Return what speaks against the rotor nut's torque on file; only what is sure where the threads' state is not
    given, since the span over all states leaves everything else open."""
    value = head.values["rotor_nut_torque"]
    torque = torque_of(value)
    if torque is None or value.given is None:
        return ()
    state = LUBRICATIONS.get(value.given.threads, UNKNOWN_STATE)
    force = fit(nut_spring(stack), pocket_of(stack)).force_n
    found = check_torque(torque, rotor_nut_joint(stack), state, strength(SHAFT_METAL), force)
    return tuple(d for d in found if d.sure or state is not UNKNOWN_STATE)


def screw_doubts(head: FleetHead, stack: StackUp) -> Iterator[tuple[ResolvedValue, TorqueDoubt]]:
    """Return torques of screws and cover nuts that no usual screw of their thread bears, whatever the friction."""
    for name, joint in screw_joints(stack).items():
        value = head.values.get(name)
        torque = None if value is None else torque_of(value)
        if value is None or value.given is None or torque is None:
            continue
        state = LUBRICATIONS.get(value.given.threads, UNKNOWN_STATE)
        for doubt in check_torque(torque, joint, state, strength(STRONGEST), 0.0):
            if doubt.sure:
                yield value, doubt
