"""What geometry showed about a plan: worked out once, kept by content, readable by people and machines.

    prove(assembly, plan, folder=None) -> Evidence
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
import os
import tempfile
import weakref
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from functools import cache
from importlib import metadata
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ..geometry.assembly import Assembly
from ..geometry.frame import Place
from ..geometry.overlaps import TOLERANCE_MM, Bodies, Clash, clashes
from .order import check_order, draft_moves, edges_of, graph_of, touching, with_path
from .order_graph import Edge, OrderFault, OrderGraph, PlannedMove
from .orientation import OrientationCard, make_cards
from .paths import Stretch, Ways
from .phases import PhaseEvidence, Turning, phases_of, poses_at, turnings_of_head
from .plain import from_plain, to_plain
from .plan import Plan, Step
from .practice import Practice, make_practice
from .wrong_way import PinPair, WrongFit, near_equal_pins, try_mistakes

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
    """Return the evidence of a plan, from ``folder`` where nothing has changed.

    Args:
        assembly: the parts in place.
        plan: assembly or disassembly; of another plan only what needs no moves is shown.
        turnings: what turns about what; a head's are known.
        folder: keeps evidence by the hash of what it rests on; None to keep none.
        workers: processes to use, two where the machine has them.
        tolerance_mm: how far a mesh may be off its solid.

    Raises:
        MeshError: if a solid has no closed surface.
        OverlapError: if a mesh is not fit for booleans.
    """
    turning = tuple(turnings_of_head(assembly) if turnings is None else turnings)
    key = evidence_key(assembly, plan, turning, tolerance_mm)
    kept = folder / f"{key}.json" if folder else None
    if kept and kept.is_file():
        with suppress(OSError, ValueError, KeyError, TypeError):
            return read_evidence(kept)
    evidence = _prove(assembly, plan, turning, key, workers, tolerance_mm)
    if kept:
        write_evidence(evidence, kept)
    return evidence


def _prove(
    assembly: Assembly,
    plan: Plan,
    turning: tuple[Turning, ...],
    key: str,
    workers: int | None,
    tolerance_mm: float,
) -> Evidence:
    from .proof_pool import fits_task, make_kit, path_task, pool_of, workers_for

    bodies = Bodies(assembly, tolerance_mm)
    ways = Ways(bodies)
    drafts = draft_moves(plan, assembly, _poses(plan, turning))
    bare = [d.bare for d in drafts]
    many = workers_for(workers)
    if many < 2 or len(drafts) < 8:
        near, found = touching(ways), clashes(bodies)
        moves, edges = [], []
        for draft in drafts:
            moves.append(with_path(ways, draft))
            edges += edges_of(ways, moves[-1], bare)
            ways.forget_sweeps()
        graph = graph_of(assembly, plan, moves, edges, near)
        fits = try_mistakes(ways, graph)
        phases, turns = _turning(ways, plan, moves, turning)
    else:
        with pool_of(make_kit(bodies), many) as pool:
            # Travels to be found need the solids' own faces: they stay here.
            tasks = {d.bare.number: pool.submit(path_task, d, bare) for d in drafts if d.bare.move.legs}
            here = {d.bare.number: with_path(ways, d) for d in drafts if not d.bare.move.legs}
            near, found = touching(ways), clashes(bodies)
            edges = [e for m in here.values() for e in edges_of(ways, m, bare)]
            for number, task in tasks.items():
                here[number], more = task.result()
                edges += more
            moves = [here[n] for n in sorted(here)]
            graph = graph_of(assembly, plan, moves, edges, near)
            sent = graph_of(Assembly(assembly.name, {}), plan, moves, edges, near)
            tries = [pool.submit(fits_task, sent, m.number) for m in moves]
            phases, turns = _turning(ways, plan, moves, turning)
            fits = [fit for t in tries for fit in t.result()]
    edges.sort(key=lambda e: (e.first, e.then))
    graph = graph_of(assembly, plan, moves, edges, near)
    return Evidence(
        assembly=assembly.name,
        sequence=plan.sequence,
        key=key,
        tolerance_mm=tolerance_mm,
        clashes=tuple(found),
        moves=tuple(moves),
        edges=tuple(edges),
        arrows=graph.arrows,
        layers=graph.layers,
        faults=tuple(check_order(graph, plan)),
        reasons=tuple(_reasons(graph, plan)),
        wrong_fits=tuple(fits),
        cards=tuple(make_cards(assembly, graph, fits)),
        pins=tuple(near_equal_pins(ways, graph)),
        phases=tuple(phases),
        turns=tuple(turns),
        practice=make_practice(graph),
        touching=near,
    )


def _poses(plan: Plan, turning: Sequence[Turning]) -> Any:
    """Return a function from a step to how the turned parts stand in it."""
    angles: dict[int, float] = {}
    total = 0.0
    for step in plan.steps:
        angles[step.number] = total % 360.0
        total += step.shaft_angle_deg

    def poses(step: Step) -> dict[str, Place]:
        return {} if step.bench else poses_at(turning, angles[step.number])

    return poses


def _turning(
    ways: Ways, plan: Plan, moves: Sequence[PlannedMove], turning: Sequence[Turning]
) -> tuple[list[PhaseEvidence], list[TurnEvidence]]:
    phases = phases_of(ways, moves, turning)
    turns = []
    for step in plan.steps:
        if abs(step.shaft_angle_deg) < 1e-9 or step.bench:
            continue
        there = [*step.present, *(k for m in step.moves if m.into for k in m.parts)]
        turned = {k for t in turning for k in t.parts}
        touches = [
            (k, other)
            for t in turning
            for k in t.parts
            if k in there and ways.bodies.assembly.part(k).elastic is None
            for other in there
            if other not in turned
            and ways.closes(other, k, Stretch(Place(), (0, 0, 0), 360.0, t.about, t.axis))
        ]
        turns.append(TurnEvidence(step.number, step.id, not touches, tuple(touches)))
    return phases, turns


def _reasons(graph: OrderGraph, plan: Plan) -> list[StepReason]:
    found = []
    for step in plan.steps:
        mine = [m.number for m in graph.moves if m.step == step.number]
        if not mine:
            continue
        windows = [graph.window(n) for n in mine]
        first = graph.moves[max(w[0] for w in windows)].step
        last = graph.moves[min(w[1] for w in windows)].step
        found.append(StepReason(step.number, step.id, graph.why_now(step.number), first, last))
    return found


# ---- kept by content


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
    """Write evidence as JSON, whole or not at all: a temporary file in the same folder is moved into place."""
    path.parent.mkdir(parents=True, exist_ok=True)
    text = json.dumps(to_plain(evidence), ensure_ascii=False, indent=1)
    handle, name = tempfile.mkstemp(dir=path.parent, suffix=".part")
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        Path(name).replace(path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


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
    "prove",
    "read_evidence",
    "write_evidence",
]
