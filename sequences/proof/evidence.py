"""What geometry showed about a plan: worked out once, kept by content, readable by people and machines.

    prove(assembly, plan, folder=None) -> Evidence      # prove_plans for several over one assembly
    write_evidence(evidence, path)          # the machine-readable file
    read_evidence(path) -> Evidence

What is proven, and how: no two parts overlap in place (exact booleans of closed meshes within a tolerance of the
solids); each part reaches its place clear of what is there (exact sweeps of slides, bounded turns); the written order
is one that the solids allow; every credible wrong way is tried; turning parts are clear through their turn.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from ...geometry.assembly import Assembly
from ...geometry.meshes.overlaps import Clash
from ..misfits.misfits import Misfit, PinPair
from ..misfits.orientation_cards import OrientationCard
from ..order.order import graph_of
from ..order.order_graph import Edge, OrderFault, OrderGraph, PlannedMove
from ..steps.plan import Plan
from ..work.atomic_write import write_whole
from ..work.json_data import SortedNames, from_json, json_bytes
from .practice import Practice
from .shaft_timing import TimingEvidence

if TYPE_CHECKING:
    pass

METHODS: dict[str, str] = {
    "in place": "Exact booleans of closed meshes of all pairs whose boxes meet; contact no deeper than the "
    "tolerance is no overlap. Elastic parts count pressed in by their declared squeeze.",
    "paths": "A slide is tested by the exact volume that the part passes through, a turn by the volume of a whole "
    "turn, or in steps no longer than the gap just measured. Nothing is sampled and jumped over.",
    "gaps": "Smallest distance of rigid parts on the way, up to the place where the part comes to bear, read from the "
    "meshes; up to two tolerances short of the truth.",
    "order": "For each pair of moves: with the one in place, is the way of the other clear?",
    "wrong ways": "Each credible mistake is brought in along the right travel until it bears. Parts are rigid and "
    "are not wriggled.",
    "turning": "Against still parts: the volume of a whole turn. A pair on two shafts: its shadows along the shafts, "
    "bounded between the angles looked at.",
}


@dataclass(frozen=True)
class TurnEvidence:
    """Whether what turns in a step turns free of what stands still."""

    step: int
    step_id: str
    clear: bool
    touches: tuple[tuple[str, str], ...]
    """Pairs of a turning part and a still one in its way."""


@dataclass(frozen=True)
class StepReason:
    """Why a step stands where it does, and where else it might."""

    step: int
    step_id: str
    why_now: str
    earliest: int
    """First step number at which the solids would let it come, the others as written."""
    latest: int
    """Last such number; less than ``earliest`` where no place is right while the others stay."""


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
    methods: Mapping[str, str] = field(default_factory=lambda: dict(METHODS))

    @property
    def violations(self) -> list[str]:
        """Everything that keeps the plan from being sound, one sentence each; empty where it is."""
        said = [c for c in (clash_words(c) for c in self.clashes)]
        said += [f"Step {f.step} ({f.step_id}): {f.text}" for f in self.faults]
        for t in self.turns:
            said += [f"Step {t.step} ({t.step_id}): {a} turns into {b}." for a, b in t.touches]
        return said

    @property
    def sound(self) -> bool:
        """Whether nothing overlaps, every path is clear and the order can be done."""
        return not self.violations

    def graph(self, assembly: Assembly, plan: Plan) -> OrderGraph:
        """Return the order graph, to ask what may come next and why not."""
        return graph_of(assembly, plan, self.moves, self.edges, self.touching)

    def why_now(self, step: int) -> str:
        """Return why a step stands where it does, empty where it moves nothing."""
        return next((r.why_now for r in self.reasons if r.step == step), "")


def clash_words(clash: Clash) -> str:
    """Return an overlap in place as a sentence."""
    o = clash.overlap
    return f"{clash.part} and {clash.other} overlap in place by {o.volume_mm3:.3g} mm3, {o.depth_mm:.3g} mm deep."


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
    "TurnEvidence",
    "read_evidence",
    "write_evidence",
]
