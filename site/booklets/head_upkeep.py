"""The pages beside the sequences, of a fluid head: its name plate, its parts and kit, what its terms look like."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING

from ...sequences.calculations.spares import kit, may_be_needed, sizes_of
from ...sequences.fleet.heads import FleetHead
from ...sequences.steps.cautions import Catalogue
from ...sequences.steps.plan import Plan
from ...sequences.upkeep.upkeep import head_upkeep
from ...sequences.upkeep.upkeep_entries import Term
from ...sequences.upkeep.upkeep_file import load_upkeep
from ..pages.crops import Crop, crop_of
from ..pages.upkeep_pages import PartDetail, PlateRow, UpkeepPages, make_upkeep_pages, part_detail
from ..pages.view_models import PartRow
from ..words.catalogue import Words
from ..words.part_names import listed
from ..words.plan_words import option_in_words
from ..words.topic_words import joined
from ..words.upkeep.size_words import size_in_words

if TYPE_CHECKING:
    from ...geometry.assembly import Assembly
    from .head_pictures import HeadPictures

GASKETS = "pipe_gasket"
"""The value that names the gaskets of the pipe joints."""


def upkeep_pages(
    row: FleetHead,
    assembly: Assembly,
    plans: Iterable[Plan],
    rows: Iterable[PartRow],
    catalogue: Catalogue,
    pictures: HeadPictures | None,
    words: Words,
) -> UpkeepPages:
    """Return the pages of a head.

    Args:
        row: of the fleet.
        assembly: its parts.
        plans: all its plans in words, checklists too.
        rows: of its parts list.
        catalogue: safety messages that the pages call on.
        pictures: what the booklet's pictures show; None where it has none.
        words: of the page's language.
    """
    upkeep = head_upkeep(load_upkeep(), row.options, plans, catalogue)

    def picture(term: Term, alt: str) -> Crop | None:
        return None if pictures is None else term_picture(term, assembly, pictures, alt)

    return make_upkeep_pages(
        upkeep,
        words,
        plate=_plate(row, words),
        facts=_facts(row, words),
        parts=part_details(row, assembly, rows, words),
        kit=kit(row),
        maybe=may_be_needed(row),
        gaskets=row.values.get(GASKETS),
        values=row.values,
        as_found=row.as_found,
        picture=picture,
    )


def part_details(
    row: FleetHead, assembly: Assembly, rows: Iterable[PartRow], words: Words
) -> tuple[PartDetail, ...]:
    """Return the parts list of a head with sizes and numbers."""
    sizes = {key: size_in_words(size, words) for key, size in sizes_of(row).items()}

    def which(key: str) -> str:
        part = assembly.parts[key]
        if part.which:
            return words.get(f"which.{part.which}", part.which)
        return words(f"side.{part.side}") if part.side else part.number

    return tuple(part_detail(line, sizes, row.spare_parts, which, words) for line in rows)


def _choice(row: FleetHead, name: str, words: Words) -> str:
    return option_in_words(name, getattr(row.options, name), words)


def _plate(row: FleetHead, words: Words) -> Iterator[PlateRow]:
    yield PlateRow("plant_tag", words("pump.plant_tag"), row.tag)
    yield PlateRow("serial_number", words("pump.serial_number"), row.name_plate.get("serial_number", ""))
    yield PlateRow("size", words("pump.size"), row.size.name)
    yield PlateRow("seal", words("pump.seal"), _choice(row, "seal", words))
    yield PlateRow("seal_code", words("pump.seal_code"), row.name_plate.get("seal_code", ""))
    yield PlateRow("elastomer", words("pump.elastomer"), _choice(row, "elastomer", words))
    yield PlateRow("elastomer_code", words("pump.elastomer_code"), row.name_plate.get("elastomer_code", ""))
    yield PlateRow("clearance_code", words("pump.clearance_code"), row.name_plate.get("clearance_code", ""))


def _facts(row: FleetHead, words: Words) -> Mapping[str, str]:
    """Return what the lines to compare name of a head."""
    studs = sum(kind == "cover_nut" for kind in row.parts.values())
    told = {name: _choice(row, name, words) for name in ("cover_nuts", "ports", "elastomer", "rotor_metal")}
    media = listed(words, [words(f"medium.{key}") for key in row.product])
    product = [text for text in (row.service, media) if text]
    told["product"] = joined(product, words, "stated.joined") if product else words("placeholder.blank_text")
    return {**told, "studs": words.get(f"placeholder.number.{studs}", str(studs))}


def term_picture(term: Term, assembly: Assembly, pictures: HeadPictures, alt: str) -> Crop | None:
    """Return the first cut that shows a term, from its steps' pictures or else from the overview.

    None where no part shows what it means: a picture beside it would tell something else.
    """
    if term.whole:
        return crop_of(pictures.overview, (), alt)
    keys = [p.key for p in assembly if p.kind == term.part]
    if not keys:
        return None
    for step in term.steps:
        manifest = pictures.steps.get((step.sequence, step.step))
        crop = crop_of(manifest, keys, alt) if manifest is not None else None
        if crop is not None:
            return crop
    return crop_of(pictures.overview, keys, alt)
