"""What speaks against the data of a head that is otherwise sound: figures that doubt a value, or each other.

A fault stops a build; a doubt does not. It is told with the figure it rests on, and a torque in doubt is marked as such
wherever a booklet states it. Nothing here proposes another value.

API::

    doubts(head, sheets=None) -> tuple[Doubt, ...]
    marked(head, doubts) -> FleetHead               # values in doubt carry what speaks against them
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from ...geometry.dimensions.stack_up import StackUp
from ...geometry.engineering.elastomers import Incompatibility, heat_incompatibility, incompatibilities
from ...geometry.engineering.preload import TorqueDoubt
from ...geometry.engineering.springs.spring_seats import fit
from ...geometry.head.calculation_inputs import nut_spring
from ..values.instruments import TORQUES, WAYS, instruments, share_figure
from ..values.sourced_values import ResolvedValue
from .calculation_sheets import Gap, HotGap, SheetGroup, too_coarse
from .doubts import Doubt, GapCloses, GapOutside, HeightAmiss, RingOutside, SpringIdle, StrengthOutside
from .head_calculations import GAP_VALUES, calculations, ring_material
from .nut_calculations import nut_doubts, pocket_of, screw_doubts

if TYPE_CHECKING:
    from ..fleet.heads import FleetHead


def doubts(head: FleetHead, sheets: Iterable[SheetGroup] | None = None) -> tuple[Doubt, ...]:
    """Return the doubts about a head's data, in the order of the calculation sheets.

    Args:
        head: a row of the fleet.
        sheets: its calculation sheets, where they are made already.
    """
    stack = StackUp(head.size, head.options)
    groups = {g.id: g for g in (calculations(head) if sheets is None else sheets)}
    return tuple(
        [
            *_ring_doubts(head, groups["orings"]),
            *_spring_doubts(head, stack),
            *_torque_doubts(head, stack),
            *_strength_doubts(head, groups["strength"]),
            *_gap_doubts(head, groups["gaps"]),
            *_reading_doubts(head),
            *_media_doubts(head),
        ]
    )


def marked(head: FleetHead, found: Iterable[Doubt]) -> FleetHead:
    """Return the head with each value that a doubt of ``found`` marks carrying what speaks against it."""
    against: dict[str, tuple[TorqueDoubt, ...]] = {}
    for d in found:
        if d.marks and isinstance(d.ground, TorqueDoubt):
            against[d.value] = (*against.get(d.value, ()), d.ground)
    if not against:
        return head
    return replace(head, values={n: replace(v, doubts=against.get(n, ())) for n, v in head.values.items()})


def _ring_doubts(head: FleetHead, group: SheetGroup) -> Iterator[Doubt]:
    for sheet in group.sheets:
        for f in sheet.figures:
            if f.judgement == "outside":
                yield Doubt(head.tag, "oring", RingOutside(f), sheet=sheet.id)


def _spring_doubts(head: FleetHead, stack: StackUp) -> Iterator[Doubt]:
    spring = nut_spring(stack)
    right = fit(spring, pocket_of(stack))
    if right.state != "working":
        yield Doubt(head.tag, "spring", SpringIdle(right.state), sheet="disc-spring")
    disc, wave = head.values["disc_spring_free_height"], head.values["wave_spring_free_height"]
    works_at = head.size.wave_spring_height_mm
    if disc.low is not None and disc.low > spring.free_height_mm:
        yield Doubt(head.tag, "spring", HeightAmiss(disc, spring.free_height_mm), disc.name)
    if wave.low is not None and wave.low <= works_at:
        yield Doubt(head.tag, "spring", HeightAmiss(wave, works_at), wave.name)


def _torque_doubts(head: FleetHead, stack: StackUp) -> Iterator[Doubt]:
    def doubt(value: ResolvedValue, found: TorqueDoubt, sheet: str = "") -> Doubt:
        return Doubt(head.tag, "torque", found, value.name, sheet, marks=True)

    for found in nut_doubts(head, stack):
        yield doubt(head.values["rotor_nut_torque"], found, "nut-preload")
    for value, found in screw_doubts(head, stack):
        yield doubt(value, found)


def _strength_doubts(head: FleetHead, group: SheetGroup) -> Iterator[Doubt]:
    for sheet in group.sheets:
        for f in sheet.figures:
            if f.judgement == "outside":
                yield Doubt(head.tag, "strength", StrengthOutside(f), sheet=sheet.id)


def _gap_doubts(head: FleetHead, group: SheetGroup) -> Iterator[Doubt]:
    for sheet in group.sheets:
        cold = next(f for f in sheet.findings if isinstance(f, Gap))
        warm = [f for f in sheet.findings if isinstance(f, HotGap)]
        hot = next((f for f in warm if f.figure.limit is not None), None)
        shut = next((f for f in warm if f.figure.low is not None and f.figure.low <= 0), None)
        name = GAP_VALUES[str(sheet.topic["gap"])]
        outside = cold.figure.judgement == "outside"
        if outside:
            yield Doubt(head.tag, "clearance", GapOutside(cold), name, sheet.id)
        if shut is not None:
            yield Doubt(head.tag, "clearance", GapCloses(shut.figure), name, sheet.id)
        elif hot is not None and hot.figure.judgement == "outside" and not outside:
            yield Doubt(head.tag, "clearance", GapOutside(hot), name, sheet.id)


def _reading_doubts(head: FleetHead) -> Iterator[Doubt]:
    """Doubt limits that the usual method is too coarse for; torques are left to the sheet of the wrench."""
    for name in WAYS:
        value = head.values.get(name)
        if value is None or name in TORQUES:
            continue
        for tool in instruments(name, value.unit, value.high)[:1]:
            if (found := too_coarse(value, tool, share_figure(value, tool))) is not None:
                yield Doubt(head.tag, "reading", found, name, f"reading-{tool.key}")


def _media_doubts(head: FleetHead) -> Iterator[Doubt]:
    for elastomer in dict.fromkeys([head.options.elastomer, ring_material(head, "cover_oring")]):
        found = [
            c
            for c in incompatibilities(elastomer, head.lubricant, head.product, head.cleaning)
            if c.verdict == "must not meet"
        ]
        if head.process_temperature_c is not None:
            heat = heat_incompatibility(elastomer, head.process_temperature_c)
            found += [heat] if heat else []
        for clash in _once(found):
            yield Doubt(head.tag, "elastomer", clash, sheet=f"media-{elastomer}")


def _once(found: Iterable[Incompatibility]) -> Iterable[Incompatibility]:
    """Return what meets without repeats: a medium may be product and cleaning medium at once."""
    once: dict[tuple[str, float | None], Incompatibility] = {}
    for clash in found:
        once.setdefault((clash.medium, clash.heat_c), clash)
    return once.values()
