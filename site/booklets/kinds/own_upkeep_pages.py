"""The pages beside the sequences of an assembly of a user's own: of what its file says, and of nothing else."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from ....sequences.own.own_work import OwnRow
from ....sequences.steps.plan import Plan
from ....sequences.upkeep.own_upkeep import OwnTerm
from ....sequences.upkeep.spare_parts import Need, SpareLine, summed
from ....sequences.upkeep.upkeep import step_links
from ....sequences.upkeep.upkeep_entries import StepLink, Term
from ...pages.upkeep_pages import (
    LinkedText,
    SymptomView,
    TermView,
    UpkeepPages,
    part_detail,
    step_uses,
)
from ...pages.view_models import PartRow
from ...words.catalogue import Words
from ...words.upkeep.size_words import KitRow, kit_row
from ..head_upkeep import term_picture

if TYPE_CHECKING:
    from ....geometry.assembly import Assembly
    from ..head_pictures import HeadPictures


def own_upkeep_pages(
    row: OwnRow,
    assembly: Assembly,
    plans: Iterable[Plan],
    rows: Iterable[PartRow],
    pictures: HeadPictures | None,
    words: Words,
) -> UpkeepPages | None:
    """Return the pages of an assembly; None where its file says nothing for them.

    Args:
        row: what is known of it.
        assembly: its parts.
        plans: all its plans in words.
        rows: of its parts list.
        pictures: what the booklet's pictures show; None where it has none.
        words: of the page's language.
    """
    beside, links, lines = row.upkeep, step_links(plans), tuple(rows)
    if not beside:
        return None

    def steps(names: Iterable[str]) -> tuple[StepLink, ...]:
        return tuple(links[n] for n in names if n in links)

    def view(n: int, said: OwnTerm) -> TermView:
        term = Term(said.part or f"own_{n}", steps(said.steps), said.part)
        name = words.say(said.name)
        alt = words("glossary.picture", name=name)
        cut = term_picture(term, assembly, pictures, alt) if pictures and term.part else None
        return TermView(term.id, name, words.say(said.text), cut, step_uses(term.steps[:1], words))

    terms = [view(n, said) for n, said in enumerate(beside.terms, start=1)]
    kit = _kit(row, lines, words)

    def which(key: str) -> str:
        return assembly.parts[key].number

    return UpkeepPages(
        cautions={},
        plate=(),
        compare=(),
        parts=tuple(part_detail(line, {}, beside.spares, which, words) for line in lines),
        always=tuple(k for k, need in kit if need == "always"),
        ready=tuple(k for k, need in kit if need == "ready"),
        maybe=(),
        gaskets=None,
        symptoms=tuple(
            SymptomView(
                str(n),
                words.say(s.title),
                tuple(
                    LinkedText(
                        str(c), words.say(cause.text), step_uses(steps(cause.steps), words), cause.refer
                    )
                    for c, cause in enumerate(s.causes, start=1)
                ),
            )
            for n, s in enumerate(beside.symptoms, start=1)
        ),
        clearances=(),
        tasks=(),
        trend=(),
        overhauls=(),
        terms=tuple(sorted(terms, key=lambda t: t.name.casefold())),
    )


def _kit(row: OwnRow, rows: Iterable[PartRow], words: Words) -> list[tuple[KitRow, Need]]:
    """Return the lines of the spares kit, each with when it is needed: what the file marks as a spare."""
    row_of: Mapping[str, PartRow] = {key: r for r in rows for key in r.keys}
    lines = [
        SpareLine(
            (row.parts[key],),
            None,
            said.number,
            said.compound,
            "",
            "always" if said.spare == "replace always" else "ready",
            1,
            (row.tag,),
            (1,),
        )
        for key, said in row.upkeep.spares.items()
        if said.spare
    ]
    first: dict[str, str] = {}
    for key, kind in row.parts.items():
        first.setdefault(kind, key)
    found = []
    for line in summed([lines]):
        of = row_of[first[line.kinds[0]]]
        made = kit_row(line, words)
        found.append((replace(made, part=of.name, material=made.material or of.material), line.need))
    return found
