"""The library's own pages: the list of booklets, two pumps side by side, what has changed, what is missing."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from pathlib import Path

from ....sequences.calculations.doubts import Doubt
from ...words.languages.fallback import TextInUse
from ...words.report_words import competence_csv, doubts_csv, missing_csv, untranslated_csv
from ..cards.decks import make_decks
from ..markup.page_links import linked_for, named_for
from ..pages import LanguageLink, Setting, page_text, write_assets
from .head_lines import GROUPS, HeadLine, MissingLine
from .library_data import FILE, pumps_script
from .pump_changes import PumpChanges

PAGES = {
    "library": "index.html",
    "missing": "missing.html",
    "compare": "compare.html",
    "changes": "changes.html",
}
"""Template to file."""
MOST_LACKING = 200
"""So many texts that are not translated are listed on the page; the table beside it has all."""
FEWEST_TO_FILTER = 2
"""A filter with fewer choices would filter nothing."""


@dataclass(frozen=True)
class Filter:
    """A choice by which the list can be made shorter; a pump's own is at the same place in :class:`ListedHead`."""

    title: str
    choices: tuple[str, ...]


@dataclass(frozen=True)
class ListedHead:
    """A line of the list with its place in each filter."""

    line: HeadLine
    chosen: tuple[int, ...]
    told: tuple[tuple[str, str], ...]
    """Options that its line names: those named of every pump, and where it is not as most are."""


def usual_choices(heads: tuple[HeadLine, ...], always: Collection[str]) -> dict[str, str]:
    """Return what most pumps have of each option by which they differ; those named ``always`` are left out."""
    counts: dict[str, Counter[str]] = {}
    for name in dict.fromkeys(name for h in heads for name, _ in h.options if name not in always):
        counts[name] = Counter(dict(h.options).get(name, "") for h in heads)
    most = {name: count.most_common(1)[0] for name, count in counts.items() if len(count) > 1}
    return {name: choice for name, (choice, n) in most.items() if n > len(heads) / 2}


def list_heads(
    heads: tuple[HeadLine, ...], always: Collection[str], size_title: str
) -> tuple[tuple[Filter, ...], tuple[ListedHead, ...]]:
    """Return the filters of the list, size first, and its lines; an option that a pump lacks is the empty choice.

    Args:
        heads: all booklets.
        always: options that each line names.
        size_title: what sizes are called.
    """
    names = dict.fromkeys(name for h in heads for name, _ in h.options)
    telling = [n for n in names if len({dict(h.options).get(n, "") for h in heads}) > 1]
    usual = usual_choices(heads, always)
    chosen: dict[str, list[str]] = {size_title: [h.size for h in heads]}
    for name in telling:
        chosen[name] = [dict(h.options).get(name, "") for h in heads]
    kept = {title: of for title, of in chosen.items() if len(set(of)) >= FEWEST_TO_FILTER}
    filters = tuple(Filter(title, tuple(sorted(set(of)))) for title, of in kept.items())
    places = [tuple(f.choices.index(kept[f.title][n]) for f in filters) for n in range(len(heads))]
    told = [
        tuple((n, c) for n, c in h.options if n in always or (n in telling and usual.get(n) != c))
        for h in heads
    ]
    return filters, tuple(map(ListedHead, heads, places, told))


def write_library(
    heads: tuple[HeadLine, ...],
    missing: tuple[MissingLine, ...],
    folder: Path,
    setting: Setting,
    doubts: tuple[Doubt, ...] = (),
    always: Collection[str] = (),
    changes: tuple[PumpChanges, ...] = (),
    new: tuple[str, ...] = (),
    gone: tuple[str, ...] = (),
    lacking: Mapping[str, tuple[TextInUse, ...]] | None = None,
) -> None:
    """Write the library's own pages into ``folder``, what is missing or in doubt also as CSV.

    With them goes the empty matrix of people and pumps, for the trainer.

    Of each booklet those options are shown in which it is not as most are, and those named in ``always``.

    Args:
        heads: all booklets.
        missing: every value that is not on file.
        folder: the library's.
        setting: what all its pages share.
        doubts: what speaks against data that are otherwise sound.
        always: options, in words.
        changes: what is not as it was in the library before.
        new: plant tags that the library before did not have.
        gone: plant tags that only the library before had.
        lacking: language to the texts that its pages show in English.

    Raises:
        OSError: if the folder cannot be written.
    """
    suffix = setting.suffix
    if not suffix:
        write_assets(folder)
    filters, listed = list_heads(heads, always, setting.words("library.size"))
    shared = setting.context()
    links: tuple[LanguageLink, ...] = shared["languages"]
    context = {
        **shared,
        "usual": tuple((name, choice) for name, choice in usual_choices(heads, always).items() if choice),
        "heads": heads,
        "listed": listed,
        "filters": filters,
        "groups": GROUPS,
        "missing": missing,
        "missing_count": len(missing),
        "doubts": doubts,
        "slugs": {h.tag: h.slug for h in heads},
        "changes": changes,
        "changed": {tag for c in changes for tag in c.tags},
        "new": new,
        "gone": gone,
        "lacking": {link: found for link in links if (found := (lacking or {}).get(link.code))},
        "most_lacking": MOST_LACKING,
    }
    # none goes on the wall that the proof speaks against
    context["decks"] = decks = make_decks((h.size, h.tag, h.slug, h.cards) for h in heads if not h.faults)
    for deck in decks:
        text = page_text("deck.html.j2", **context, deck=deck, here=deck.file)
        (folder / named_for(deck.file, suffix)).write_text(text, "utf-8", newline="\n")
    for template, file in PAGES.items():
        text = page_text(f"{template}.html.j2", **context, here=file)
        (folder / named_for(file, suffix)).write_text(text, "utf-8", newline="\n")
    script = linked_for(pumps_script(heads), suffix)
    (folder / named_for(FILE, suffix)).write_text(script, "utf-8", newline="\n")
    if suffix:
        return
    table = missing_csv(m.missing for m in missing)
    (folder / "missing.csv").write_text(table, "utf-8-sig", newline="")
    if links:
        (folder / "untranslated.csv").write_text(untranslated_csv(lacking or {}), "utf-8-sig", newline="")
    (folder / "doubts.csv").write_text(doubts_csv(doubts), "utf-8-sig", newline="")
    (folder / "competence.csv").write_text(competence_csv(h.tag for h in heads), "utf-8-sig", newline="")
