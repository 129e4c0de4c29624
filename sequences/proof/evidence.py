"""What geometry showed about a plan: worked out once, kept by content, typed; sentences about it are made elsewhere.

    prove(assembly, plan, folder=None) -> Evidence      # prove_plans for several over one assembly
    write_evidence(evidence, path)          # the machine-readable file
    read_evidence(path) -> Evidence

What is proven, and how: no two parts overlap in place (exact booleans of closed meshes within a tolerance of the
solids); each part reaches its place clear of what is there (exact sweeps of slides, bounded turns); the written order
is one that the solids allow; the tools reach what the acts name; every credible wrong way is tried; turning parts are
clear through their turn.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from ...geometry.assembly import Assembly
from ...geometry.meshes.overlaps import Clash
from ..misfits.findings import Misfit, PinPair
from ..misfits.orientation_cards import OrientationCard
from ..order.order import graph_of
from ..order.order_graph import Edge, OrderFault, OrderGraph, PlannedMove, Why
from ..reach.tool_places import PlanReach, ReachFound
from ..steps.plan import Plan
from ..work.atomic_write import write_whole
from ..work.json_data import SortedNames, from_json, json_bytes
from .practice import Practice
from .shaft_timing import TimingEvidence

METHODS = ("in place", "paths", "gaps", "order", "reach", "wrong ways", "turning")
"""What is asked of the solids, each by a method of its own."""


@dataclass(frozen=True)
class TurnEvidence:
    """Whether what turns in a step turns free of what stands still."""

    step: int
    step_id: str
    clear: bool
    touches: tuple[tuple[str, str], ...]
    """Pairs of a turning part and a still one in its way."""


@dataclass(frozen=True)
class TurnClash:
    """A part that turns in a step into one that stands still."""

    step: int
    step_id: str
    part: str
    other: str


Violation = Clash | OrderFault | TurnClash | ReachFound
"""What keeps a plan from being sound."""


@dataclass(frozen=True)
class StepReason:
    """Why a step stands where it does, and where else it might."""

    step: int
    step_id: str
    earliest: int
    """First step number at which the solids would let it come, the others as written."""
    latest: int
    """Last such number; less than ``earliest`` where no place is right while the others stay."""
    why: tuple[Why, ...]


@dataclass(frozen=True)
class Evidence:
    """All that geometry showed about one plan of one assembly."""

    assembly: str
    sequence: str
    key: str
    """Hash of everything that it rests on."""
    tolerance_mm: float
    clashes: tuple[Clash, ...]
    moves: tuple[PlannedMove, ...]
    edges: tuple[Edge, ...]
    arrows: tuple[tuple[int, int], ...]
    """Pairs of move numbers to draw: the edges without those that follow from others."""
    layers: tuple[tuple[int, ...], ...]
    """Move numbers by how many others must come before them one after another."""
    faults: tuple[OrderFault, ...]
    reasons: tuple[StepReason, ...]
    wrong_fits: tuple[Misfit, ...]
    cards: tuple[OrientationCard, ...]
    pins: tuple[PinPair, ...]
    phases: tuple[TimingEvidence, ...]
    turns: tuple[TurnEvidence, ...]
    practice: Practice
    touching: Mapping[str, SortedNames] = field(default_factory=dict)
    asked: tuple[OrientationCard, ...] = ()
    """Cards of mistakes that are stopped, and asked about all the same."""
    reach: PlanReach = field(default_factory=PlanReach)
    """Where the tools of its acts stand, and which fall short."""

    @property
    def violations(self) -> tuple[Violation, ...]:
        """Everything that keeps the plan from being sound; empty where it is."""
        turns = (TurnClash(t.step, t.step_id, a, b) for t in self.turns for a, b in t.touches)
        return (*self.clashes, *self.faults, *turns, *self.reach.found)

    @property
    def sound(self) -> bool:
        """Whether nothing overlaps, every path is clear, the order can be done and the tools reach."""
        return not self.violations

    def graph(self, assembly: Assembly, plan: Plan) -> OrderGraph:
        """Return the order graph, to ask what may come next and why not."""
        return graph_of(assembly, plan, self.moves, self.edges, self.touching)


# ---- kept by content


def write_evidence(evidence: Evidence, path: Path) -> None:
    """Write evidence as JSON, as :func:`..work.atomic_write.write_whole`."""
    write_whole(path, json_bytes(evidence))


def read_evidence(path: Path) -> Evidence:
    """Return evidence from its file.

    Raises:
        ValueError: if the file is not one.
        OSError: if it cannot be read.
    """
    return from_json(Evidence, path.read_bytes())


__all__ = [
    "METHODS",
    "Evidence",
    "StepReason",
    "TurnClash",
    "TurnEvidence",
    "Violation",
    "read_evidence",
    "write_evidence",
]
