"""What the command line says of mistakes, missing values and doubts: always in English, as all that it says.

faults_text(faults) -> text
missing_lines(missing), doubt_lines(doubts) -> list of lines
"""

from __future__ import annotations

from collections.abc import Iterable

from ..sequences.calculations.doubts import Doubt, FleetFaultsFound, Ground, Kind
from ..sequences.files.faults import FaultsFound
from ..sequences.values.sourced_values import Missing
from .words.catalogue import Words, load_words
from .words.doubt_words import doubt_sentence
from .words.value_words import value_title, where_to_look


def faults_text(faults: FaultsFound) -> str:
    """Return mistakes in the user's files, and what holds of the heads that are sound."""
    lines = [str(faults)]
    if isinstance(faults, FleetFaultsFound):
        words = load_words()
        if faults.doubts:
            lines.append("Beside that, figures speak against these values:")
            lines += [f"  {d.tag}: {doubt_sentence(d, words)}" for d in dict.fromkeys(faults.doubts)]
        if faults.missing:
            lines.append("Not on file, or refused above, so that they would print as blanks:")
            lines.append(f"  {'; '.join(_lacking(faults, words))}.")
    return "\n".join(lines)


def _lacking(faults: FleetFaultsFound, words: Words) -> list[str]:
    """Return what heads lack, each with their tags."""
    tags: dict[str, list[str]] = {}
    for m in faults.missing:
        tags.setdefault(m.name, []).append(m.tag)
    most = faults.heads
    return [
        f"{value_title(name, words)} ({f'all {most} pumps' if len(of) == most > 1 else ', '.join(of)})"
        for name, of in tags.items()
    ]


def missing_lines(missing: Iterable[Missing]) -> list[str]:
    """Return a line for each value that heads lack, with their tags and where to look."""
    words = load_words()
    tags: dict[str, list[str]] = {}
    for m in missing:
        tags.setdefault(m.name, []).append(m.tag)
    return [
        f"{value_title(name, words)} ({', '.join(of)}): look in {where_to_look(name, words)}."
        for name, of in tags.items()
    ]


def doubt_lines(doubts: Iterable[Doubt]) -> list[str]:
    """Return a line for each doubt, with the tags of the heads that share it."""
    words = load_words()
    same: dict[tuple[Kind, Ground, str], list[Doubt]] = {}
    for d in doubts:
        same.setdefault((d.kind, d.ground, d.value), []).append(d)
    return [
        f"{words(f'doubt.kind.{of[0].kind}')} ({', '.join(d.tag for d in of)}): {doubt_sentence(of[0], words)}"
        for of in same.values()
    ]
