"""The way that every verb over a fleet goes in: the target checked, the files loaded, the heads chosen.

Out it goes by :func:`.folders.swapped_in`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from ...sequences.calculations.load_fleet import JudgedFleet, load_fleet
from ...sequences.files.faults import any_of
from ...sequences.fleet.heads import Fleet, FleetHead
from ...sequences.proof.head_work import HeadWork, head_works
from ..folders.marks import Verb
from ..words.catalogue import Words
from .folders import check_target
from .languages.plant_words import check_words, words_of_fleet
from .user_faults import UserFault


@dataclass(frozen=True)
class FleetRun:
    """A checked fleet, and those of its heads that the user wants."""

    fleet: JudgedFleet
    rows: tuple[FleetHead, ...]

    def works(self) -> Iterator[HeadWork]:
        """Yield the work of each head, one after the other."""
        return head_works(self.fleet, self.rows)


def open_fleet(
    file: Path, target: Path | None = None, only: Sequence[str] = (), verb: Verb = "build"
) -> FleetRun:
    """Return the fleet of a file, checked in all its files, once the target is known to be ours to write.

    Args:
        file: the fleet file.
        target: the folder that will be written; None where none is.
        only: plant tags; left out, every head of the fleet.
        verb: who will write it.

    Raises:
        FolderFault: if the target cannot or must not be written.
        FaultsFound: with every mistake of the fleet.
        UserFault: for a tag that the fleet does not have.
    """
    if target is not None:
        check_target(target, verb)
    fleet = load_fleet(file, also=check_words)
    return FleetRun(fleet, chosen_heads(fleet, only))


def chosen_heads(fleet: Fleet, only: Sequence[str]) -> tuple[FleetHead, ...]:
    """Return the heads of these tags in the order of the fleet; all of them where none is named.

    Raises:
        UserFault: naming every tag that the fleet does not have.
    """
    if not only:
        return fleet.heads
    heads, unknown = [], []
    for tag in only:
        try:
            heads.append(fleet.head(tag))
        except KeyError as e:
            unknown.append(str(e.args[0]))
    if unknown:
        raise UserFault("\n".join(unknown))
    return tuple(h for h in fleet.heads if h in heads)


def fleet_words(fleet: Fleet, language: str = "") -> Words:
    """Return the words of one of the languages that the fleet asks for, or of its main one.

    Raises:
        FaultsFound: with every mistake of its languages and tables of translations.
        UserFault: for a language that it does not ask for.
    """
    return chosen_words(words_of_fleet(fleet).words, language, fleet.file)


def chosen_words(found: Sequence[Words], language: str, file: Path) -> Words:
    """Return the words of ``language`` among those that a data file asks for; left out, of the first, its main one.

    Raises:
        UserFault: for a language that is not among them.
    """
    if not language:
        return found[0]
    chosen = next((w for w in found if w.language == language), None)
    if chosen is None:
        there = any_of(w.language for w in found)
        raise UserFault(f"--language: {file.name} has no pages in '{language}'; allowed: {there}")
    return chosen
