"""What geometry showed about a plan: worked out once, kept by content, readable by people and machines.

    prove(assembly, plan, folder=None) -> Evidence      # prove_plans for several over one assembly
    write_evidence(evidence, path)          # the machine-readable file
    read_evidence(path) -> Evidence

What is proven, and how: no two parts overlap in place (exact booleans of closed meshes within a tolerance of the
solids); each part reaches its place clear of what is there (exact sweeps of slides, bounded turns); the written order
is one that the solids allow; every credible wrong way is tried; turning parts are clear through their turn.
"""

from __future__ import annotations

import hashlib
import io
import json
import weakref
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from functools import cache
from importlib import metadata
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ..geometry.assembly import Assembly
from ..geometry.overlaps import TOLERANCE_MM, Clash
from .order import graph_of
from .order_graph import Edge, OrderFault, OrderGraph, PlannedMove
from .orientation import OrientationCard
from .phases import PhaseEvidence, Turning, turnings_of_head
from .plain import from_plain, to_plain
from .plan import Plan
from .practice import Practice
from .whole_files import write_whole
from .wrong_way import PinPair, WrongFit

if TYPE_CHECKING:
    import cadquery as cq

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
    wrong_fits: tuple[WrongFit, ...]
    cards: tuple[OrientationCard, ...]
    pins: tuple[PinPair, ...]
    phases: tuple[PhaseEvidence, ...]
    turns: tuple[TurnEvidence, ...]
    practice: Practice
    touching: Mapping[str, frozenset[str]] = field(default_factory=dict)
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


def prove(
    assembly: Assembly,
    plan: Plan,
    *,
    turnings: Sequence[Turning] | None = None,
    folder: Path | None = None,
    workers: int | None = None,
    tolerance_mm: float = TOLERANCE_MM,
) -> Evidence:
    """Return the evidence of one plan, as :func:`prove_plans` does of several.

    Raises:
        MeshError, OverlapError: as :func:`prove_plans`.
    """
    return prove_plans(
        assembly, [plan], turnings=turnings, folder=folder, workers=workers, tolerance_mm=tolerance_mm
    )[0]


def prove_plans(
    assembly: Assembly,
    plans: Sequence[Plan],
    *,
    turnings: Sequence[Turning] | None = None,
    folder: Path | None = None,
    workers: int | None = None,
    tolerance_mm: float = TOLERANCE_MM,
    beside: Callable[[], None] | None = None,
) -> list[Evidence]:
    """Return the evidence of each plan over one assembly, from ``folder`` where nothing has changed.

    Plans share what is alike: the way out of a part is its way in.

    Args:
        assembly: the parts in place.
        plans: assembly, disassembly; of a plan without moves only what needs none is shown.
        turnings: what turns about what; a head's are known.
        folder: keeps evidence by the hash of what it rests on; None to keep none.
        workers: processes to use, two where the machine has them.
        tolerance_mm: how far a mesh may be off its solid.
        beside: other work on the same assembly, done here while other processes are busy; called once.

    Raises:
        MeshError: if a solid has no closed surface.
        OverlapError: if a mesh is not fit for booleans.
    """
    turning = tuple(turnings_of_head(assembly) if turnings is None else turnings)
    keys = evidence_keys(assembly, plans, turnings=turning, tolerance_mm=tolerance_mm)
    known: dict[str, Evidence] = {}
    for file in [folder / f"{key}.json" for key in keys] if folder else []:
        if file.is_file():
            with suppress(OSError, ValueError, KeyError, TypeError):
                known[file.stem] = read_evidence(file)
    todo = [(key, plan) for key, plan in zip(keys, plans, strict=True) if key not in known]
    if todo:
        from .proving import prove_afresh

        for evidence in prove_afresh(assembly, todo, turning, workers, tolerance_mm, beside):
            known[evidence.key] = evidence
            if folder:
                write_evidence(evidence, folder / f"{evidence.key}.json")
    elif beside:
        beside()
    return [known[key] for key in keys]


# ---- kept by content


def evidence_keys(
    assembly: Assembly,
    plans: Sequence[Plan],
    *,
    turnings: Sequence[Turning] | None = None,
    tolerance_mm: float = TOLERANCE_MM,
) -> list[str]:
    """Return :func:`evidence_key` of each plan over one assembly, as :func:`prove_plans` takes it."""
    turning = tuple(turnings_of_head(assembly) if turnings is None else turnings)
    return [evidence_key(assembly, plan, turning, tolerance_mm) for plan in plans]


def evidence_key(assembly: Assembly, plan: Plan, turning: Sequence[Turning], tolerance_mm: float) -> str:
    """Return the hash of everything the evidence rests on: solids, places, plan, code and libraries."""
    h = hashlib.sha256(_code_key().encode())
    known: dict[int, bytes] = {}

    def solid(shape: cq.Shape | None) -> bytes:
        if shape is None:
            return b"-"
        if id(shape) not in known:
            known[id(shape)] = _shape_hash(shape)
        return known[id(shape)]

    for part in assembly:
        words = (part.key, part.kind, part.name, part.side, part.thread, part.place, part.features)
        h.update(repr(words).encode() + solid(part.solid))
        if part.elastic:
            h.update(
                repr(part.elastic.squeeze_mm).encode()
                + solid(part.elastic.core)
                + solid(part.elastic.passing)
            )
    steps = [(s.number, s.id, s.title, s.present, s.moves, s.bench, s.shaft_angle_deg) for s in plan.steps]
    rest = (assembly.name, assembly.front, plan.sequence, steps, plan.given, plan.units, plan.unit_titles)
    h.update(repr((rest, tuple(turning), tolerance_mm)).encode())
    return h.hexdigest()[:32]


_hashes: weakref.WeakKeyDictionary[Any, bytes] = weakref.WeakKeyDictionary()


def _shape_hash(shape: cq.Shape) -> bytes:
    """Return the hash of a solid as the CAD kernel writes it, without triangles.

    Taken once: meshing adds curves to a shape, and the hash with it would be another.
    """
    from OCP.BinTools import BinTools, BinTools_FormatVersion

    if shape not in _hashes:
        out = io.BytesIO()
        version = BinTools_FormatVersion.BinTools_FormatVersion_CURRENT
        BinTools.Write_s(shape.wrapped, out, False, False, version)
        _hashes[shape] = hashlib.sha256(out.getvalue()).digest()
    return _hashes[shape]


@cache
def _code_key() -> str:
    """Return the hash of the code and libraries that the evidence comes from."""
    h = hashlib.sha256()
    here = Path(__file__).parent
    for folder in (here, here.parent / "geometry"):
        for file in sorted(folder.glob("*.py")):
            h.update(file.name.encode() + file.read_bytes())
    for name in ("manifold3d", "cadquery-ocp", "numpy", "shapely"):
        with suppress(metadata.PackageNotFoundError):
            h.update(f"{name} {metadata.version(name)}".encode())
    return h.hexdigest()


def write_evidence(evidence: Evidence, path: Path) -> None:
    """Write evidence as JSON, as :func:`.whole_files.write_whole`."""
    write_whole(path, json.dumps(to_plain(evidence), ensure_ascii=False, separators=(",", ":")).encode())


def read_evidence(path: Path) -> Evidence:
    """Return evidence from its file.

    Raises:
        ValueError, KeyError, TypeError: if the file is not one.
        OSError: if it cannot be read.
    """
    found: Evidence = from_plain(Evidence, json.loads(path.read_text(encoding="utf-8")))
    return found


__all__ = [
    "METHODS",
    "Evidence",
    "StepReason",
    "TurnEvidence",
    "evidence_key",
    "evidence_keys",
    "prove",
    "prove_plans",
    "read_evidence",
    "write_evidence",
]
