"""Check a fleet without making anything: mistakes, what is missing, what figures speak against.

Nothing of pictures, pages or the proof is imported, and of the CAD kernel only where a fleet has own parts.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from ...geometry.dimensions.options import Options
from ...sequences.calculations.doubts import Doubt
from ...sequences.calculations.load_fleet import load_fleet
from ...sequences.fleet.heads import Fleet, FleetHead
from ...sequences.fleet.user_assembly import UserAssembly, load_user_assembly
from ...sequences.steps.asked_values import asked_values
from ...sequences.steps.conditions import options_in_words
from ...sequences.steps.resolve import resolve
from ...sequences.values.sourced_values import Missing, ValueUse, missing_values
from ..build.languages.plant_words import FleetWords, check_words, untranslated
from ..build.languages.texts_in_use import told_of_fleet
from ..words.languages.fallback import TextInUse
from ..words.report_words import CheckedDesign, MissingOwn


@dataclass(frozen=True)
class Summary:
    """A checked fleet, the values that its steps ask for and nobody has given, and what speaks against others."""

    plant: str
    designs: tuple[CheckedDesign, ...]
    missing: tuple[Missing, ...]
    doubts: tuple[Doubt, ...] = ()
    remarks: tuple[str, ...] = ()
    """What has to be known of own parts."""
    languages: tuple[tuple[str, tuple[TextInUse, ...], bool], ...] = ()
    """Each language with the texts that it lacks, and whether nobody has released its safety texts."""
    stale: tuple[str, ...] = ()
    """Lines of the plant's translations that are not of today's English."""

    @property
    def tags(self) -> tuple[str, ...]:
        """Plant tags of all heads, by design."""
        return tuple(tag for d in self.designs for tag in d.tags)


Design = tuple[Options, tuple[tuple[str, str], ...], tuple[str, ...]]
"""What the steps of a head follow from: its options, its parts with their kinds, and what the plant adds."""


def check_fleet(file: Path) -> Summary:
    """Check a fleet with all its files, its own parts among them.

    Raises:
        FaultsFound: with every mistake.
        ReaderFailed: if the process that reads own parts cannot begin.
    """
    told: list[FleetWords] = []
    fleet = load_fleet(file, open_parts=True, also=lambda *of: told.append(check_words(*of)))
    plans = _plans(fleet)
    design_of = {h.tag: _design(h, fleet) for h in fleet.heads}
    asked = {h.tag: plans[design_of[h.tag]].asked for h in fleet.heads}
    missing = missing_values({h.tag: h.values for h in fleet.heads}, asked)
    tags: dict[tuple[str, Design], list[str]] = {}
    for h in fleet.heads:
        tags.setdefault((h.size.name, design_of[h.tag]), []).append(h.tag)
    designs = tuple(
        CheckedDesign(_name(size, design[0]), plans[design].steps, tuple(of))
        for (size, design), of in tags.items()
    )
    doubts = tuple(d for h in fleet.heads for d in fleet.figures[h.tag].doubts)
    texts = told_of_fleet(fleet)
    languages = tuple((w.language, untranslated(w, texts), w.unreleased) for w in told[0].words)
    remarks = told[0].remarks
    return Summary(fleet.plant, designs, tuple(missing), doubts, fleet.remarks, languages, remarks)


def check_own_assembly(file: Path) -> tuple[UserAssembly, list[MissingOwn]]:
    """Check an own assembly with all its files; return it with the values that its steps ask for and it lacks.

    Raises:
        FaultsFound: with every mistake.
    """
    user = load_user_assembly(file)
    asked = asked_values(user.plans)
    blanks = [v for v in user.values.values() if not v.value.known and v.value.name in asked]
    return user, [MissingOwn(v.title, v.where, asked[v.value.name]) for v in blanks]


@dataclass(frozen=True)
class _Plans:
    """What the check tells of the plans of one design."""

    steps: tuple[tuple[str, int], ...]
    asked: Mapping[str, tuple[ValueUse, ...]]


def _name(size: str, options: Options) -> str:
    return ", ".join(filter(None, (size, options_in_words(options))))


def _design(head: FleetHead, fleet: Fleet) -> Design:
    own = fleet.additions.for_pump((head.tag, head.size.name))
    return head.options, tuple(head.parts.items()), tuple(str(a.path) for a in own)


def _plans(fleet: Fleet) -> dict[Design, _Plans]:
    """Return the plans of each design; what else of a head changes them, cautions and threads, is not told here."""
    found = {}
    for head in fleet.heads:
        design = _design(head, fleet)
        if design in found:
            continue
        options, parts, _ = design
        sequences = (*fleet.sequences_for(head), *fleet.checklists_for(head))
        plans = [resolve(s, options, dict(parts)) for s in sequences]
        found[design] = _Plans(tuple((p.title, len(p.steps)) for p in plans), asked_values(plans))
    return found
