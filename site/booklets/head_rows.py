"""What the library's pages compare a head's booklet by: its options, parts, values and steps, and its spares kit."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import asdict, fields, replace

from ...sequences.calculations.spares import kit, sizes_of
from ...sequences.fleet.heads import FleetHead
from ...sequences.steps.plan import Plan
from ...sequences.upkeep.spare_parts import SpareLine, SparePart, spare_key
from ...sequences.values.value_changes import snapshot
from ...sequences.work.json_data import json_bytes
from ..pages.booklet import Booklet
from ..pages.library.head_lines import ComparedRow, KitLine, data_key
from ..words.catalogue import Words
from ..words.plan_words import option_in_words
from ..words.upkeep.size_words import kit_row
from ..words.value_words import value_in_words


def compared_rows(
    row: FleetHead, plans: Sequence[Plan], booklet: Booklet, words: Words
) -> tuple[ComparedRow, ...]:
    """Return the rows of a head's booklet.

    Args:
        row: of the fleet.
        plans: of its sequences and checklists, before they are put into words: what a step is, whatever values it
            states.
        booklet: as its pages show it.
        words: of the page's language.
    """
    return (
        *_options(row, words),
        *_parts(row, booklet, words),
        *_values(row, booklet, words),
        *_steps(plans, booklet, words),
    )


def _options(row: FleetHead, words: Words) -> Iterator[ComparedRow]:
    yield ComparedRow(
        "options",
        "size",
        words("library.size"),
        row.size.name,
        data_key([row.size.name, _measured(row)]),
        "index.html",
    )
    yield ComparedRow(
        "options", "service", words("library.service"), row.service, data_key(row.service), "index.html"
    )
    for f in fields(row.options):
        choice = getattr(row.options, f.name)
        if choice is not False:
            text = option_in_words(f.name, choice, words)
            yield ComparedRow(
                "options", f.name, words(f"options.{f.name}"), text, data_key(choice), "pump.html"
            )


def _measured(row: FleetHead) -> dict[str, object]:
    return asdict(row.size)


def _parts(row: FleetHead, booklet: Booklet, words: Words) -> Iterator[ComparedRow]:
    sizes = sizes_of(row)
    details = booklet.upkeep.parts if booklet.upkeep else ()
    met = Counter[str]()
    for detail in details:
        line, none = detail.row, SparePart()
        known = [
            [asdict(sizes[k]) if k in sizes else None, asdict(row.spare_parts.get(k, none))]
            for k in line.keys
        ]
        told = (
            words("comparison.quantity", count=line.quantity),
            line.material,
            *detail.sizes,
            *detail.numbers,
            *detail.compounds,
        )
        key = data_key([line.quantity, line.material, known])
        met[line.kind] += 1
        yield ComparedRow(
            "parts", f"{line.kind} {met[line.kind]}", line.name, _joined(told, words), key, "pump.html"
        )


def _joined(texts: Sequence[str], words: Words) -> str:
    text = ""
    for part in texts:
        text = words("comparison.joined", first=text, next=part) if text and part else text or part
    return text


def _values(row: FleetHead, booklet: Booklet, words: Words) -> Iterator[ComparedRow]:
    kept = snapshot({row.tag: row.values})["heads"][row.tag]
    for line in booklet.values:
        name = line.value.name
        text = value_in_words(line.value, words).text or words("comparison.blank")
        yield ComparedRow(
            "values",
            name,
            value_in_words(line.value, words).title,
            text,
            data_key(kept.get(name)),
            "values.html",
        )


def _steps(plans: Sequence[Plan], booklet: Booklet, words: Words) -> Iterator[ComparedRow]:
    titles = {
        (c.id, view.step.id): (c.title, view.step.title, view.anchor)
        for c in booklet.chapters
        for view in c.steps
    }
    for plan in plans:
        for step in plan.steps:
            chapter, title, anchor = titles[plan.sequence, step.id]
            # Its number, and where the shafts stand before it, follow from the steps before.
            bare = replace(
                step,
                number=0,
                shaft_angle_deg=0.0,
                present=(),
                cautions=(),
                reminders=(),
                claims=(),
                operations=(),
            )
            yield ComparedRow(
                "steps",
                f"{plan.sequence} {step.id}",
                words("comparison.step", sequence=chapter, title=title),
                words("comparison.at", number=step.number),
                data_key(json_bytes(bare).decode()),
                f"{plan.sequence}.html#{anchor}",
            )


def kit_lines(row: FleetHead, words: Words) -> tuple[KitLine, ...]:
    """Return the lines of a head's spares kit."""
    return tuple(_kit_line(line, words) for line in kit(row))


def _kit_line(line: SpareLine, words: Words) -> KitLine:
    told = kit_row(line, words)
    return KitLine(
        data_key([str(x) for x in spare_key(line)]),
        told.part,
        told.size,
        told.number,
        told.material,
        line.need == "always",
        line.quantity,
    )
