"""What speaks against the data of a head that is otherwise sound: figures that doubt a value, or each other.

A fault stops a build; a doubt does not. It is told with the figure it rests on, and a torque in doubt is marked as such
wherever a booklet states it. Nothing here proposes another value.

API::

    doubts(head, sheets=None) -> tuple[Doubt, ...]       # said_beside_faults(heads) -> list[str]
    marked(head, doubts) -> FleetHead                    # values in doubt carry their doubt
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from ...geometry.dimensions.stack_up import StackUp
from ...geometry.engineering.elastomers import heat_incompatibility, incompatibilities, media
from ...geometry.engineering.figures import Figure, number
from ...geometry.engineering.preload import TorqueDoubt
from ...geometry.engineering.spring_seats import fit
from ...geometry.engineering.units import NBSP
from ...geometry.head.calculation_inputs import nut_spring
from ..values.instruments import TORQUES, WAYS, instruments, no_room, room_figure
from ..values.sourced_values import ResolvedValue
from .calculation_sheets import SheetGroup
from .doubts import Doubt
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
            *_gap_doubts(head, groups["gaps"]),
            *_reading_doubts(head),
            *_media_doubts(head),
        ]
    )


def marked(head: FleetHead, found: Iterable[Doubt]) -> FleetHead:
    """Return the head with each value that a doubt of ``found`` marks carrying the doubt's words."""
    words: dict[str, str] = {}
    for d in found:
        if d.marks:
            words[d.value] = f"{words[d.value]} {d.sentence}" if d.value in words else d.sentence
    if not words:
        return head
    return replace(head, values={n: replace(v, doubt=words.get(n, "")) for n, v in head.values.items()})


def said_beside_faults(heads: Iterable[FleetHead]) -> list[str]:
    """Return the doubts of heads from a fleet that holds faults, in words.

    A head whose size or options are themselves at fault cannot be worked out; its fault is told, and it is left out.
    """
    found = []
    for head in heads:
        product = tuple(m for m in head.product if m in media())
        cleaning = tuple(m for m in head.cleaning if m in media())
        sound = replace(head, product=product, cleaning=cleaning)
        try:
            found += [f"{d.tag}: {d.sentence}" for d in doubts(sound)]
        except ValueError:
            continue
    return found


def _ring_doubts(head: FleetHead, group: SheetGroup) -> Iterator[Doubt]:
    for sheet in group.sheets:
        for f in sheet.figures:
            if f.judgement == "outside":
                yield Doubt(head.tag, "O-ring", _told(f), sheet=sheet.id)


def _spring_doubts(head: FleetHead, stack: StackUp) -> Iterator[Doubt]:
    spring = nut_spring(stack)
    right = fit(spring, pocket_of(stack))
    if right.state != "working":
        sentence = "The disc spring does not work as a spring in this nut, even the right way round."
        yield Doubt(head.tag, "spring", sentence, sheet="disc-spring")
    heights = {
        "disc_spring_free_height": (spring.free_height_mm, "the free height of this size's disc spring"),
        "wave_spring_free_height": (
            head.size.wave_spring_height_mm, "the height that this size's wave spring works at"
        ),
    }  # fmt: skip
    for name, (height, words) in heights.items():
        value = head.values[name]
        if value.low is None:
            continue
        wrong = value.low > height if name == "disc_spring_free_height" else value.low <= height
        if wrong:
            side = "more than" if name == "disc_spring_free_height" else "not above"
            sentence = (
                f"{value.title}, {value.text}, is {side} {words}, {number(height, 'mm')}{NBSP}mm. One of the two is "
                "wrong: check the value, and give the size its measured height."
            )
            yield Doubt(head.tag, "spring", sentence, name)


def _torque_doubts(head: FleetHead, stack: StackUp) -> Iterator[Doubt]:
    def doubt(value: ResolvedValue, found: TorqueDoubt, sheet: str = "") -> Doubt:
        return Doubt(head.tag, "torque", f"{value.title}: {found.sentence}", value.name, sheet, marks=True)

    for found in nut_doubts(head, stack):
        yield doubt(head.values["rotor_nut_torque"], found, "nut-preload")
    for value, found in screw_doubts(head):
        yield doubt(value, found)


def _gap_doubts(head: FleetHead, group: SheetGroup) -> Iterator[Doubt]:
    for sheet in group.sheets:
        name = GAP_VALUES[sheet.id.removeprefix("gap-")]
        cold = next(f for f in sheet.figures if f.id.count(".") == 1)
        hot = next((f for f in sheet.figures if f.id.endswith(".hot")), None)
        if cold.judgement == "outside":
            sentence = (
                f"{_told(cold)} The limit or a dimension of the size is wrong; one not given is a proportion."
            )
            yield Doubt(head.tag, "clearance", sentence, name, sheet.id)
        if hot is not None and hot.low is not None and hot.low <= 0:
            sentence = f"{hot.name}: {hot.text()}. The parts can touch."
            yield Doubt(head.tag, "clearance", sentence, name, sheet.id)
        elif hot is not None and hot.judgement == "outside" and cold.judgement != "outside":
            yield Doubt(
                head.tag,
                "clearance",
                f"{_told(hot)} The limit is read as one for the cold head.",
                name,
                sheet.id,
            )


def _reading_doubts(head: FleetHead) -> Iterator[Doubt]:
    """Doubt limits that the usual method cannot tell; torques are left to the sheet of the wrench."""
    for name in WAYS:
        value = head.values.get(name)
        if value is None or name in TORQUES:
            continue
        for tool in instruments(name, value.unit, value.high)[:1]:
            room = room_figure(value, tool)
            if room is not None and room.judgement == "outside":
                sentence = no_room(value, tool)
                yield Doubt(head.tag, "reading", sentence, name, f"reading-{tool.key}")


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
        for clash in found:
            yield Doubt(head.tag, "elastomer", clash.hazard, sheet=f"media-{elastomer}")


def _told(figure: Figure) -> str:
    assert figure.limit is not None
    return figure.sentence or f"{figure.name}: {figure.text()}, outside {figure.limit.text()}."
