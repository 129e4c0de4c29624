"""What the whole booklet on paper holds, in its order: the list on its first sheet."""

from __future__ import annotations

from dataclasses import dataclass

from ...words.catalogue import Words
from ..booklet import Booklet


@dataclass(frozen=True)
class ContentsEntry:
    """A line of the contents: its title, the place in the page, and whether sections stand below it or it is one."""

    title: str
    anchor: str
    main: bool = True


def paper_contents(booklet: Booklet, words: Words) -> tuple[ContentsEntry, ...]:
    """Return the contents of the whole booklet on paper, in the order of its template."""
    found = [
        ContentsEntry(words(f"front.{key}"), f"paper-{id}")
        for key, id in (("standing", "standing"), ("stage", "staging"), ("overview", "overview"))
    ]
    beside = booklet.upkeep
    if beside and beside.has_kit:
        found.append(ContentsEntry(words("pump.title"), "paper-pump"))
    for chapter in booklet.chapters:
        found.append(ContentsEntry(chapter.title, f"paper-{chapter.id}"))
        found += [ContentsEntry(s.title, f"{chapter.id}-{s.anchor}", main=False) for s in chapter.sections]
    if booklet.proof and booklet.proof.cards:
        found.append(ContentsEntry(words("cards.page"), "paper-cards"))
    if beside:
        there = {"trouble": beside.has_trouble, "year": beside.has_year, "glossary": bool(beside.terms)}
        found += [ContentsEntry(words(f"{k}.title"), f"paper-{k}") for k, has in there.items() if has]
    if booklet.readings:
        found.append(ContentsEntry(words("record.title"), "paper-record"))
    if booklet.values:
        found.append(ContentsEntry(words("values.title"), "paper-values"))
    if booklet.groups:
        found.append(ContentsEntry(words("figures.appendix"), "paper-figures"))
    return tuple(found)
