"""What belongs to one head of the pages beside the sequences: causes, remedies, terms, each with its steps.

API::

    head_upkeep(file, options, plans, catalogue) -> Upkeep
    StepLink(sequence, step, number, title)
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from ...geometry.dimensions.options import Options
from ..steps.cautions import Catalogue, by_severity
from ..steps.conditions import belongs
from ..steps.plan import Caution, Plan
from .upkeep_entries import Cause, Clearance, StepLink, Symptom, Term, Upkeep, UpkeepRow
from .upkeep_file import CauseText, EntryText, UpkeepFile


def head_upkeep(file: UpkeepFile, options: Options, plans: Iterable[Plan], catalogue: Catalogue) -> Upkeep:
    """Return what belongs to a head with ``options``.

    Args:
        file: as :func:`.upkeep_file.load_upkeep` returns it.
        options: the head's options.
        plans: all plans of the head. A step that its sequences do not have is left out: they may be the owner's own.
        catalogue: safety messages that the pages call on.
    """
    return _OfHead(options, step_links(plans)).upkeep(file, catalogue)


def step_links(plans: Iterable[Plan]) -> dict[str, StepLink]:
    """Return every step of ``plans`` by ``sequence/step``."""
    return {
        f"{p.sequence}/{s.id}": StepLink(p.sequence, p.title, s.id, s.number, s.title)
        for p in plans
        for s in p.steps
    }


@dataclass(frozen=True)
class _OfHead:
    options: Options
    links: Mapping[str, StepLink] = field(default_factory=dict)

    def upkeep(self, file: UpkeepFile, catalogue: Catalogue) -> Upkeep:
        cautions: dict[str, tuple[Caution, ...]] = {
            page: by_severity(catalogue[i] for i in ids) for page, ids in file.pages.items()
        }
        return Upkeep(
            cautions,
            tuple(UpkeepRow(e.id, self._steps(e)) for e in file.compare if belongs(e.when, self.options)),
            tuple(
                Symptom(s.id, self._causes(s.causes)) for s in file.symptoms if belongs(s.when, self.options)
            ),
            tuple(
                Clearance(c.value, self._causes(c.too_small), self._causes(c.too_large)) for c in file.limits
            ),
            tuple(UpkeepRow(e.id, self._steps(e)) for e in file.tasks if belongs(e.when, self.options)),
            tuple(
                Term(t.id, self._steps(t), t.part or "", t.whole)
                for t in file.terms
                if belongs(t.when, self.options)
            ),
        )

    def _causes(self, texts: Iterable[CauseText]) -> tuple[Cause, ...]:
        return tuple(Cause(t.id, self._steps(t), t.refer) for t in texts if belongs(t.when, self.options))

    def _steps(self, text: EntryText) -> tuple[StepLink, ...]:
        return tuple(self.links[s] for s in text.steps if s in self.links)
