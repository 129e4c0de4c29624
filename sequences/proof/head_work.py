"""One head on its way through the rooms: whatever is made of it is made once, when it is first asked for.

for work in head_works(fleet, rows):
    work.head, work.plans, work.sheets, work.doubts
    work.prove(store, workers) -> AssemblyProof
    work.design -> TaskKey                  # of its solids; what is known without them: BareAssembly
    replace(work, known=bare).plans         # no solid is made where all that is asked is known
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from hashlib import sha256
from typing import TYPE_CHECKING

from ..calculations.calculation_sheets import PartWeight, SheetGroup
from ..calculations.doubts import Doubt
from ..calculations.head_calculations import with_masses
from ..calculations.load_fleet import HeadFigures, JudgedFleet
from ..fleet.heads import FleetHead, plan_head
from ..steps.plan import Plan
from ..steps.sequence_file import Sequence
from ..work.code_hash import code_hash
from ..work.keys import TaskKey, task_key
from ..work.store import Store
from .assembly_proof import AssemblyProof
from .bare_assembly import BareAssembly
from .head_proof import prove_head

if TYPE_CHECKING:
    from ...geometry.assembly import Assembly
    from ...geometry.head.head import Head

MAKING = ("geometry.head.head", "geometry.exchange.own_parts")
"""Whose code a head's solids rest on."""
LIBRARIES = ("cadquery", "cadquery-ocp", "trimesh", "numpy")


@dataclass(frozen=True)
class HeadWork:
    """A row of the fleet, and what comes of it.

    It travels to a worker as long as nothing heavy is made: solids do not pickle.
    """

    row: FleetHead
    sequences: tuple[Sequence, ...]
    figures: HeadFigures
    known: BareAssembly | None = None
    """What is known of its parts without their solids."""
    checklists: tuple[Sequence, ...] = ()
    """Sequences that are told in words alone."""

    @cached_property
    def design(self) -> TaskKey:
        """The key of its solids.

        Raises:
            OSError: if an owner's file cannot be read.
        """
        return design_key(self.row)

    @property
    def assembly(self) -> Assembly:
        """Its parts, with their solids only where nothing is known without them.

        Raises:
            SolidError, OwnPartError: as :attr:`head`.
        """
        return self._bare or self.head

    @cached_property
    def _bare(self) -> Assembly | None:
        return self.known.named(self.row.tag, self.design.digest) if self.known else None

    @cached_property
    def head(self) -> Head:
        """The solids, the owner's STEP parts in their places.

        Raises:
            SolidError: where the CAD kernel fails.
            OwnPartError: if a part of the owner's cannot stand in.
        """
        return solid_head(self.row)

    @cached_property
    def plans(self) -> tuple[Plan, ...]:
        """The plans, one a sequence; what is heavy by its solid brings its cautions."""
        from ...geometry.head.masses import masses_kg

        return make_plans(self.row, self.sequences, masses_kg(self.assembly))

    @cached_property
    def checklist_plans(self) -> tuple[Plan, ...]:
        """The plans of its checklists, which are neither drawn nor proven."""
        return make_plans(self.row, self.checklists)

    @cached_property
    def sheets(self) -> tuple[SheetGroup, ...]:
        """All calculation sheets, that of the masses among them."""
        one: dict[str, PartWeight] = {}
        for part in self.assembly:
            one.setdefault(part.kind, PartWeight(part.kind, part.material, part.volume_mm3))
        return with_masses(self.figures.sheets, self.row, one.values())

    @property
    def doubts(self) -> tuple[Doubt, ...]:
        """What speaks against its data."""
        return self.figures.doubts

    def prove(self, store: Store | None = None, workers: int | None = None) -> AssemblyProof:
        """Return the evidence of its plans, as :func:`.head_proof.prove_head`.

        Raises:
            MeshError, OverlapError: if a solid is not fit for the proof.
            WorkerLost: if a worker is ended from outside.
        """
        return prove_head(self.row.tag, self.head, self.plans, store, workers)


def solid_head(row: FleetHead) -> Head:
    """Return the solids of a head, the owner's parts in their places.

    Raises:
        SolidError: where the CAD kernel fails.
        OwnPartError: if a part of the owner's cannot stand in.
    """
    from ...geometry.exchange.own_parts import with_own_parts
    from ...geometry.head.head import make_head

    head = make_head(row.tag, row.size, row.options)
    if row.own_parts:
        head = with_own_parts(head, row.own_parts)
    return replace(head, made_from=design_key(row).digest)


def parts_key(design: TaskKey) -> TaskKey:
    """Return the key of what is known of a head's parts without their solids."""
    return task_key("solids", design=design, code=code_hash("sequences.proof.bare_assembly"))


def design_key(row: FleetHead) -> TaskKey:
    """Return the key of a head's solids: dimensions, options, the owner's files, and the code that makes them of these.

    Two pumps of one design have one key, whatever they and their sizes are called.

    Raises:
        OSError: if an owner's file cannot be read.
    """
    own = {
        key: (sha256(part.file.read_bytes()).hexdigest(), part.file.suffix, part.transform, part.unit)
        for key, part in row.own_parts.items()
    }
    dimensions = replace(row.size, name="")
    code = code_hash(*MAKING, libraries=LIBRARIES)
    return task_key("design", dimensions=dimensions, options=row.options, own_parts=own, code=code)


def head_works(fleet: JudgedFleet, rows: Iterable[FleetHead]) -> Iterator[HeadWork]:
    """Yield the work of each of ``rows``, heads of ``fleet``; the one before is let go with all that was made of it."""
    for row in rows:
        checklists = fleet.checklists_for(row)
        yield HeadWork(row, fleet.sequences_for(row), fleet.figures[row.tag], checklists=checklists)


def make_plans(
    row: FleetHead, sequences: Iterable[Sequence], mass_kg: Mapping[str, float] | None = None
) -> tuple[Plan, ...]:
    """Return the plans of a head, one a sequence; without ``mass_kg`` nothing heavy brings its cautions.

    Their texts have their placeholders still.
    """
    return tuple(plan_head(row, s, mass_kg) for s in sequences)
