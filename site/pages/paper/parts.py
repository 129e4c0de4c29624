"""Parts of a booklet to hand out alone, for a permit folder: a sequence, one of its sections, the cards, the record."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from ....sequences.steps.plan import Plan
from ...words.catalogue import Words
from ..booklet import Booklet, Chapter

CARDS, RECORD = "cards", "record"


@dataclass(frozen=True)
class BookletPart:
    """A part of a booklet: its name on the command line and its title on its sheets."""

    name: str
    title: str


def part_names(plans: Iterable[Plan], proven: bool = True) -> tuple[str, ...]:
    """Return what parts the booklet of these plans has.

    ``assembly`` is a whole sequence, ``assembly/rotors`` one of its sections; ``cards`` come from the proof.
    """
    names: list[str] = []
    for plan in plans:
        used = {s.section for s in plan.steps}
        names += [plan.sequence, *(f"{plan.sequence}/{s.id}" for s in plan.sections if s.id in used)]
    return (*names, *((CARDS,) if proven else ()), RECORD)


def booklet_part(booklet: Booklet, name: str, words: Words) -> tuple[Booklet, BookletPart]:
    """Return a booklet that holds one part alone, and what that is called.

    Standing safety messages and a doubt of the proof stay with every part.

    Raises:
        KeyError: if the booklet has no such part.
    """
    proof = booklet.proof
    bare = replace(
        booklet,
        chapters=(),
        values=(),
        changes=(),
        groups=(),
        doubts=(),
        upkeep=None,
        pdfs=(),
        proof=replace(proof, cards=()) if proof else None,
    )
    if name == CARDS:
        if proof is None or not proof.cards:
            raise KeyError(name)
        return replace(bare, proof=proof), BookletPart(name, words("cards.page"))
    if name == RECORD:
        chapters = tuple(replace(c, sections=()) for c in booklet.chapters if c.readings)
        return replace(bare, chapters=chapters), BookletPart(name, words("record.title"))
    sequence, _, section = name.partition("/")
    chapter = next((c for c in booklet.chapters if c.id == sequence), None)
    if chapter is None:
        raise KeyError(name)
    if not section:
        return replace(bare, chapters=(chapter,)), BookletPart(name, chapter.title)
    shown = _only_section(chapter, section)
    return replace(bare, chapters=(shown,)), BookletPart(name, f"{chapter.title}: {shown.sections[0].title}")


def _only_section(chapter: Chapter, section: str) -> Chapter:
    sections = tuple(s for s in chapter.sections if s.id == section)
    if not sections:
        raise KeyError(f"{chapter.id}/{section}")
    steps = {s.step.number for s in sections[0].steps}
    readings = tuple(r for r in chapter.readings if r.step in steps)
    return replace(chapter, sections=sections, readings=readings, of=chapter.total)
